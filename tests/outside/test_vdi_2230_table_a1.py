"""VDI 2230-1, table A1: assembly preload and tightening torque at 90 % of yield, friction 0.12 (memory).

The fine-pitch row is VDI 2230-1:2001 (secondary). Tolerance as printed: preload 0.6 %, torque 1.2 %.
"""

import pytest
from outside_units import KN
from running import Run

A1 = [
    # bolt, class, preload kN, torque N.m
    ("M6", "8.8", 10.2, 10.1), ("M6", "10.9", 14.9, 14.9), ("M6", "12.9", 17.5, 17.4),
    ("M8", "8.8", 18.6, 24.6), ("M8", "10.9", 27.3, 36.1), ("M8", "12.9", 32.0, 42.2),
    ("M10", "8.8", 29.6, 48), ("M10", "10.9", 43.4, 71), ("M10", "12.9", 50.8, 83),
    ("M12", "8.8", 43.0, 84), ("M12", "10.9", 63.2, 123), ("M12", "12.9", 74.0, 144),
    ("M16", "8.8", 80.9, 206), ("M16", "10.9", 118.8, 302), ("M16", "12.9", 139.0, 354),
    ("M20", "8.8", 130, 415), ("M20", "10.9", 186, 592), ("M20", "12.9", 217, 692),
    ("M10x1.25", "8.8", 31.6, 51), ("M10x1.25", "10.9", 46.4, 75), ("M10x1.25", "12.9", 54.3, 87),
]  # fmt: skip


def ceiling(run: Run, bolt: str, screw_class: str, friction: float) -> dict[str, float]:
    values: dict[str, float] = run(
        "housing_bolt_torque", bolt=bolt, head="hex", screw_class=screw_class, lubrication="oil_or_grease",
        friction=friction, foot="cast_iron", under_head="hardened_washer",
    )["values"]  # fmt: skip
    return values


@pytest.mark.parametrize(("bolt", "screw_class", "preload", "torque"), A1)
def test_preload_and_torque_at_90_percent_of_yield(
    run: Run, bolt: str, screw_class: str, preload: float, torque: float
) -> None:
    got = ceiling(run, bolt, screw_class, 0.12)
    assert got["preload_ceiling"] == pytest.approx(preload * KN, rel=0.006)
    assert got["ceiling"] == pytest.approx(torque, rel=0.012)


def test_share_of_the_torque_m12(run: Run) -> None:
    """M12 8.8, 0.12: pitch 12.0 + thread 32.5 + head 38.9 N.m. Derived from the same formula; 1 %."""
    got = ceiling(run, "M12", "8.8", 0.12)
    assert got["pitch_share"] == pytest.approx(12.0, rel=0.01)
    assert got["thread_share"] == pytest.approx(32.5, rel=0.01)
    assert got["head_share"] == pytest.approx(38.9, rel=0.01)


@pytest.mark.parametrize(("state", "least"), [("paste_or_solid_film", 0.04), ("oil_or_grease", 0.08), ("dry_as_delivered", 0.14), ("zinc_dry_or_stainless_oiled", 0.20)])  # fmt: skip
def test_the_ceiling_goes_by_the_lowest_friction_of_its_class(run: Run, state: str, least: float) -> None:
    """VDI 2230-1, friction classes A to D (secondary): 0.04, 0.08, 0.14, 0.20 at their lower ends."""
    common = {"bolt": "M12", "head": "hex", "screw_class": "8.8", "foot": "other", "under_head": "unknown"}
    by_state = run("housing_bolt_torque", {"target": 40.0}, lubrication=state, **common)["values"]
    by_number = run("housing_bolt_torque", {"target": 40.0}, lubrication=state, friction=least, **common)[
        "values"
    ]
    assert by_state["ceiling"] == by_number["ceiling"]

"""Torques that the trade uses without a source: set screws in rings and collars. Marked common practice, no source.

The maker's value overrides every one of them; a clamp collar has none at all.
"""

from typing import Any

import pytest
from outside_units import LBF_IN, MM, fired, window
from running import Run

RINGS = [  # size, unit, least, target, most, key: common practice, no source
    ("#10", LBF_IN, 25, 33, 36, "3/32 in"), ("1/4", LBF_IN, 65, 78, 87, "1/8 in"), ("3/8", LBF_IN, 225, 260, 290, "3/16 in"),
    ("5/8", LBF_IN, 1100, 1225, 1325, "5/16 in"), ("M6", 1, 5.0, 6.2, 7.2, "3 mm"), ("M8", 1, 11, 13.5, 17, "4 mm"),
    ("M12", 1, 32, 40, 54, "6 mm"), ("M16", 1, 75, 95, 125, "8 mm"),
]  # fmt: skip


@pytest.mark.parametrize(("screw", "unit", "least", "target", "most", "key"), RINGS)
@pytest.mark.parametrize("place", ["ring", "collar"])
def test_low_target_high_and_key(
    run: Run, screw: str, unit: float, least: float, target: float, most: float, key: str, place: str
) -> None:
    got = run("set_screw_torque", place=place, screw=screw)["values"]
    assert (got["low"], got["target"], got["high"]) == pytest.approx(
        (least * unit, target * unit, most * unit), rel=1e-12
    )
    assert got["half"] == pytest.approx(target * unit / 2)
    assert got["key"] == key


@pytest.mark.parametrize(("screw", "unit", "least", "target", "most", "key"), RINGS)
def test_edges_of_the_setting(
    run: Run, screw: str, unit: float, least: float, target: float, most: float, key: str
) -> None:
    for set_to, position in (
        (least * unit, "inside"), (most * unit, "inside"), (least * unit - 1e-5, "under"), (most * unit + 1e-5, "over"),
    ):  # fmt: skip
        assert window(run("set_screw_torque", place="ring", screw=screw, set_to=set_to), "torque") == position


def test_the_list_never_passes_the_handbook(run: Run, rows: Any) -> None:
    """Every default stays at or under the handbook seating torque (Shigley; ISO 898-5 times 0.8)."""
    for r in rows("set_screws_in_rings"):
        got = run("set_screw_torque", place="ring", screw=r["size"])
        assert (
            got["values"]["low"]
            < got["values"]["target"]
            < got["values"]["high"]
            <= got["values"]["handbook"]
        )
        assert "above_handbook" not in fired(got)


def test_half_pass_has_its_own_window(run: Run) -> None:
    half = run("set_screw_torque", place="ring", screw="M8", stage="half", set_to=6.75)
    assert window(half, "torque") == "inside"
    assert (
        window(run("set_screw_torque", place="ring", screw="M8", stage="full", set_to=6.75), "torque")
        == "under"
    )


def test_makers_value_replaces_the_default_which_stays_visible(run: Run) -> None:
    got = run("set_screw_torque", {"target": 9.0}, place="ring", screw="M8")
    assert got["values"]["target"] == 9.0
    assert got["defaults"]["target"] == 13.5
    assert got["values"]["low"] <= 9.0 <= got["values"]["high"]
    high = run("set_screw_torque", {"target": 18.0}, place="ring", screw="M8", hardness="45H")
    assert "above_handbook" in fired(high)
    assert "over_ceiling" not in fired(high)
    beyond = run("set_screw_torque", {"target": 20.001}, place="ring", screw="M8", hardness="45H")
    assert beyond["verdict"] == "stop"


def test_what_a_click_wrench_tells(run: Run) -> None:
    common = {"place": "ring", "screw": "M8", "set_to": 13.5}
    assert run("set_screw_torque", **common, clicked=True, moved="none")["verdict"] == "inside"
    assert run("set_screw_torque", **common, clicked=False)["verdict"] == "stop"
    assert run("set_screw_torque", **common, clicked=True, moved="under_10_deg")["verdict"] == "caution"
    assert run("set_screw_torque", **common, clicked=True, moved="over_10_deg")["verdict"] == "stop"


def test_the_eight_moves(program: Any) -> None:
    moves = program["sheets"]["set_screw_torque"]["sequence"]
    assert len(moves) == 8
    assert [m["at"] for m in moves] == [None, None, None, "half", "half", "target", "target", "target"]


def test_cam_collar_screw_is_for_the_lead_to_accept(run: Run) -> None:
    got = run("cam_collar_screw", screw="M8", set_to=13.5)
    (check,) = [c for c in got["checks"] if c["name"] == "common_practice_used"]
    assert check["lead_accepts"] is True
    assert got["verdict"] == "caution"
    told = run("cam_collar_screw", {"target": 13.5}, screw="M8", set_to=13.5)
    assert "common_practice_used" not in fired(told)


CLAMP: dict[str, Any] = {
    "cap_screw": "M8",
    "screws": "two",
    "screw_class": "12.9",
    "lubrication": "oil_or_grease",
}


def test_clamp_collar_has_no_common_torque(run: Run) -> None:
    got = run("clamp_collar_torque", **CLAMP)
    assert got["refusal"]["code"] == "maker_value_needed"
    assert got["values"]["ceiling"] > 0
    assert got["values"].get("target") is None


@pytest.mark.parametrize("unknown", [{"screw_class": "unknown"}, {"lubrication": "unknown"}])
def test_no_ceiling_is_guessed(run: Run, unknown: dict[str, str]) -> None:
    got = run("clamp_collar_torque", {"target": 20.0}, **{**CLAMP, **unknown})
    assert got["values"]["ceiling"] is None
    assert "ceiling_not_known" in fired(got)


@pytest.mark.parametrize(
    ("gap_a", "gap_b", "speaks"),
    [(2.0, 2.0, None), (2.0, 1.6, None), (2.0, 1.59, "gaps_uneven"), (4.0, 3.5, None), (4.0, 3.49, "gaps_uneven"),
     (0.0, 1.0, "gap_closed")],
)  # fmt: skip
def test_gaps_stay_open_and_alike(run: Run, gap_a: float, gap_b: float, speaks: str | None) -> None:
    """Within 0.5 mm and a fifth; never closed: common practice, no source."""
    got = run("clamp_collar_torque", {"target": 20.0}, **CLAMP, gap_a=gap_a * MM, gap_b=gap_b * MM)
    assert speaks is None or speaks in fired(got)
    assert speaks is not None or not fired(got) & {"gaps_uneven", "gap_closed"}


FOOT: dict[str, Any] = {
    "bolt": "M16", "head": "hex", "screw_class": "8.8", "lubrication": "dry_as_delivered", "foot": "cast_iron",
    "under_head": "hardened_washer",
}  # fmt: skip


def test_housing_bolt_practice_is_marked_and_passes_30_70_100(run: Run) -> None:
    got = run("housing_bolt_torque", **FOOT)
    assert "common_practice_used" in fired(got)
    assert got["verdict"] == "caution"
    v = got["values"]
    assert (v["first"], v["second"]) == pytest.approx((0.3 * v["target"], 0.7 * v["target"]))


@pytest.mark.parametrize(
    "odd",
    [{"screw_class": "unknown"}, {"lubrication": "unknown"}, {"lubrication": "stainless_dry"}, {"foot": "other"},
     {"foot": "unknown"}, {"under_head": "slot"}, {"under_head": "unknown"}, {"screw_class": "A2-70"}],
)  # fmt: skip
def test_without_the_facts_there_is_no_practice_torque(run: Run, odd: dict[str, str]) -> None:
    got = run("housing_bolt_torque", **{**FOOT, **odd})
    assert got["refusal"]["code"] == "maker_value_needed"
    assert got["values"].get("target") is None
    told = run("housing_bolt_torque", {"target": 90.0}, **{**FOOT, **odd})
    assert told["status"] == "done"
    assert told["values"]["target"] == 90.0


def test_a_foot_that_does_not_stand_the_pressure(run: Run) -> None:
    """VDI 2230-1 limits: S235 490 MPa, grey iron 850 MPa (memory)."""
    strong = {**FOOT, "screw_class": "12.9", "foot": "steel", "under_head": "round_hole"}
    got = run("housing_bolt_torque", **strong)
    assert got["status"] == "refused"
    assert got["values"]["head_pressure"] > 490e6
    iron = run("housing_bolt_torque", **{**FOOT, "under_head": "round_hole"})
    assert iron["status"] == "done"
    assert iron["values"]["head_pressure"] < 850e6


@pytest.mark.parametrize(
    ("changed", "where"),
    [
        ({"screw_class": "unknown"}, "class_needed"), ({"lubrication": "unknown"}, "lubrication_needed"), ({"foot": "unknown"}, "foot_needed"),
        ({"under_head": "unknown"}, "foot_needed"), ({"foot": "other"}, "foot_by_maker"), ({"under_head": "slot"}, "slot_by_maker"),
        ({"bolt": "M36", "screw_class": "4.8"}, "class_out_of_size"), ({"screw_class": "A2-70"}, "proof_needed"),
        ({"lubrication": "zinc_dry_or_stainless_oiled"}, "friction_needed"),
    ],
)  # fmt: skip
def test_a_refusal_names_the_reason_that_applies(run: Run, changed: dict[str, str], where: str) -> None:
    """Where no common-practice torque stands, the fitter reads why in his case. Common practice only: no source."""
    got = run("housing_bolt_torque", **{**FOOT, **changed})
    assert (got["refusal"]["code"], got["refusal"]["where"]) == ("maker_value_needed", where)
    assert run("housing_bolt_torque", {"target": 30.0}, **{**FOOT, **changed})["status"] == "done"


@pytest.mark.parametrize(("lift", "stops"), [(0.05, False), (0.0508, False), (0.051, True)])
def test_soft_foot(run: Run, lift: float, stops: bool) -> None:
    """2 thousandths of an inch, 0.05 mm: common practice, no source."""
    got = run("housing_bolt_torque", **FOOT, foot_lift=lift * MM)
    assert ("soft_foot" in fired(got)) is stops
    assert "common_practice_used" not in fired(got)  # the lift alone is no torque to accept


@pytest.mark.parametrize(("bolt", "screw_class"), [("M16", "grade_5"), ("1/2-13", "8.8")])
def test_classes_and_threads_of_two_systems_do_not_mix(run: Run, bolt: str, screw_class: str) -> None:
    """Refused, and no figure of the wrong pair stands beside the refusal."""
    bare = run("housing_bolt_torque", **{**FOOT, "bolt": bolt, "screw_class": screw_class})
    assert bare["refusal"]["where"] == "wrong_system"
    assert [bare["values"][name] for name in ("ceiling", "target", "preload")] == [None] * 3
    got = run("housing_bolt_torque", {"target": 50.0}, **{**FOOT, "bolt": bolt, "screw_class": screw_class})
    assert (got["status"], got["refusal"]["code"]) == ("refused", "not_for_this")


def test_insert_on_a_sleeve_stops_without_the_maker(run: Run) -> None:
    for gives in ("angle", "torque", "nothing"):
        got = run("insert_sleeve_seating", maker_gives=gives, zero="sleeve_grips")
        assert got["refusal"]["code"] == "maker_value_needed"
    no_zero = run("insert_sleeve_seating", {"angle_least": 1.0}, maker_gives="angle", zero="not_stated")
    assert no_zero["refusal"]["code"] == "maker_value_needed"


@pytest.mark.parametrize(
    ("turned", "position"), [(1.0, "not_yet"), (1.2, "inside"), (1.5, "inside"), (1.6, "over")]
)
def test_insert_on_a_sleeve_by_the_makers_angle(run: Run, turned: float, position: str) -> None:
    makers = {"angle_least": 1.2, "angle_most": 1.5}
    got = run("insert_sleeve_seating", makers, maker_gives="angle", zero="sleeve_grips", zero_marked=True, turned=turned, turns_free=True)  # fmt: skip
    assert window(got, "angle") == position

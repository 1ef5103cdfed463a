"""ISO 898-1 proof loads and ISO 898-5 test torques of class 45H (secondary)."""

import pytest
from outside_units import fired
from running import Run


@pytest.mark.parametrize(
    ("bolt", "screw_class", "newton"),
    [
        ("M5", "8.8", 8230),
        ("M8", "8.8", 21_200),
        ("M12", "8.8", 48_900),
        ("M16", "8.8", 91_000),
        ("M24", "12.9", 342_000),
    ],
)
def test_proof_load(run: Run, bolt: str, screw_class: str, newton: float) -> None:
    """ISO 898-1: stress area times proof stress, printed to three figures (0.3 %)."""
    got = run(
        "housing_bolt_torque", bolt=bolt, head="hex", screw_class=screw_class, lubrication="oil_or_grease",
        foot="steel", under_head="hardened_washer",
    )["values"]  # fmt: skip
    assert got["proof_load"] == pytest.approx(newton, rel=0.003)


TEST_TORQUE = {"M5": 5, "M6": 8.5, "M8": 20, "M10": 40, "M12": 65, "M16": 160}


@pytest.mark.parametrize(("screw", "torque"), TEST_TORQUE.items())
def test_45h_test_torque_is_the_ceiling(run: Run, screw: str, torque: float) -> None:
    got = run("set_screw_torque", place="ring", screw=screw, hardness="45H")
    assert got["values"]["ceiling"] == torque
    assert got["values"]["high"] <= torque
    at = run("set_screw_torque", {"high": torque}, place="ring", screw=screw, hardness="45H", set_to=torque)
    above = run(
        "set_screw_torque", {"high": torque}, place="ring", screw=screw, hardness="45H", set_to=torque + 0.001
    )
    assert "over_ceiling" not in fired(at)
    assert "over_ceiling" in fired(above)
    assert above["verdict"] == "stop"


def test_the_whole_45h_column(rows) -> None:  # type: ignore[no-untyped-def]
    """ISO 898-5: M3 0.9, M4 2.5 ... M24 520 N.m, exact."""
    printed = {
        r["size"]: float(r["test_torque_45H_N_m"]) for r in rows("set_screws") if r["test_torque_45H_N_m"]
    }
    assert printed == {"M3": 0.9, "M4": 2.5, **TEST_TORQUE, "M20": 310, "M24": 520}


@pytest.mark.parametrize("hardness", ["unknown", None])
def test_no_ceiling_is_claimed_for_an_unknown_screw(run: Run, hardness: str | None) -> None:
    got = run("set_screw_torque", place="collar", screw="M8", hardness=hardness)
    assert got["values"]["ceiling"] is None
    assert "ceiling_not_known" in fired(got)

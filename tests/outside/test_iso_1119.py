"""Angles of ISO 1119 (cone angles, secondary: read in the national edition) and of other published slopes: alignment."""

import pytest
from outside_units import DEG, MM, fired, window
from running import Run

#: taper 1:k -> cone angle in degrees, ISO 1119 Table 1 (secondary). Half of it has the tangent 1/(2k).
CONES = [
    (10, 5.72481045),
    (12, 4.77188806),
    (20, 2.86419237),
    (50, 1.14587740),
    (100, 0.57295302),
    (200, 0.28647830),
]


def pair(run: Run, span: float, height: float, side: float = 0.0, **makers: float) -> dict[str, object]:
    got: dict[str, object] = run(
        "alignment",
        makers,
        bearing_type="insert_ball",
        turning=False,
        span=span,
        height_error=height,
        side_error=side,
    )
    return got


def values(got: dict[str, object]) -> dict[str, float]:
    held = got["values"]
    assert isinstance(held, dict)
    return held


@pytest.mark.parametrize(("k", "degrees"), CONES)
def test_half_cone_angles(run: Run, k: float, degrees: float) -> None:
    got = values(pair(run, 2 * k * MM * 10, 10 * MM))
    assert got["angle"] / DEG == pytest.approx(degrees / 2, abs=5e-9)


@pytest.mark.parametrize(("run_over_rise", "degrees"), [(12, 4.76), (20, 2.86), (48, 1.19)])
def test_ramps(run: Run, run_over_rise: float, degrees: float) -> None:
    """U.S. accessibility standards, ramp 1:12 4.76 deg and walk 1:20 2.86 deg; surface 1:48 1.19 deg (memory)."""
    assert values(pair(run, run_over_rise * MM * 100, 100 * MM))["angle"] / DEG == pytest.approx(
        degrees, abs=0.006
    )


def test_a_millimetre_in_a_metre(run: Run) -> None:
    """Derived: 0.057 deg, 3.4 minutes of arc; as a machinist's level of 0.02 mm/m is near 4 seconds (DIN 877, memory)."""
    assert values(pair(run, 1.0, 1 * MM))["angle"] / DEG == pytest.approx(0.0573, abs=5e-5)
    assert values(pair(run, 1.0, 0.02 * MM))["angle"] / DEG * 3600 == pytest.approx(4, abs=0.2)


def test_height_and_side_add_at_right_angles(run: Run) -> None:
    """Euclid: 3, 4, 5."""
    got = values(pair(run, 1.0, 3 * MM, 4 * MM))
    assert got["error"] == pytest.approx(5 * MM, rel=1e-14)


def test_the_smaller_limit_rules(run: Run) -> None:
    got = pair(run, 1.0, 20 * MM, bearing_limit=2 * DEG, housing_limit=1 * DEG)
    assert values(got)["angle_limit"] == pytest.approx(1 * DEG, rel=1e-14)
    assert got["verdict"] == "stop"
    assert {"over_limit", "more_height"} <= fired(got)
    assert values(got)["error_allowed"] == pytest.approx(17.455 * MM, abs=0.001 * MM)


def test_no_limit_no_judgement(run: Run) -> None:
    """The limit is the maker's: without it the angle is told and nothing is judged."""
    got = pair(run, 1.0, 20 * MM)
    assert "limit_missing" in fired(got)
    assert got["windows"] == []
    assert values(got)["angle"] / DEG == pytest.approx(1.146, abs=0.001)


def test_an_error_that_turns_is_refused(run: Run) -> None:
    got = run("alignment", {"bearing_limit": 2 * DEG}, bearing_type="insert_ball", turning=True, span=1.0, height_error=0.0, side_error=0.0)  # fmt: skip
    assert got["refusal"]["where"] == "turns_with_shaft"


def test_a_rigid_bearing_needs_its_makers_limit(run: Run) -> None:
    asked = {
        "bearing_type": "rigid",
        "turning": False,
        "span": 1.0,
        "height_error": 1 * MM,
        "side_error": 0.0,
    }
    assert run("alignment", **asked)["refusal"]["code"] == "maker_value_needed"
    assert run("alignment", {"bearing_limit": 0.1 * DEG}, **asked)["verdict"] == "inside"


@pytest.mark.parametrize(("swivels", "check"), [("too_tight", "seat_too_tight"), ("loose", "seat_loose")])
def test_the_seat_has_to_swivel(run: Run, swivels: str, check: str) -> None:
    got = run(
        "alignment", {"bearing_limit": 2 * DEG}, bearing_type="insert_ball", turning=False, span=1.0, height_error=0.0,
        side_error=0.0, swivels=swivels,
    )  # fmt: skip
    assert check in fired(got)
    assert got["verdict"] == "stop"


def test_a_rule_too_coarse_cannot_tell(run: Run) -> None:
    """1 mm over 100 mm is 0.57 deg: no judge of half a degree."""
    got = run(
        "alignment", {"bearing_limit": 0.5 * DEG}, bearing_type="insert_ball", turning=False, span=100 * MM,
        height_error=0.0, side_error=0.0, error_step=1 * MM,
    )  # fmt: skip
    assert window(got, "misalignment") == "cannot_tell"

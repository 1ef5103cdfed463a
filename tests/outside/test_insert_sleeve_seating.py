"""Sealed or insert bearing on a sleeve, sheet insert_sleeve_seating.

The target is the maker's alone; no published angle stands in, and the reason is that they disagree: 90 to 115, 60 to 90 and
144 to 216 degrees (2/5 to 3/5 of a turn) in three public texts (secondary). What is held here from outside: the pitch of the
nut (ISO 2982-2, secondary), the taper's geometry (derived), the interference guide and the smallest clearance of a
self-aligning ball bearing (handbook table, secondary). Feel and half the clearance: common practice, no source.
"""

from typing import Any

import pytest
from outside_units import DEG, MM, UM, fired
from running import Run

ANGLE: dict[str, Any] = {"maker_gives": "angle", "zero": "sleeve_grips", "bore": 60 * MM, "taper": "one_in_12"}


@pytest.mark.parametrize("gives", ["angle", "torque", "nothing", "feel"])
def test_nothing_stands_in_for_the_maker(run: Run, gives: str) -> None:
    got = run("insert_sleeve_seating", maker_gives=gives, zero="sleeve_grips", bearing_type="insert_ball")
    assert got["refusal"]["code"] == "maker_value_needed"


@pytest.mark.parametrize(
    ("angle", "odd"), [(90, False), (115, False), (60, False), (144, False), (205, False), (59, True), (212, True), (217, True)]
)
def test_a_makers_angle_outside_all_that_is_published_is_told(run: Run, angle: float, odd: bool) -> None:
    """90-115, 60-90, 144-216 deg; the largest is the smallest and on to the next tab (5.3 deg at 60 mm)."""
    got = run("insert_sleeve_seating", {"angle_least": angle * DEG}, **ANGLE)
    assert ("maker_angle_odd" in fired(got)) is odd


def test_what_the_angle_makes_from_a_firm_zero(run: Run) -> None:
    """M60x2 (ISO 2982-2): 90 deg make 0.5 mm; 1:12 makes 41.7 um, 0.69 per mille of 60 mm; 1:30 16.7 um (derived)."""
    v = run("insert_sleeve_seating", {"angle_least": 90 * DEG}, **ANGLE)["values"]
    assert v["travel"] == pytest.approx(0.5 * MM)
    assert v["interference"] == pytest.approx(41.67 * UM, rel=1e-3)
    assert v["per_mille"] == pytest.approx(0.694e-3, rel=1e-3)
    flat = run("insert_sleeve_seating", {"angle_least": 90 * DEG}, **{**ANGLE, "taper": "one_in_30"})["values"]
    assert flat["interference"] == pytest.approx(16.67 * UM, rel=1e-3)


@pytest.mark.parametrize(("angle", "zero", "told"), [(129, "sleeve_grips", False), (130, "sleeve_grips", True), (130, "as_maker_says", False)])
def test_an_angle_too_long_for_a_firm_zero_is_told(run: Run, angle: float, zero: str, told: bool) -> None:
    """Guide 1 per mille of the bore (secondary): 60 mm, pitch 2, 1:12 reach it at 129.6 deg."""
    got = run("insert_sleeve_seating", {"angle_least": angle * DEG}, **{**ANGLE, "zero": zero})
    assert ("angle_tight" in fired(got)) is told


@pytest.mark.parametrize(("bore", "least"), [(30, 10), (50, 15), (80, 20), (120, 25)])
def test_self_aligning_ball_half_the_clearance_never_under_the_table(run: Run, bore: float, least: float) -> None:
    """Handbook table, class CN (secondary): 10 um to 40 mm, 15 to 65, 20 to 100, 25 to 120 mm."""
    ball = {"maker_gives": "feel", "zero": "not_stated", "bore": bore * MM, "bearing_type": "self_aligning_ball", "clearance_before": 40 * UM}
    got = run("insert_sleeve_seating", **ball, clearance_now=least * UM, swivel="slight", turns_free=True)
    assert got["values"]["half_left"] == pytest.approx(20 * UM)
    assert got["values"]["floor_left"] == pytest.approx(least * UM)
    assert "ball_floor" not in fired(got)
    assert "ball_floor" in fired(run("insert_sleeve_seating", **ball, clearance_now=(least - 0.01) * UM))


@pytest.mark.parametrize(("swivel", "says"), [("hard", "swivels_hard"), ("freely", "swivels_freely"), ("slight", None)])
def test_feel(run: Run, swivel: str, says: str | None) -> None:
    got = run("insert_sleeve_seating", maker_gives="feel", zero="not_stated", bearing_type="self_aligning_ball", swivel=swivel)
    assert fired(got) & {"swivels_hard", "swivels_freely"} == ({says} if says else set())
    assert (got["verdict"] == "stop") is (swivel == "hard")


def test_makers_figures_that_cross_stop(run: Run) -> None:
    got = run("insert_sleeve_seating", {"angle_least": 100 * DEG, "angle_most": 90 * DEG}, **ANGLE)
    assert "turns_crossed" in fired(got)

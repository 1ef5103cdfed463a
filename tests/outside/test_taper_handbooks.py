"""Drive-up on a taper: the table printed alike in several rolling-bearing handbooks (memory), ISO 5753-1 (secondary).

Windows and residuals exact; nut angle derived, 1 degree; travel over reduction common practice, no source.
"""

from typing import Any

import pytest
from outside_units import DEG, MM, UM, fired, window
from running import Run

HUNDRED: dict[str, Any] = {
    "bearing_type": "spherical_roller", "bore": 100 * MM, "taper": "one_in_12", "seat": "sleeve", "clearance_class": "CN",
}  # fmt: skip


def um(value: float) -> float:
    """Micrometres, as whole nanometres tell them."""
    return round(value * 1e9) / 1e3


@pytest.mark.parametrize(("seat", "least", "most"), [("shaft", 0.70, 0.90), ("sleeve", 0.75, 1.00)])
def test_100_mm_cn_95_um(run: Run, seat: str, least: float, most: float) -> None:
    got = run("taper_drive_up", **{**HUNDRED, "seat": seat, "clearance_before": 95 * UM})["values"]
    assert (um(got["reduction_least"]), um(got["reduction_most"]), um(got["residual_least"])) == (45, 60, 35)
    assert (um(got["travel_least"]), um(got["travel_most"])) == (least * 1000, most * 1000)


@pytest.mark.parametrize(("before", "most"), [(82, 47), (80, 45), (94, 59), (96, 60), (110, 60)])
def test_the_window_closes_as_the_clearance_shrinks(run: Run, before: int, most: int) -> None:
    """82 um: 45 to 47, derived from the residual of 35 um."""
    got = run("taper_drive_up", **HUNDRED, clearance_before=before * UM)["values"]
    assert (um(got["reduction_least"]), um(got["reduction_most"])) == (45, most)
    assert got["travel_most"] <= 1.0 * MM + 1e-12


@pytest.mark.parametrize(
    ("before", "now", "position"),
    [(125, 65, "inside"), (125, 80, "inside"), (125, 80.001, "not_yet"), (125, 64.999, "over")],
)
def test_exactly_on_the_limit(run: Run, before: float, now: float, position: str) -> None:
    """125 - 65 um exceeds 60 um in floats and must not here: C3, 100 mm, reduction 45 to 60 um."""
    got = run(
        "taper_drive_up",
        **{**HUNDRED, "clearance_class": "C3"},
        clearance_before=before * UM,
        clearance_now=now * UM,
    )
    assert window(got, "reduction") == position
    assert ("over_driven" in fired(got)) is (position == "over")


def test_smallest_clearance_left_is_never_crossed(run: Run) -> None:
    at = run("taper_drive_up", **HUNDRED, clearance_before=95 * UM, clearance_now=35 * UM)
    under = run("taper_drive_up", **HUNDRED, clearance_before=95 * UM, clearance_now=34.999 * UM)
    assert at["verdict"] == "inside"
    assert "reached_enough" in fired(at)
    assert under["verdict"] == "stop"
    assert "too_little_left" in fired(under)


@pytest.mark.parametrize(
    ("bearing", "bore", "clearance_class", "least", "most"),
    [
        ("spherical_roller", 100, "CN", 80, 110), ("spherical_roller", 100, "C3", 110, 140),
        ("spherical_roller", 100, "C4", 140, 180), ("self_aligning_ball", 50, "CN", 22, 39),
    ],
)  # fmt: skip
def test_iso_5753_1_and_the_check_before_mounting(
    run: Run, bearing: str, bore: float, clearance_class: str, least: int, most: int
) -> None:
    common = {**HUNDRED, "bearing_type": bearing, "bore": bore * MM, "clearance_class": clearance_class}
    for nano, speaks in ((least * 1000 - 1, "below_class"), (least * 1000, None), (most * 1000, None), (most * 1000 + 1, "above_class")):  # fmt: skip
        got = run("taper_drive_up", **common, clearance_before=nano * 1e-9)
        assert (um(got["values"]["class_least"]), um(got["values"]["class_most"])) == (least, most)
        assert fired(got) & {"below_class", "above_class"} == ({speaks} if speaks else set())


def test_bore_50_belongs_to_over_40_up_to_and_including_50(run: Run) -> None:
    """ISO 5753-1, boundary rule."""
    at = run("taper_drive_up", **{**HUNDRED, "bore": 50 * MM})["values"]
    over = run("taper_drive_up", **{**HUNDRED, "bore": 50.000001 * MM})["values"]
    assert (um(at["reduction_least"]), um(at["reduction_table"])) == (25, 30)
    assert (um(over["reduction_least"]), um(over["reduction_table"])) == (30, 40)
    assert (um(at["class_least"]), um(over["class_least"])) == (45, 55)


@pytest.mark.parametrize("clearance_class", ["C2", "C5", "unknown"])
def test_classes_outside_the_table_ask_for_the_makers_window(run: Run, clearance_class: str) -> None:
    before = 200 * UM if clearance_class == "C5" else 60 * UM  # of its class: 100 mm, C5 from 180 to 230 µm, C2 from 55 to 80 (ISO 5753-1)
    got = run("taper_drive_up", **{**HUNDRED, "clearance_class": clearance_class}, clearance_before=before)
    assert got["refusal"]["code"] == "maker_value_needed"
    makers = {"residual_least": 20 * UM, "reduction_least": 30 * UM, "reduction_table": 45 * UM}
    told = run(
        "taper_drive_up", makers, **{**HUNDRED, "clearance_class": clearance_class}, clearance_before=before
    )
    assert told["status"] == "done"
    assert um(told["values"]["reduction_most"]) == (45 if clearance_class == "C5" else 40)


@pytest.mark.parametrize(("travel", "pitch", "degrees"), [(0.70, 2, 126), (0.80, 2, 144), (1.20, 3, 144)])
def test_nut_angle(run: Run, travel: float, pitch: float, degrees: float) -> None:
    """360 s / pitch; a handbook prints travel and angle for 20 bore ranges and every pair agrees within 1 degree."""
    got = run("taper_drive_up", {"travel_least": travel * MM}, **HUNDRED, nut_pitch=pitch * MM)["values"]
    assert got["angle_least"] == pytest.approx(degrees * DEG, abs=1 * DEG)


@pytest.mark.parametrize(("bore", "pitch"), [(17, 1), (25, 1.5), (50, 1.5), (55, 2), (150, 2), (160, 3), (200, 3), (240, 4), (300, 4), (480, 5)])  # fmt: skip
def test_usual_pitch_by_bore(run: Run, bore: float, pitch: float) -> None:
    """ISO 2982-2 / DIN 981 (secondary)."""
    bearing = "self_aligning_ball" if bore < 24 else "spherical_roller"
    got = run("taper_drive_up", **{**HUNDRED, "bore": bore * MM, "bearing_type": bearing})["values"]
    assert got["pitch"] == pytest.approx(pitch * MM)


@pytest.mark.parametrize(("bore", "degrees"), [(30, 6.9), (35, 6.0), (50, 5.3), (100, 4.7)])
def test_turn_to_the_next_washer_tab(run: Run, bore: float, degrees: float) -> None:
    """360 / (4 N), N tabs from memory: 6.9, 6.0, 5.3, 4.7 degrees (derived, as printed)."""
    got = run("taper_drive_up", **{**HUNDRED, "bore": bore * MM})["values"]
    assert got["tab_step"] == pytest.approx(degrees * DEG, abs=0.05 * DEG)


@pytest.mark.parametrize(
    ("travel", "agrees"), [(0.040 * 13, True), (0.040 * 15, True), (0.040 * 19, True), (0.040 * 12.9, False), (0.040 * 19.1, False)]
)  # fmt: skip
def test_travel_has_to_agree_with_clearance(run: Run, travel: float, agrees: bool) -> None:
    """Band 13 to 19 on 1:12, bores of 40 mm and more: common practice, no source."""
    got = run(
        "taper_drive_up", **HUNDRED, clearance_before=95 * UM, clearance_now=55 * UM, travel_now=travel * MM
    )
    assert ("readings_disagree" in fired(got)) is not agrees


def test_how_far_to_go(run: Run) -> None:
    """Derived: 20 of 45 um reached, 25 to go; on a sleeve 0.75 mm for 45 um makes 0.417 mm, 75 degrees on pitch 2."""
    got = run("taper_drive_up", **HUNDRED, clearance_before=95 * UM, clearance_now=75 * UM)
    assert got["verdict"] == "not_yet"
    assert um(got["values"]["reached"]) == 20
    assert um(got["values"]["to_go_least"]) == 25
    assert got["values"]["travel_to_go"] == pytest.approx(0.4167 * MM, abs=1e-6)
    assert got["values"]["angle_to_go"] == pytest.approx(75 * DEG, abs=0.1 * DEG)


def test_a_feeler_coarser_than_the_window_cannot_tell(run: Run) -> None:
    """45 to 47 um wide by 2: a 10 um feeler cannot tell."""
    got = run(
        "taper_drive_up", **HUNDRED, clearance_before=82 * UM, clearance_now=36 * UM, feeler_step=10 * UM
    )
    assert window(got, "reduction") == "cannot_tell"
    assert got["verdict"] == "cannot_tell"


def test_self_aligning_ball_is_judged_by_clearance_and_feel(run: Run) -> None:
    """Its travel columns do not follow 1:12 geometry; the travel is never judged."""
    ball = {**HUNDRED, "bearing_type": "self_aligning_ball", "bore": 50 * MM}
    got = run("taper_drive_up", **ball, clearance_before=30 * UM, clearance_now=16 * UM, travel_now=9 * MM)
    assert (um(got["values"]["reduction_least"]), um(got["values"]["reduction_most"])) == (10, 15)
    assert "ball_by_feel" in fired(got)
    assert "readings_disagree" not in fired(got)
    assert window(got, "travel") == "open"
    assert got["verdict"] == "inside"
    assert got["values"]["travel_to_go"] is None


@pytest.mark.parametrize("reason", [{"sealed": True}, {"bearing_type": "insert_ball"}])
def test_no_feeler_goes_into_a_sealed_or_insert_bearing(run: Run, reason: dict[str, Any]) -> None:
    got = run("taper_drive_up", **{**HUNDRED, **reason})
    assert got["status"] == "refused"
    assert got["refusal"]["code"] == "not_for_this"


def test_no_travel_is_invented_where_the_table_has_none(run: Run) -> None:
    for odd in ({"bore": 30 * MM}, {"bore": 50 * MM, "taper": "one_in_30"}):
        got = run("taper_drive_up", **{**HUNDRED, **odd})
        assert got["values"]["travel_least"] is None
        assert "no_travel" in fired(got)


@pytest.mark.parametrize("bore", [24, 24.0 - 1e-6, 500.000001, 800])
def test_outside_the_table_is_refused(run: Run, bore: float) -> None:
    got = run("taper_drive_up", **{**HUNDRED, "bore": bore * MM})
    assert (got["status"], got["refusal"]["code"]) == ("refused", "outside_table")


@pytest.mark.parametrize(
    ("marked", "before", "belongs"),
    [
        ("C3", 54.9, "below"), ("C3", 55, "C2"), ("C3", 80, "C2"), ("C3", 80.1, "CN"), ("C3", 95, "CN"), ("CN", 110.1, "C3"),
        ("CN", 140, "C3"), ("CN", 140.1, "C4"), ("C3", 180.1, "C5"), ("C4", 230.1, "above"), ("CN", 95, None), ("C3", 110, None),
    ],
)  # fmt: skip
def test_which_class_a_reading_outside_its_own_belongs_to(run: Run, marked: str, before: float, belongs: str | None) -> None:
    """ISO 5753-1, tapered, over 80 to 100 mm: C2 55-80, CN 80-110, C3 110-140, C4 140-180, C5 180-230 (secondary)."""
    got = run("taper_drive_up", **{**HUNDRED, "clearance_class": marked}, clearance_before=before * UM)
    assert got["values"]["class_read"] == belongs
    assert (got["values"]["next"] == "find_out") is (belongs is not None)
    assert (got["verdict"] == "stop") is (belongs is not None)


@pytest.mark.parametrize(
    ("bore", "seat", "end", "printed"),
    [(20, "shaft", "least", 80), (30, "shaft", "least", 55), (50, "sleeve", "least", 80), (120, "sleeve", "least", 110), (120, "shaft", "most", 125)],
)  # fmt: skip
def test_printed_angles_of_self_aligning_ball_bearings(run: Run, bore: float, seat: str, end: str, printed: float) -> None:
    """A handbook prints travel and angle side by side, to 5 degrees (secondary): 0.22 mm at M20x1 80, 0.22 at x1.5 55,
    0.35 at x1.5 80, 0.60 at x2 110, 0.70 at x2 125."""
    got = run("taper_drive_up", **{**HUNDRED, "bearing_type": "self_aligning_ball", "bore": bore * MM, "seat": seat})
    assert got["values"][f"angle_{end}"] == pytest.approx(printed * DEG, abs=4.5 * DEG)


@pytest.mark.parametrize(
    ("readings", "spoke", "verdict"),
    [
        ({}, {"one_reading"}, "inside"),
        ({"travel_now": 0.8 * MM}, {"two_agree"}, "inside"),
        ({"angle_now": 144 * DEG}, {"two_agree"}, "inside"),
        ({"travel_now": 0.8 * MM, "angle_now": 144 * DEG}, {"three_agree"}, "inside"),
        ({"angle_now": 60 * DEG}, {"angle_off_clearance"}, "caution"),
        ({"travel_now": 0.8 * MM, "angle_now": 60 * DEG}, {"angle_disagrees"}, "caution"),
        ({"travel_now": 0.2 * MM, "angle_now": 300 * DEG}, {"readings_disagree", "angle_disagrees", "none_agree"}, "stop"),
    ],
)  # fmt: skip
def test_two_of_three_readings_have_to_agree(run: Run, readings: dict[str, float], spoke: set[str], verdict: str) -> None:
    """50 um reached at 100 mm on 1:12; band 13 to 19, pitch 2: common practice, no source."""
    got = run("taper_drive_up", **HUNDRED, clearance_before=95 * UM, clearance_now=45 * UM, **readings)
    agreement = {"one_reading", "two_agree", "three_agree", "none_agree", "readings_disagree", "angle_disagrees", "angle_off_clearance"}
    assert fired(got) & agreement == spoke
    assert got["verdict"] == verdict


def test_the_feeler_that_would_tell_is_named(run: Run) -> None:
    """82 um: a window of 2 um; a feeler of 10 cannot tell, one of 2 can."""
    at = {"clearance_before": 82 * UM, "clearance_now": 36 * UM}
    coarse = run("taper_drive_up", **HUNDRED, **at, feeler_step=10 * UM)
    assert um(coarse["values"]["window_width"]) == 2
    assert "feeler_coarse" in fired(coarse)
    assert coarse["values"]["next"] == "finer_feeler"
    fine = run("taper_drive_up", **HUNDRED, **at, feeler_step=2 * UM)
    assert "feeler_coarse" not in fired(fine)
    assert (fine["verdict"], fine["values"]["next"]) == ("inside", "stop_and_lock")


@pytest.mark.parametrize(
    ("readings", "step"),
    [
        ({}, "measure_before"), ({"clearance_before": 95}, "drive_up"), ({"clearance_before": 95, "clearance_now": 96}, "measure_again"),
        ({"clearance_before": 95, "clearance_now": 75}, "push_on"), ({"clearance_before": 95, "clearance_now": 50}, "stop_and_lock"),
        ({"clearance_before": 95, "clearance_now": 34}, "take_down"), ({"clearance_before": 79}, "find_out"), ({"clearance_before": 111}, "find_out"),
    ],
)  # fmt: skip
def test_what_to_do_next(run: Run, readings: dict[str, float], step: str) -> None:
    assert run("taper_drive_up", **HUNDRED, **{k: v * UM for k, v in readings.items()})["values"]["next"] == step


@pytest.mark.parametrize(
    ("makers", "spoke"),
    [
        ({"residual_least": 30 * UM}, {"maker_residual_less"}), ({"residual_least": 35 * UM}, set()), ({"residual_least": 40 * UM}, set()),
        ({"reduction_table": 61 * UM}, {"maker_reduction_more"}), ({"reduction_table": 60 * UM}, set()),
        ({"travel_least": 0.4 * MM}, {"maker_travel_odd"}), ({"travel_least": 0.7 * MM}, set()),
    ],
)  # fmt: skip
def test_a_makers_figure_in_conflict_is_shown(run: Run, makers: dict[str, float], spoke: set[str]) -> None:
    """Table at 100 mm: 45 to 60 um, 35 um left (secondary); the maker's stands, the conflict is told."""
    got = run("taper_drive_up", makers, **HUNDRED, clearance_before=100 * UM)
    assert got["status"] == "done"
    assert fired(got) & {"maker_residual_less", "maker_reduction_more", "maker_travel_odd"} == spoke
    for name, value in makers.items():
        assert got["values"][name] == value


@pytest.mark.parametrize(("travel", "now", "stops"), [(1.0, 51, False), (1.01, 51, True), (1.01, 50, False)])
def test_travel_past_its_largest_before_the_clearance_is_down(run: Run, travel: float, now: float, stops: bool) -> None:
    """Sleeve, 100 mm: 0.75 to 1.00 mm for 45 to 60 um (secondary). The clearance leads; a push on blind does not."""
    got = run("taper_drive_up", **HUNDRED, clearance_before=95 * UM, clearance_now=now * UM, travel_now=travel * MM)
    assert ("travel_past" in fired(got)) is stops
    assert (got["values"]["next"] == "measure_again") is stops


def test_travel_alone_does_not_end_the_drive_up(run: Run) -> None:
    got = run("taper_drive_up", **HUNDRED, clearance_before=95 * UM, travel_now=0.8 * MM)
    assert window(got, "travel") == "inside"
    assert (got["verdict"], got["values"]["next"]) == ("caution", "drive_up")
    assert "clearance_wanted" in fired(got)

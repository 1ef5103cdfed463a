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
    got = run("taper_drive_up", **{**HUNDRED, "clearance_class": clearance_class}, clearance_before=60 * UM)
    assert got["refusal"]["code"] == "maker_value_needed"
    makers = {"residual_least": 20 * UM, "reduction_least": 30 * UM, "reduction_table": 45 * UM}
    told = run(
        "taper_drive_up", makers, **{**HUNDRED, "clearance_class": clearance_class}, clearance_before=60 * UM
    )
    assert told["status"] == "done"
    assert um(told["values"]["reduction_most"]) == 40


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

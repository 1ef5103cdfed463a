"""Clearance classes, sheet clearance_check: ISO 5753-1 (secondary), ISO 9628 Group N for insert bearings (secondary).

The deep-groove row of 50 to 65 mm was read once more in a public catalogue table that quotes the standard. The three-point rule
is read in a handbook (secondary); feeler technique is common practice.
"""

from typing import Any

import pytest
from outside_units import MM, UM, fired, window
from running import Run

HUNDRED: dict[str, Any] = {"bearing": "spherical_roller", "bore_kind": "tapered", "bore": 100 * MM, "clearance_class": "CN"}


def um(value: float) -> float:
    return round(value * 1e9) / 1e3


@pytest.mark.parametrize(
    ("bearing", "kind", "bore", "name", "least", "most"),
    [
        ("spherical_roller", "tapered", 100, "CN", 80, 110), ("spherical_roller", "tapered", 100, "C3", 110, 140),
        ("spherical_roller", "tapered", 100, "C4", 140, 180), ("self_aligning_ball", "tapered", 50, "CN", 22, 39),
        ("spherical_roller", "cylindrical", 100, "CN", 60, 100), ("deep_groove_ball", "cylindrical", 60, "C2", 1, 15),
        ("deep_groove_ball", "cylindrical", 60, "CN", 8, 28), ("deep_groove_ball", "cylindrical", 60, "C3", 23, 43),
        ("deep_groove_ball", "cylindrical", 60, "C4", 38, 61), ("deep_groove_ball", "cylindrical", 60, "C5", 55, 90),
        ("deep_groove_ball", "cylindrical", 35, "CN", 6, 20), ("deep_groove_ball", "cylindrical", 45, "C3", 18, 36),
        ("insert_ball", "cylindrical", 50, "CN", 14, 36), ("insert_ball", "cylindrical", 30, "CN", 12, 28),
        ("insert_ball", "cylindrical", 100, "CN", 24, 58),
    ],
)  # fmt: skip
def test_limits(run: Run, bearing: str, kind: str, bore: float, name: str, least: int, most: int) -> None:
    common = {"bearing": bearing, "bore_kind": kind, "bore": bore * MM, "clearance_class": name}
    for nano, speaks in ((least * 1000 - 1, "below_class"), (least * 1000, None), (most * 1000, None), (most * 1000 + 1, "above_class")):
        if nano < 0:
            continue
        got = run("clearance_check", **common, reading=nano * 1e-9)
        assert (um(got["values"]["class_least"]), um(got["values"]["class_most"])) == (least, most)
        assert fired(got) & {"below_class", "above_class"} == ({speaks} if speaks else set())
        assert got["values"]["next"] == ("find_out" if speaks else "go_on")


@pytest.mark.parametrize(
    ("reading", "first", "last"),
    [
        (54.9, "below", "none"), (55, "C2", "none"), (79.9, "C2", "none"), (80, "C2", "CN"), (80.1, "CN", "none"), (110, "CN", "C3"),
        (110.1, "C3", "none"), (140, "C3", "C4"), (180, "C4", "C5"), (180.1, "C5", "none"), (230, "C5", "none"), (230.1, "above", "none"),
    ],
)  # fmt: skip
def test_which_class_a_roller_reading_belongs_to(run: Run, reading: float, first: str, last: str) -> None:
    """ISO 5753-1, tapered, over 80 to 100 mm: C2 55-80, CN 80-110, C3 110-140, C4 140-180, C5 180-230."""
    v = run("clearance_check", **{**HUNDRED, "clearance_class": "unknown"}, reading=reading * UM)["values"]
    assert (v["class_first"], v["class_last"], v["next"]) == (first, last, "ask")


@pytest.mark.parametrize(("reading", "first", "last"), [(20, "C2", "none"), (25, "C2", "CN"), (30, "CN", "none"), (35, "CN", "C3"), (42, "C3", "none")])
def test_ball_classes_overlap(run: Run, reading: float, first: str, last: str) -> None:
    """ISO 5753-1, self-aligning ball, tapered, over 40 to 50 mm: C2 14-27, CN 22-39, C3 33-52: a reading can belong to two."""
    got = run("clearance_check", **{**HUNDRED, "bearing": "self_aligning_ball", "bore": 50 * MM}, reading=reading * UM)
    assert (got["values"]["class_first"], got["values"]["class_last"]) == (first, last)
    assert ("two_classes" in fired(got)) is (last != "none")


def test_a_c3_bearing_measured_below_its_class(run: Run) -> None:
    got = run("clearance_check", **{**HUNDRED, "clearance_class": "C3"}, reading=95 * UM)
    assert got["verdict"] == "stop"
    assert got["values"]["class_first"] == "CN"


def test_bore_50_belongs_to_over_40_up_to_and_including_50(run: Run) -> None:
    """ISO 5753-1, boundary rule: 45 to 60 um at 50 mm, 55 to 75 just over it (tapered spherical roller, CN)."""
    at = run("clearance_check", **{**HUNDRED, "bore": 50 * MM})["values"]
    over = run("clearance_check", **{**HUNDRED, "bore": 50.000001 * MM})["values"]
    assert (um(at["class_least"]), um(at["class_most"])) == (45, 60)
    assert (um(over["class_least"]), um(over["class_most"])) == (55, 75)


def test_three_readings(run: Run) -> None:
    """G = (a + b + c)/2: 60, 64, 70 um make 97 um."""
    got = run("clearance_check", **HUNDRED, left_side=60 * UM, right_side=64 * UM, top=70 * UM)
    assert um(got["values"]["clearance"]) == 97
    assert window(got, "before") == "inside"
    assert run("clearance_check", **HUNDRED, left_side=60 * UM)["values"]["next"] == "measure"


def test_a_feeler_coarser_than_the_class_cannot_tell(run: Run) -> None:
    """CN at 100 mm is 30 um wide: steps of 30 tell, of 31 do not."""
    coarse = run("clearance_check", **HUNDRED, reading=95 * UM, step=31 * UM)
    assert (coarse["verdict"], coarse["values"]["next"]) == ("cannot_tell", "finer")
    assert "coarse" in fired(coarse)
    fine = run("clearance_check", **HUNDRED, reading=95 * UM, step=30 * UM)
    assert fine["verdict"] == "inside"


@pytest.mark.parametrize(("reading", "near"), [(99, False), (100, False), (101, True), (110, True), (111, False)])
def test_the_next_blade_over_the_end_is_told(run: Run, reading: float, near: bool) -> None:
    got = run("clearance_check", **HUNDRED, reading=reading * UM, step=10 * UM)
    assert ("near_end" in fired(got)) is near


def test_two_rows_that_differ(run: Run) -> None:
    for other, apart in ((105, False), (106, True)):
        got = run("clearance_check", **HUNDRED, reading=95 * UM, step=10 * UM, other_row=other * UM)
        assert ("rows_differ" in fired(got)) is apart


def test_what_the_table_does_not_hold_is_refused(run: Run) -> None:
    insert = {**HUNDRED, "bearing": "insert_ball"}
    assert run("clearance_check", **insert)["refusal"]["where"] == "tapered_insert"
    got = run("clearance_check", **{**insert, "bore_kind": "cylindrical", "clearance_class": "C3"})
    assert got["refusal"]["code"] == "maker_value_needed"
    assert run("clearance_check", **{**HUNDRED, "bore": 900 * MM, "bearing": "self_aligning_ball"})["refusal"]["code"] == "outside_table"

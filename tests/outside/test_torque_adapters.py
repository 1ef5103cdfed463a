"""Torque adapters: NAVEDTRA 14315 and an aircraft maintenance manual (secondary), 0.1 %.

Range rule: US Army TM 1-1500-204-23-9 (secondary). Drag: FAA AC 43.13-1B, 7-40 d (secondary).
Twelve months: memory of ISO 6789.
"""

from math import pi

import pytest
from outside_units import DAY, DEG, IN, LBF_IN, fired
from running import Run


@pytest.mark.parametrize(
    ("torque", "length", "adapter", "angle", "expected"),
    [
        (100, 12, 6, None, 66.7),
        (135, 10, 1.5, None, 117.39),
        (135, 10, -1.5, None, 158.82),
        (135, 10, 1.5, pi, 158.82),  # straight back by angle is the same thing
        (135, 10, 1.5, pi / 2, 135.0),  # square: no correction
    ],
)
def test_setting(
    run: Run, torque: float, length: float, adapter: float, angle: float | None, expected: float
) -> None:
    got = run(
        "torque_wrench", torque_wanted=torque * LBF_IN, wrench_length=length * IN, adapter_length=adapter * IN,
        adapter_angle=angle,
    )["values"]  # fmt: skip
    assert got["set_on_wrench"] / LBF_IN == pytest.approx(expected, rel=0.001)


def test_no_adapter_sets_what_is_wanted_and_drag_is_added(run: Run) -> None:
    assert run("torque_wrench", torque_wanted=50.0)["values"]["set_on_wrench"] == 50.0
    assert run("torque_wrench", torque_wanted=50.0, drag=4.0)["values"]["set_on_wrench"] == 54.0


@pytest.mark.parametrize(
    ("torque", "speaks"),
    [(19.999, "under_range"), (20.0, "range_edge"), (29.999, "range_edge"), (30.0, None), (80.0, None),
     (80.001, "range_edge"), (100.0, "range_edge"), (100.001, "over_range")],
)  # fmt: skip
def test_range_edges(run: Run, torque: float, speaks: str | None) -> None:
    got = run("torque_wrench", torque_wanted=torque, wrench_most=100.0)
    assert fired(got) & {"under_range", "range_edge", "over_range"} == ({speaks} if speaks else set())
    assert (got["verdict"] == "stop") == (speaks in {"under_range", "over_range"})


def test_the_range_is_judged_after_the_adapter(run: Run) -> None:
    """95 N.m wanted suits a 100 N.m wrench; an adapter that points back asks more of it than it has."""
    got = run(
        "torque_wrench", torque_wanted=95.0, wrench_length=0.25, adapter_length=-0.0375, wrench_most=100.0
    )
    assert "over_range" in fired(got)


@pytest.mark.parametrize(("days", "old"), [(365, False), (366, True)])
def test_calibration_age(run: Run, days: float, old: bool) -> None:
    assert (
        "calibration_old" in fired(run("torque_wrench", torque_wanted=50.0, calibrated_days_ago=days * DAY))
    ) is old


def test_what_cannot_be_corrected_is_refused(run: Run) -> None:
    beam = run("torque_wrench", torque_wanted=50.0, wrench="beam", handle_extension=True)
    assert beam["refusal"]["code"] == "not_for_this"
    past = run("torque_wrench", torque_wanted=50.0, wrench_length=0.3, adapter_length=-0.4)
    assert past["status"] == "refused"
    no_length = run("torque_wrench", torque_wanted=50.0, adapter_length=0.1)
    assert no_length["refusal"]["code"] == "missing_input"


def test_an_adapter_said_to_point_back_twice_is_not_taken_for_one_that_points_forward(run: Run) -> None:
    """cos 135 deg times a length below zero is above zero: the setting would come out too low, and the screw too loose."""
    for length, angle, taken in ((-0.06, 135, False), (0.06, 135, True), (-0.06, 45, True), (-0.06, 90, True)):
        got = run("torque_wrench", torque_wanted=80.0, wrench_length=0.45, adapter_length=length, adapter_angle=angle * DEG)
        assert (got["status"] == "done") is taken, (length, angle)
        if taken and angle != 90:
            assert got["values"]["set_on_wrench"] == pytest.approx(80 * 0.45 / (0.45 - 0.06 / 2**0.5))

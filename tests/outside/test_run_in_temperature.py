"""Run-in temperature. API 610, 6.10.2.4, 40 K over the air for oil sumps, is read in a public text (secondary); a
public compressor manual gives a first-ten-minutes rate (secondary, for sleeve bearings: only that we do not stop there);
the rest, levels, rate, steady rule, ends, is common practice or memory, so these tests hold the rule as it is told."""

from typing import Any

import pytest
from outside_units import CELSIUS_ZERO, fired, window
from running import Run

MINUTE = 60.0
TIMES = ("minutes_before", "span")


def read(
    run: Run, minutes: float, air: float, end_a: float, makers: dict[str, float] | None = None, **more: Any
) -> dict[str, Any]:
    """A reading in minutes and degrees Celsius; times in `more` are minutes too."""
    said = {
        key: value * MINUTE
        if key in TIMES
        else value + CELSIUS_ZERO
        if isinstance(value, int | float)
        else value
        for key, value in more.items()
    }
    got: dict[str, Any] = run(
        "run_in_temperature",
        makers,
        minutes=minutes * MINUTE,
        ambient=air + CELSIUS_ZERO,
        end_a=end_a + CELSIUS_ZERO,
        **said,
    )
    return got


def test_forty_kelvin_over_the_air(run: Run) -> None:
    """API 610: rise at most 40 K. 25 C air: 65 C is at the limit, 65.1 over; 70 C on a 31 C day is not."""
    assert window(read(run, 120, 25, 65), "rise") == "inside"
    assert "rise_high" in fired(read(run, 120, 25, 65.1))
    assert "rise_high" not in fired(read(run, 120, 31, 70))


@pytest.mark.parametrize(("per_minute", "after", "name"), [
    (1.4, 20, "climbs_fast"), (1.6, 20, "climbs_too_fast"), (2.0, 20, "climbs_too_fast"), (0.9, 20, None), (2.0, 10, "early_fast"),
])  # fmt: skip
def test_rate_after_ten_minutes(run: Run, per_minute: float, after: float, name: str | None) -> None:
    """More than 1.5 to 2 K/min that goes on after 10 min: stop (memory); the lower end is taken."""
    got = read(
        run,
        after,
        20,
        20 + per_minute * after,
        minutes_before=after - 5,
        end_a_before=20 + per_minute * (after - 5),
    )
    spoken = fired(got) & {"climbs_fast", "climbs_too_fast", "early_fast"}
    assert spoken == ({name} if name else set())
    assert got["values"]["rate"] == pytest.approx(per_minute * 10)


def test_first_ten_minutes_of_the_compressor_manual_do_not_stop_it(run: Run) -> None:
    """11 to 14 K in the first 10 min, about 22 K at 30 min are normal there."""
    for minutes, rise, before, rise_before in ((10, 14, 0, 0), (30, 22, 10, 14)):
        got = read(run, minutes, 20, 20.0 + rise, minutes_before=before, end_a_before=20.0 + rise_before)
        assert got["verdict"] != "stop"


def test_steady_is_one_kelvin_in_thirty_minutes(run: Run) -> None:
    """<= 1 K per 30 min, or 2 K/h (memory)."""
    for readings, span, position in (
        ([50.0, 51.0], 30, "inside"),
        ([50.0, 51.2], 30, "not_yet"),
        ([50.0, 52.0], 60, "inside"),
        ([50.0, 52.1], 60, "not_yet"),
    ):
        got = read(run, 180, 22, 51, last_readings=[one + CELSIUS_ZERO for one in readings], span=span)
        assert window(got, "steady") == position
    short = read(run, 180, 22, 51, last_readings=[323.15, 323.15], span=20)
    assert "span_short" in fired(short)
    assert short["values"]["in_30_min"] is None


@pytest.mark.parametrize(("steady", "air", "alarm"), [(50, 20, 60), (70, 20, 80), (75, 15, 80), (45, 25, 55)])
def test_alarm_from_its_own_steady_value(run: Run, steady: float, air: float, alarm: float) -> None:
    """Steady + max(10 K, 20 % of the rise), never over the level alarm of 80 C (common practice)."""
    got = read(run, 600, air, steady, steady_end=float(steady), steady_ambient=float(air))
    assert got["values"]["alarm"] == pytest.approx(alarm + CELSIUS_ZERO)
    wide = read(
        run,
        600,
        10,
        70,
        {"level_alarm": 100 + CELSIUS_ZERO, "level_stop": 110 + CELSIUS_ZERO},
        steady_end=70.0,
        steady_ambient=10.0,
    )
    assert wide["values"]["alarm"] == pytest.approx(82 + CELSIUS_ZERO)  # 60 K of rise: a fifth is 12 K


def test_levels_and_ends(run: Run) -> None:
    """80 C alarm, 95 C stop; ends 10 K look, 30 K stop (memory)."""
    assert "at_alarm_level" not in fired(read(run, 60, 45, 80))
    assert "at_alarm_level" in fired(read(run, 60, 45, 80.1))
    assert read(run, 60, 60, 95.1)["verdict"] == "stop"
    assert fired(read(run, 60, 25, 50, end_b=40.0)) & {"ends_apart", "ends_far_apart"} == set()
    assert "ends_apart" in fired(read(run, 60, 25, 50, end_b=39.9))
    assert "ends_far_apart" in fired(read(run, 60, 25, 60, end_b=29.9))


def test_the_maker_may_set_the_stop_and_is_asked_about_it(run: Run) -> None:
    got = read(run, 60, 40, 78, {"level_stop": 120 + CELSIUS_ZERO})
    assert "maker_over_practice" in fired(got)
    assert got["verdict"] == "caution"
    assert "levels_cross" in fired(read(run, 60, 40, 60, {"level_alarm": 99 + CELSIUS_ZERO}))

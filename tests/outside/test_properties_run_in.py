"""Grease, temperature, vibration, re-torque: monotone where physics says so, limits that never cross, units that change nothing."""

from collections.abc import Callable
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from outside_units import CELSIUS_ZERO, IN, MM, RPM
from running import Run

quick = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
WORDS = {
    "dirt": ["clean", "dusty", "some_grit", "much_grit"], "moisture": ["dry", "damp", "condensation", "splashed"],
    "vibration": ["smooth", "rough", "very_rough"], "position": ["horizontal", "vertical"],
    "bearing_type": ["ball", "cylindrical_or_needle_roller", "spherical_or_tapered_roller"],
}  # fmt: skip
EASY = {one: words[0] for one, words in WORDS.items()} | {
    "sealing": "can_be_greased", "measured_at": "housing", "entry": "side", "grease": "same",
}  # fmt: skip


def interval(run: Run, **said: object) -> float | None:
    values = {
        **EASY,
        "bore": 50 * MM,
        "outside_d": 110 * MM,
        "width": 27 * MM,
        "speed": 1000 * RPM,
        "temperature": 330.0,
        **said,
    }
    got: float | None = run("relubrication", **values)["values"]["interval"]
    return got


@quick
@given(st.sampled_from(sorted(WORDS)), st.data())
def test_worse_surroundings_never_lengthen_the_interval(run: Run, what: str, data: st.DataObject) -> None:
    words = WORDS[what]
    worse = data.draw(st.integers(1, len(words) - 1))
    better, other = interval(run, **{what: words[worse - 1]}), interval(run, **{what: words[worse]})
    assert better is not None
    assert other is not None
    assert other < better


@quick
@given(st.floats(20, 89), st.floats(20, 89), st.floats(10, 2500), st.floats(10, 2500))
def test_hotter_and_faster_is_sooner(run: Run, one: float, other: float, slow: float, fast: float) -> None:
    cool, hot = sorted((one, other))
    a, b = (interval(run, temperature=value + CELSIUS_ZERO) for value in (cool, hot))
    assert a is not None
    assert b is not None
    assert b <= a
    low, high = sorted((slow, fast))
    c, d = interval(run, speed=low * RPM), interval(run, speed=high * RPM)
    assert c is not None
    assert d is None or d <= c


@quick
@given(
    st.floats(0.05, 2.0),
    st.floats(0.05, 2.0),
    st.sampled_from(["slow_or_dirty", "normal", "fast"]),
    st.floats(1, 5000),
)
def test_a_heavier_bearing_has_less_room(
    run: Run, one: float, other: float, duty: str, housing: float
) -> None:
    light, heavy = sorted((one, other))

    def fill(mass: float) -> dict[str, Any]:
        got: dict[str, Any] = run(
            "grease_fill",
            delivered="open",
            bore=50 * MM,
            outside_d=110 * MM,
            width=27 * MM,
            bearing_mass=mass,
            duty=duty,
            housing_space=housing * 1e-6,
        )
        return got

    a, b = fill(light), fill(heavy)
    assert b["values"]["free_space"] <= a["values"]["free_space"]
    for got in (a, b):
        if got["refusal"] is None:
            values = got["values"]
            assert 0 < values["total_least"] <= values["total_most"] <= 1.1 * values["all_space"]
        else:
            assert got["refusal"]["where"] == "mass_too_large"


def test_fast_takes_less_than_normal_and_normal_less_than_slow(run: Run) -> None:
    most = [
        run(
            "grease_fill",
            delivered="open",
            bore=50 * MM,
            outside_d=110 * MM,
            width=27 * MM,
            bearing_mass=1.0,
            duty=duty,
            housing_space=3e-4,
        )["values"]["total_most"]
        for duty in ("fast", "normal", "slow_or_dirty")
    ]
    assert most == sorted(most)
    assert most[0] < most[1] < most[2]


@quick
@given(
    st.floats(0, 40),
    st.sampled_from([20e3, 300e3, 301e3, 2e6]),
    st.sampled_from(["rigid", "flexible"]),
    st.floats(0, 10),
)
def test_more_vibration_is_never_a_better_zone(
    run: Run, velocity: float, power: float, support: str, more: float
) -> None:
    said = {
        "machine": "general",
        "power": power,
        "support": support,
        "speed": 1500 * RPM,
        "state": "in_service",
        "velocity_as": "rms",
    }
    a, b = (
        run("run_in_vibration", velocity=value * 1e-3, **said)["values"]
        for value in (velocity, velocity + more)
    )
    assert a["zone"] <= b["zone"]
    assert a["v_ab"] < a["v_bc"] < a["v_cd"] <= a["trip"]
    assert a["v_ab"] < a["accept"] < a["v_bc"]


@quick
@given(st.floats(10, 60), st.floats(0, 60), st.floats(0, 60))
def test_own_alarm_lies_over_its_steady_value(run: Run, air: float, rise: float, other: float) -> None:
    low, high = sorted((rise, other))

    def alarm(steady: float) -> float:
        value: float = run(
            "run_in_temperature", minutes=3600.0, ambient=air + CELSIUS_ZERO, end_a=air + CELSIUS_ZERO, steady_end=air + steady + CELSIUS_ZERO,
            steady_ambient=air + CELSIUS_ZERO,
        )["values"]["own_alarm"]  # fmt: skip
        return value

    assert alarm(low) >= air + low + CELSIUS_ZERO + 10 - 1e-9
    assert alarm(low) <= alarm(high) + 1e-9


@quick
@given(st.sampled_from(["nothing", "first", "day", "week"]), st.floats(0, 6000), st.floats(0, 6000))
def test_waiting_never_makes_it_less_due(run: Run, done: str, one: float, other: float) -> None:
    order = ["not_yet", "due", "overdue"]
    early, late = sorted((one, other))
    states = [
        run(
            "retorque_due",
            part="base_bolts",
            thread_locked=False,
            started=True,
            done=done,
            run_hours=at * 3600.0,
        )["values"]["state"]
        for at in (early, late)
    ]
    assert order.index(states[0]) <= order.index(states[1])


@quick
@given(
    st.sampled_from(["M6", "M8", "M12"]),
    st.floats(5, 60),
    st.floats(5, 60),
    st.sampled_from(["fine", "usual", "rough"]),
)
def test_a_longer_screw_loses_less(run: Run, screw: str, one: float, other: float, roughness: str) -> None:
    short, long = sorted((one, other))
    losses = [
        run(
            "retorque_due",
            part="base_bolts",
            thread_locked=False,
            started=True,
            done="nothing",
            screw=screw,
            loaded_length=at * MM,
            roughness=roughness,
        )["values"]["loss"]
        for at in (short, long)
    ]
    assert losses[1] <= losses[0]


def test_units_change_nothing(run: Run) -> None:
    """2 x 4 x 1 in and 50.8 x 101.6 x 25.4 mm are one bearing; 0.1 in/s and 2.54 mm/s one reading."""
    inch = run(
        "relubrication",
        **EASY,
        bore=2 * IN,
        outside_d=4 * IN,
        width=1 * IN,
        speed=500 * RPM,
        temperature=330.0,
    )
    metric = run(
        "relubrication",
        **EASY,
        bore=50.8 * MM,
        outside_d=101.6 * MM,
        width=25.4 * MM,
        speed=500 * RPM,
        temperature=330.0,
    )
    assert (
        abs(inch["values"]["interval"] - metric["values"]["interval"]) < 1e-6 * metric["values"]["interval"]
    )
    assert inch["verdict"] == metric["verdict"]


def test_tables_are_ordered(rows: Callable[[str], list[dict[str, str]]]) -> None:
    """Boundaries rise along a row; flexible allows more than rigid, a larger group more than a smaller one."""
    zones = {(row["group"], row["support"]): row for row in rows("vibration_zones")}
    for row in zones.values():
        for quantity in ("v_{}_mm_s", "s_{}_um"):
            a, b, c = (float(row[quantity.format(pair)]) for pair in ("ab", "bc", "cd"))
            assert a < b < c
    for column in ("v_ab_mm_s", "v_bc_mm_s", "v_cd_mm_s", "s_ab_um", "s_bc_um", "s_cd_um"):
        for group in ("group_1", "group_2"):
            assert float(zones[group, "rigid"][column]) < float(zones[group, "flexible"][column])
        for support in ("rigid", "flexible"):
            assert float(zones["group_2", support][column]) < float(zones["group_1", support][column])
    for row in rows("fan_vibration"):
        assert float(row["start_up_mm_s"]) < float(row["alarm_mm_s"]) < float(row["shut_down_mm_s"])
    for row in rows("grease_factors"):
        assert 0 < float(row["factor"]) <= (10 if row["what"] == "type" else 1)
    steps = [float(row["hours_h"]) for row in rows("retorque_steps")]
    assert steps == sorted(set(steps))
    settling = rows("settling")
    for column in ("thread_um", "face_um", "joint_um"):
        values = [float(row[column]) for row in settling]
        assert values == sorted(values)

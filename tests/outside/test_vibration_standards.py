"""ISO 20816-3 with the numbers of ISO 10816-3, and ISO 14694 (secondary: read in public texts that quote them)."""

import math

import pytest
from outside_units import IN, MM, RPM, UM, fired, window
from running import Run

MMS = 1e-3
#: group, support, velocity A/B, B/C, C/D in mm/s r.m.s., displacement in um r.m.s. (annex A, tables A.1 and A.2).
ZONES = [
    (500e3, "rigid", (2.3, 4.5, 7.1), (29, 57, 90)),
    (500e3, "flexible", (3.5, 7.1, 11.0), (45, 90, 140)),
    (75e3, "rigid", (1.4, 2.8, 4.5), (22, 45, 71)),
    (75e3, "flexible", (2.3, 4.5, 7.1), (37, 71, 113)),
]
#: category, support, start-up, alarm, shut-down in mm/s r.m.s. (table 5).
FANS = [
    ("BV-3", "rigid", 4.5, 7.1, 9.0), ("BV-3", "flexible", 6.3, 11.8, 12.5),
    ("BV-4", "rigid", 2.8, 4.5, 7.1), ("BV-4", "flexible", 4.5, 7.1, 11.2),
]  # fmt: skip
BASE = {"machine": "general", "speed": 1480 * RPM, "velocity_as": "rms", "displacement_as": "rms"}


@pytest.mark.parametrize(("power", "support", "velocity", "displacement"), ZONES)
def test_zones_at_every_boundary(
    run: Run, power: float, support: str, velocity: tuple[float, ...], displacement: tuple[float, ...]
) -> None:
    for at, zones in enumerate(("AB", "BC", "CD")):
        for step, zone in ((0.0, zones[0]), (0.001, zones[1])):
            said = {**BASE, "power": power, "support": support, "state": "in_service"}
            assert (
                run("run_in_vibration", **said, velocity=(velocity[at] + step) * MMS)["values"]["zone"]
                == zone
            )
            assert (
                run("run_in_vibration", **said, displacement=(displacement[at] + step) * UM)["values"]["zone"]
                == zone
            )


def test_the_worse_quantity_rules(run: Run) -> None:
    """Velocity in A (1.0), displacement in C (50 um) for group 2 rigid: zone C (ISO 20816-3, memory)."""
    got = run(
        "run_in_vibration",
        **BASE,
        power=75e3,
        support="rigid",
        state="in_service",
        velocity=1.0 * MMS,
        displacement=50 * UM,
    )
    assert got["values"]["zone"] == "C"
    assert "displacement_governs" in fired(got)


@pytest.mark.parametrize(
    ("power", "height", "group"),
    [(15e3, None, "no_table"), (15.001e3, None, "group_2"), (300e3, None, "group_2"), (300.001e3, None, "group_1"),
     (200e3, 315, "group_1"), (400e3, 314, "group_2"), (20e3, 159, "no_table"), (11e3, 160, "group_2")],
)  # fmt: skip
def test_groups_by_power_and_by_shaft_height(
    run: Run, power: float, height: float | None, group: str
) -> None:
    """Group 2 over 15 up to 300 kW or 160 <= H < 315 mm; group 1 above (tables A.1 and A.2, secondary)."""
    said = {**BASE, "power": power, "support": "rigid", "state": "in_service", "velocity": 1.0 * MMS}
    if height is not None:
        said["shaft_height"] = height * MM
    assert run("run_in_vibration", **said)["values"]["group"] == group


def test_change_alarm_and_trip(run: Run) -> None:
    """25 % of B/C counts; alarm baseline + 25 % of B/C, at most 1.25 B/C; trip at most 1.25 C/D (ISO 20816-3, memory)."""
    said = {**BASE, "power": 75e3, "support": "rigid", "state": "in_service"}
    got = run("run_in_vibration", **said, velocity=1.7 * MMS, baseline=1.0 * MMS)
    assert got["values"]["change_most"] == pytest.approx(0.7 * MMS)
    assert got["values"]["alarm"] == pytest.approx(1.7 * MMS)
    assert got["values"]["trip"] == pytest.approx(5.625 * MMS)
    assert "changed" not in fired(got)
    assert "changed" in fired(run("run_in_vibration", **said, velocity=1.71 * MMS, baseline=1.0 * MMS))
    assert "changed" in fired(
        run("run_in_vibration", **said, velocity=0.2 * MMS, baseline=1.0 * MMS)
    )  # down counts too
    assert run("run_in_vibration", **said, velocity=3.0 * MMS, baseline=3.4 * MMS)["values"][
        "alarm"
    ] == pytest.approx(3.5 * MMS)


@pytest.mark.parametrize(("category", "support", "start", "alarm", "stop"), FANS)
def test_fans(run: Run, category: str, support: str, start: float, alarm: float, stop: float) -> None:
    said = {**BASE, "machine": "fan", "power": 55e3, "support": support, "fan_category": category}
    for value, name in ((start, "new_fan_not_good"), (stop, "fan_must_stop")):
        assert name not in fired(run("run_in_vibration", **said, state="new", velocity=value * MMS))
        assert name in fired(run("run_in_vibration", **said, state="new", velocity=(value + 0.01) * MMS))
    for value, spoken in ((alarm, False), (alarm + 0.01, True)):
        assert (
            "fan_in_alarm" in fired(run("run_in_vibration", **said, state="in_service", velocity=value * MMS))
        ) is spoken


def test_fans_of_300_kw_and_more_go_by_the_zones(run: Run) -> None:
    """ISO 14694, scope: less than 300 kW (secondary)."""
    said = {
        **BASE,
        "machine": "fan",
        "support": "rigid",
        "state": "in_service",
        "velocity": 2.0 * MMS,
        "fan_category": "BV-3",
    }
    assert run("run_in_vibration", **said, power=299e3)["values"]["rule"] == "fans"
    assert run("run_in_vibration", **said, power=300e3)["values"]["rule"] == "zones"


def test_peak_and_inch_readings(run: Run) -> None:
    """4.5 mm/s r.m.s. = 0.251 in/s peak (derived); peak to peak = 2.828 r.m.s. (public conversion table, secondary)."""
    said = {**BASE, "power": 75e3, "support": "rigid", "state": "in_service"}
    got = run("run_in_vibration", **{**said, "velocity_as": "peak"}, velocity=0.2505 * IN)["values"]
    assert got["v"] == pytest.approx(4.5 * MMS, rel=0.001)
    got = run("run_in_vibration", **{**said, "displacement_as": "peak_to_peak"}, displacement=100 * UM)[
        "values"
    ]
    assert got["s"] == pytest.approx(100 / 2.828 * UM, rel=0.001)


def test_velocity_as_displacement_at_the_speed(run: Run) -> None:
    """V [in/s peak] = mils peak to peak x pi x r/min / 60 000 (a compressor handbook, secondary): 0.2 at 1800 is 2.12 mils."""
    said = {
        **BASE,
        "speed": 1800 * RPM,
        "power": 75e3,
        "support": "rigid",
        "state": "in_service",
        "velocity_as": "peak",
    }
    got = run("run_in_vibration", **said, velocity=0.2 * IN)["values"]
    mils = 0.2 * 60_000 / (math.pi * 1800)
    assert got["s_of_v"] * 2 * math.sqrt(2) / (IN / 1000) == pytest.approx(mils, rel=1e-6)


def test_a_new_machine_sits_in_a_or_low_b(run: Run) -> None:
    """“Zone A or low B” is common practice; that low means the lower half is ours."""
    said = {**BASE, "power": 75e3, "support": "rigid", "state": "new"}
    for value, verdict in ((1.4, "inside"), (2.1, "inside"), (2.2, "over"), (2.81, "stop"), (6.0, "stop")):
        got = run("run_in_vibration", **said, velocity=value * MMS)
        assert got["verdict"] == verdict, value
        assert window(got, "velocity") == ("inside" if verdict == "inside" else "over")

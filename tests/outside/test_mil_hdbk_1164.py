"""Grease by MIL-HDBK-1164, 11.6.4 (secondary: read on a public page that reprints the handbook)."""

import pytest
from outside_units import DAY, MM, RPM
from running import Run

EASY = {
    "sealing": "can_be_greased", "bearing_type": "ball", "measured_at": "outer_ring", "position": "horizontal", "dirt": "clean",
    "moisture": "dry", "vibration": "smooth", "entry": "side", "grease": "same",
}  # fmt: skip


def fahrenheit(value: float) -> float:
    return (value - 32) / 1.8 + 273.15


@pytest.mark.parametrize(("degrees", "share"), [(150, 1.0), (175, 0.5), (200, 0.25)])
def test_half_for_each_25_fahrenheit_above_150(run: Run, degrees: float, share: float) -> None:
    """Divided by 2 for every 25 F (14 C) above 150 F (65 C). The handbook rounds both; 2 % a step."""
    got = run(
        "relubrication",
        bore=50 * MM,
        outside_d=110 * MM,
        width=27 * MM,
        speed=1000 * RPM,
        temperature=fahrenheit(degrees),
        **EASY,
    )["values"]
    assert got["by_heat_navy"] == pytest.approx(share, rel=0.05)
    assert got["interval_navy"] <= got["interval"]  # the stricter of the two rules above 65 C


def test_never_longer_than_48_months(run: Run) -> None:
    got = run(
        "relubrication",
        bore=20 * MM,
        outside_d=47 * MM,
        width=14 * MM,
        speed=50 * RPM,
        temperature=300.0,
        **EASY,
    )["values"]
    assert got["interval"] > 50 * 365 * DAY
    assert got["calendar"] == pytest.approx(4 * 365.25 * DAY)


def test_oil_above_12_000_inches_a_minute(run: Run) -> None:
    """12 000 in/min, printed as 5 m/s (exactly 5.08). A note, since bearing makers allow more."""
    for mean, spoken in ((99, False), (103, True)):  # mean diameter in mm at 940 r/min: 4.87 and 5.07 m/s
        size = {"bore": (mean - 30) * MM, "outside_d": (mean + 30) * MM, "width": 20 * MM}
        got = run("relubrication", speed=940 * RPM, temperature=320.0, **size, **EASY)
        assert got["values"]["mean_speed"] == pytest.approx(3.141592653589793 * mean * MM * 940 / 60)
        assert ("over_grease_speed" in {one["name"] for one in got["checks"]}) is spoken

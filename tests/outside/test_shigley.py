"""Shigley's Mechanical Engineering Design (memory): T = K F d, and the split-ring clamp."""

import pytest
from outside_units import IN, LBF, LBF_IN, MM, MPA
from running import Run


def test_torque_tension_of_the_joint_example(run: Run) -> None:
    """Ch. 8 joint example: K 0.20, 25 000 lbf, 3/4 in <-> 3750 lbf.in; 0.1 %. Read backwards: torque gives tension."""
    got = run(
        "clamp_collar_torque", {"target": 3750 * LBF_IN}, cap_screw="3/4-16", screws="one", screw_class="A574",
        lubrication="dry_as_delivered", nut_factor=0.20,
    )["values"]  # fmt: skip
    assert got["d"] == pytest.approx(0.75 * IN, rel=1e-9)
    assert got["preload"] == pytest.approx(25_000 * LBF, rel=0.001)


def test_split_ring_clamp(run: Run) -> None:
    """50 x 25 x 12 mm ring, one M6, 20 N.m, K 0.2: F 16.67 kN, p 111.1 MPa; 0.5 %."""
    got = run(
        "clamp_collar_torque", {"target": 20.0}, cap_screw="M6", screws="one", screw_class="12.9",
        lubrication="oil_or_grease", nut_factor=0.2, shaft_d=25 * MM, collar_width=12 * MM,
    )["values"]  # fmt: skip
    assert got["preload"] == pytest.approx(16_670, rel=0.005)
    assert got["pressure"] == pytest.approx(111.1 * MPA, rel=0.005)

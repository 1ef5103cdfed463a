"""Budynas & Nisbett, solution of problem 8-47 (secondary): shaft clamp, 0.3 %."""

import pytest
from outside_units import LBF, LBF_IN
from running import Run


def test_factor_of_safety_against_sliding(run: Run) -> None:
    """3/8-24, f 0.12, K 0.18, axial load 1000 lbf, torque 400 lbf.in: n = 4.47."""
    got = run(
        "clamp_collar_torque", {"target": 400 * LBF_IN}, cap_screw="3/8-24", screws="two", screw_class="A574",
        lubrication="oil_or_grease", nut_factor=0.18, shaft_friction=0.12,
    )["values"]  # fmt: skip
    assert got["grip_axial_most"] / (1000 * LBF) == pytest.approx(4.47, rel=0.003)
    assert got["grip_axial_least"] < got["grip_axial_most"]

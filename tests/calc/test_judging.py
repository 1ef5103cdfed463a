"""Limits in whole steps, instruments that cannot tell, the maker's value, units that change nothing, messages."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

import pytest

from shaftside import calc
from shaftside.calc.evaluator import judge_window


def window(value: float | None, low: float | None, high: float | None, resolution: float | None = None, approach: str = "none", **more: float) -> str:
    spec: dict[str, Any] = {"name": "w", "value": "v", "per": 1e9, "approach": approach, "resolution": "r"}
    values: dict[str, Any] = {"v": value, "r": resolution, "l": low, "h": high, **more}
    spec |= {key: name for key, name in (("low", "l"), ("high", "h")) if values[name] is not None}
    spec |= {key: key for key in more}
    got = judge_window(spec, values)
    assert got is not None
    return str(got["position"])


def test_exactly_on_a_limit_is_inside() -> None:
    # 125 um - 65 um is more than 60 um in floats
    assert 125e-6 - 65e-6 > 60e-6
    assert window(125e-6 - 65e-6, 40e-6, 60e-6) == "inside"
    assert window(60.001e-6, 40e-6, 60e-6) == "over"
    assert window(39.999e-6, 40e-6, 60e-6) == "under"
    assert window(40e-6, 40e-6, 60e-6) == "inside"


def test_a_coarse_instrument_cannot_tell() -> None:
    assert window(62e-6, 60e-6, 65e-6, 10e-6) == "cannot_tell"
    assert window(62e-6, 60e-6, 70e-6, 10e-6) == "inside"
    assert window(90e-6, 60e-6, 65e-6, 10e-6) == "over"
    assert window(50e-6, 60e-6, 65e-6, 10e-6) == "under"


def test_approach_and_never() -> None:
    assert window(1e-6, 2e-6, 3e-6, approach="rising") == "not_yet"
    assert window(4e-6, 2e-6, 3e-6, approach="falling") == "not_yet"
    assert window(None, 2e-6, 3e-6) == "open"
    assert window(1e-6, 2e-6, None, approach="rising", never_below=1.5e-6) == "under"


def test_makers_value_replaces_and_keeps_the_default(program: dict[str, Any]) -> None:
    # M8 in a ring: 13.5 N.m is common practice, no source
    result = calc.evaluate(program, "set_screw_torque", {"place": "ring", "screw": "M8"}, {"target": 12.0})
    assert result["values"]["target"] == 12.0
    assert result["defaults"] == {"target": 13.5}
    row = next(one for one in calc.working(program, "set_screw_torque", result) if one["name"] == "target")
    assert row["certainty"] == "maker"
    assert row["default"] == "13.5\u00a0N·m"


def test_a_makers_value_is_asked_for_not_guessed(program: dict[str, Any]) -> None:
    values = {"cap_screw": "M6", "screws": "one", "screw_class": "12.9", "lubrication": "oil_or_grease"}
    assert calc.evaluate(program, "clamp_collar_torque", values)["refusal"]["code"] == "maker_value_needed"


def test_outside_the_table_says_the_range(program: dict[str, Any]) -> None:
    entries = {"bearing_type": "spherical_roller", "taper": "one_in_12", "bore": "520 mm", "clearance_class": "CN", "seat": "sleeve"}
    values, problems = calc.read_inputs(program, "taper_drive_up", entries)
    assert not problems
    result = calc.evaluate(program, "taper_drive_up", values)
    assert result["refusal"]["code"] == "outside_table"
    said = calc.say_refusal(program, "taper_drive_up", result, entries)
    assert "520\u00a0mm" in said
    assert "500\u00a0mm" in said


def test_bad_input_in_the_users_own_unit(program: dict[str, Any]) -> None:
    _, problems = calc.read_inputs(program, "shaft_fit", {"shaft_d": "100 in", "locking_method": "glue"})
    assert [one.input for one in problems] == ["shaft_d", "locking_method"]
    assert "100\u00a0in" in problems[0].message
    assert "19.685\u00a0in" in problems[0].message  # 500 mm / 25.4
    assert "glue" in problems[1].message


def test_a_unit_of_another_kind(program: dict[str, Any]) -> None:
    _, problems = calc.read_inputs(program, "shaft_fit", {"shaft_d": "100 N"})
    assert problems[0].message.endswith("N is not a unit of length.")
    assert problems[0].expects == "10\u00a0mm to 500\u00a0mm"


@pytest.mark.parametrize(("value", "unit", "system", "want"), [
    (0.0254, "mm", "inch", "1\u00a0in"), (13.5, "N.m", "inch", "119\u00a0lbf·in"), (100.0, "N.m", "inch", "73.8\u00a0lbf·ft"), (293.15, "degC", "inch", "68\u00a0°F"),
    (0.000015, "um", "metric", "15\u00a0µm"), (-0.00002, "um", "metric", "−20\u00a0µm"), (0.25, "%", "metric", "25\u00a0%"), (0.0, "mm", "metric", "0\u00a0mm"),
])  # fmt: skip
def test_shown(program: dict[str, Any], value: float, unit: str, system: str, want: str) -> None:
    # 100 N.m = 73.756 lbf.ft, 13.5 N.m = 119.485 lbf.in (NIST SP 811 factors)
    assert calc.show(program, value, unit, system) == want


@pytest.mark.node
def test_shown_alike(program: dict[str, Any], phone: Callable[..., Any]) -> None:
    dice = random.Random(3)
    for unit in program["units"]:
        for _ in range(20):
            value = dice.choice([1, -1]) * 10 ** dice.uniform(-7, 7)
            for system in ("metric", "inch", "as_is"):
                assert phone("show", value=value, unit=unit, system=system) == calc.show(program, value, unit, system), (value, unit, system)


def test_a_change_of_unit_changes_nothing(program: dict[str, Any]) -> None:
    dice = random.Random(5)
    base = {"bearing_type": "spherical_roller", "taper": "one_in_12", "clearance_class": "CN", "seat": "sleeve"}
    for _ in range(200):
        thou = [dice.randint(1000, 15000), dice.randint(1, 6), dice.randint(0, 5)]
        in_inch = {"bore": f"{thou[0] / 1000:.3f} in", "clearance_before": f"0.{thou[1]:03d} in", "clearance_now": f"0.{thou[2]:03d} in"}
        in_mm = {name: f"{n * 0.0254:.4f} mm" for name, n in zip(in_inch, thou, strict=True)}
        verdicts = []
        for entries in (in_inch, in_mm):
            values, problems = calc.read_inputs(program, "taper_drive_up", {**base, **entries})
            assert not problems
            verdicts.append(calc.evaluate(program, "taper_drive_up", values)["verdict"])
        assert verdicts[0] == verdicts[1], in_inch

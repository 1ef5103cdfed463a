"""As typed, as shown, as stored: what is shown, typed back, is the same value; the unit system changes no verdict."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from shaftside import calc
from shaftside.calc import typed
from shaftside.calc.showing import spec_of, unit_for
from shaftside.calc.units import UNITS

KINDS_OF = [(code, kind) for code, unit in UNITS.items() for kind in unit.kinds]


def stored(program: dict[str, Any], text: str, kind: str, declared: str) -> float:
    """SI value of a typed text; a bare number is in the declared unit."""
    split = typed.split_entry(program["units"], text)
    assert not isinstance(split, typed.Fault), (text, split)
    unit = program["units"][split["unit"] or declared]
    assert kind in unit["kinds"], (text, split, kind)
    number = typed.parse_number(split["typed"])
    assert not isinstance(number, typed.Fault), (text, number)
    return float(number * unit["factor"] + (0.0 if kind == "temperature_difference" else unit["zero"]))


@pytest.mark.parametrize("system", ["metric", "inch", "as_is"])
@pytest.mark.parametrize(("code", "kind"), KINDS_OF)
@settings(max_examples=25, deadline=None)
@given(size=st.floats(1e-3, 1e5), minus=st.booleans())
def test_what_is_shown_can_be_typed_back(
    program: dict[str, Any], system: str, code: str, kind: str, size: float, minus: bool
) -> None:
    unit = program["units"][code]
    value = (-size if minus else size) * unit["factor"] + unit["zero"]
    shown = calc.show(program, value, code, system)
    # K stands for a temperature and for a difference: the field's kind tells them apart, as on the phone
    again = stored(program, shown, kind, code)
    used = program["units"][unit_for(program, value, code, system)]
    digits = shown.split("\u00a0")[0].rstrip("°").replace("−", "")
    step = 10.0 ** -(len(digits.partition(".")[2]) if "." in digits else used["decimals"])
    step = min(step, 1.0)
    assert math.isclose(again, value, rel_tol=1e-9, abs_tol=step * used["factor"] * 0.5 * (1 + 1e-9)), (
        shown,
        again,
        value,
    )


@pytest.mark.node
@settings(max_examples=200, deadline=None)
@given(at=st.sampled_from(KINDS_OF), size=st.floats(1e-3, 1e5), system=st.sampled_from(["metric", "inch"]))
def test_the_phone_reads_what_it_shows(
    program: dict[str, Any], phone: Any, at: tuple[str, str], size: float, system: str
) -> None:
    code, _ = at
    value = size * program["units"][code]["factor"] + program["units"][code]["zero"]
    shown = phone("show", value=value, unit=code, system=system)
    assert shown == calc.show(program, value, code, system)
    assert phone("split", text=shown) == typed.split_entry(program["units"], shown)


NUMBERS = [
    ("set_screw_torque", {"screw": {"word": "M8"}, "place": {"word": "ring"}}, "set_to", "torque", ["N.m", "lbf.ft", "lbf.in", "kgf.m"], (1.0, 40.0)),
    ("set_screw_torque", {"screw": {"word": "3/8"}, "place": {"word": "ring"}}, "set_to", "torque", ["N.m", "lbf.ft", "lbf.in", "kgf.m"], (1.0, 60.0)),
    (
        "taper_drive_up",
        {
            "bore": {"typed": "100", "unit": "mm"}, "taper": {"word": "one_in_12"}, "bearing_type": {"word": "spherical_roller"},
            "clearance_class": {"word": "CN"}, "seat": {"word": "sleeve"}, "sealed": {"yes": False}, "clearance_before": {"typed": "0.06", "unit": "mm"},
        },
        "clearance_now",
        "length",
        ["mm", "um", "in", "thou"],
        (5e-6, 90e-6),
    ),
]  # fmt: skip


@pytest.mark.parametrize(("sheet", "fixed", "name", "kind", "units", "span"), NUMBERS)
@settings(max_examples=80, deadline=None)
@given(part=st.floats(0, 1))
def test_the_unit_changes_no_verdict(
    program: dict[str, Any],
    sheet: str,
    fixed: dict[str, Any],
    name: str,
    kind: str,
    units: list[str],
    span: tuple[float, float],
    part: float,
) -> None:
    """The same quantity written in every unit, to twelve figures, gives one verdict; so does every system of the reader."""
    value = span[0] + part * (span[1] - span[0])
    got = []
    for code in units:
        number = f"{value / program['units'][code]['factor']:.12f}"
        for system in ("metric", "inch"):
            entries = {**fixed, name: {"typed": number, "unit": code}}
            values, problems = calc.read_inputs(program, sheet, entries, "en", system)
            assert not problems
            result = calc.evaluate(program, sheet, values)
            assert result["status"] == "done"
            edges = [one[key] for one in result["windows"] for key in ("low", "high") if one[key] is not None]
            assume(all(abs(value - edge) > 1e-6 * abs(edge) for edge in edges))
            got.append(
                (
                    result["verdict"],
                    [one["position"] for one in result["windows"]],
                    [one["name"] for one in result["checks"]],
                )
            )
    assert all(one == got[0] for one in got), got


def test_set_screws_are_in_inch_pounds_at_any_size(program: dict[str, Any]) -> None:
    """The inch trade lists set screws in lbf.in, 1/2 in at 620 (Shigley, memory); a cap screw of that torque in lbf.ft."""
    seat = spec_of(program, "set_screw_torque", "handbook")
    bolt = spec_of(program, "housing_bolt_torque", "target")
    at = 620 * 0.1129848290276167
    assert calc.say_value(program, seat, at, "en", "inch") == "620\u00a0lbf·in"
    assert calc.say_value(program, bolt, at, "en", "inch") == "51.7\u00a0lbf·ft"
    assert calc.say_value(program, seat, at, "en", "metric") == "70.1\u00a0N·m"

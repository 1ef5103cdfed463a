"""Pint, behind our own allow-list: factor, zero point and dimension of every unit. Loaded only when content is compiled."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import Any

from shaftside.calc.units import DEFINITIONS, KINDS, MEANT, UNITS

BASES = ("[length]", "[mass]", "[time]", "[temperature]", "[angle]")
Dim = tuple[Fraction, Fraction, Fraction, Fraction, Fraction]
NONE: Dim = (Fraction(0),) * 5


@dataclass(frozen=True)
class Measured:
    """SI value = typed value * factor + zero."""

    factor: float
    zero: float
    dim: Dim


@cache
def measures() -> dict[str, Measured]:
    """Factor, zero and dimension of every unit in our list, proved by pint in exact decimals."""
    import pint

    registry: Any = pint.UnitRegistry(None, non_int_type=Decimal, autoconvert_offset_to_baseunit=False)
    for line in DEFINITIONS.strip().splitlines():
        registry.define(line)
    out = {}
    for code, unit in UNITS.items():
        if "offset" in _definition(unit.pint):
            zero = registry.Quantity(Decimal(0), unit.pint).to("K").magnitude
            factor = registry.Quantity(Decimal(1), unit.pint).to("K").magnitude - zero
            found = {"[temperature]": 1}
        else:
            parsed = registry.parse_expression(unit.pint)
            base = parsed.to_base_units() if hasattr(parsed, "to_base_units") else parsed
            factor, zero = getattr(base, "magnitude", base), Decimal(0)
            found = dict(getattr(parsed, "dimensionality", {}))
        dim = tuple(Fraction(found.get(base_, 0)) for base_ in BASES)
        out[code] = Measured(float(factor), float(zero), dim)  # type: ignore[arg-type]
    for code, unit in UNITS.items():
        for kind in unit.kinds:
            if out[code].dim != out[KINDS[kind].unit].dim:
                raise AssertionError(f"unit {code} has not the dimension of {kind}")
    return out


def _definition(name: str) -> str:
    return next((line for line in DEFINITIONS.splitlines() if line.startswith(name + " = ")), "")


def kind_dim(kind: str) -> Dim:
    """Dimension of a kind."""
    return measures()[KINDS[kind].unit].dim


def program_units() -> dict[str, Any]:
    """The units as the program carries them, so that the phone needs no unit library."""
    found = measures()
    out: dict[str, Any] = {}
    for code, unit in UNITS.items():
        one: dict[str, Any] = {
            "kinds": list(unit.kinds),
            "factor": found[code].factor,
            "zero": found[code].zero,
            "shown": unit.shown,
            "system": unit.system,
            "decimals": unit.decimals,
            "partner": unit.partner,
            "also": list(unit.also),
        }
        if unit.small:
            one["small"] = unit.small
            one["small_below"] = unit.small_below
        if code in MEANT:
            one["meant"] = list(MEANT[code])
        out[code] = one
    return out


def program_kinds() -> dict[str, Any]:
    """Kinds as the program carries them."""
    return {name: {"unit": kind.unit, "per": kind.per} for name, kind in KINDS.items()}

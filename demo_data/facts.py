"""The facts of a position as values the calc walker reads: SI numbers, words, yes or no."""

from __future__ import annotations

from fractions import Fraction
from typing import Any


def fact_values(data: dict[str, Any], facts: dict[str, dict[str, Any]]) -> dict[str, Any]:
    """SI values by fact name; a fact not given is absent. data: a handbook bundle's data."""
    units = data["calc"]["units"]
    values: dict[str, Any] = {}
    for name, entry in facts.items():
        if "yes" in entry:
            values[name] = entry["yes"]
        elif "word" in entry:
            values[name] = entry["word"]
        else:
            values[name] = float(plain(entry["typed"])) * float(units[entry["unit"]]["factor"])
    return values


def plain(typed: str) -> Fraction:
    """`1-15/16`, `3/8` or `12.5` as an exact number."""
    whole, dash, part = typed.partition("-")
    if dash:
        return Fraction(whole) + Fraction(part)
    return Fraction(typed)

"""The calculation room's answers in the shapes the desk's pages take."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from shaftside import calc
from shaftside.calc.typed import Fault, split_entry, parse_number

Entry = dict[str, Any]

FAULTS = {
    "empty": "nothing was typed.",
    "not_a_number": "this is not a number.",
    "exponent": "write the number out, without an exponent.",
    "two_marks": "there is more than one decimal mark; leave out marks between thousands.",
    "two_numbers": "there are two numbers.",
    "zero_denominator": "a fraction over nought.",
    "improper": "the fraction is one or more; write it as whole and part.",
    "too_long": "too long for a number.",
    "unknown_unit": "the unit is not known.",
    "unit_needed": "say the unit.",
    "wrong_kind": "this unit does not fit.",
}


def number_reader(program: dict[str, Any]) -> Callable[[str, dict[str, Any]], tuple[Entry | None, str | None]]:
    """A reader of typed numbers with their units, against a bundle's own list of units."""
    units = program.get("units", {})

    def read(text: str, fact: dict[str, Any]) -> tuple[Entry | None, str | None]:
        found = split_entry(units, text)
        if isinstance(found, Fault):
            return None, FAULTS.get(found.code, "cannot be read.") + _example(fact)
        value = parse_number(found["typed"])
        if isinstance(value, Fault):
            return None, FAULTS.get(value.code, "cannot be read.") + _example(fact)
        if not found["unit"]:
            if not fact.get("bare"):
                return None, FAULTS["unit_needed"] + _example(fact)
            found["unit"] = str(fact["unit"])
        kinds = units.get(found["unit"], {}).get("kinds") or [units.get(found["unit"], {}).get("kind")]
        if fact.get("kind") and fact["kind"] not in kinds:
            return None, f"“{found['unit']}” does not measure this." + _example(fact)
        if value < 0:
            return None, "it cannot be under nought."
        return dict(found), None

    return read


def _example(fact: dict[str, Any]) -> str:
    return f" It takes a number with its unit, for example in {fact['unit']}." if fact.get("unit") else ""

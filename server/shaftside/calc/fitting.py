"""What an input takes, and what may stand for a line as the maker's value. `web/fitting.js` is the same."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

from shaftside.calc.functions import steps


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def maker_fits(kind: str, value: Any) -> bool:
    """Whether a value has the type of a line of this kind."""
    if kind == "word":
        return isinstance(value, str)
    return isinstance(value, bool) if kind == "yesno" else _is_number(value)


def tester(spec: Mapping[str, Any], program: Mapping[str, Any]) -> Callable[[Any], str | None]:
    """Reason why a value is not what an input takes, or None."""
    kind = spec["kind"]
    if kind == "word":
        words = frozenset(one["word"] for one in spec["choices"])
        return lambda value: None if value.__class__ is str and value in words else "word" if isinstance(value, str) else "type"
    if kind == "yesno":
        return lambda value: None if isinstance(value, bool) else "type"
    per = program["kinds"][kind]["per"]
    least = steps(spec["least"], per) if "least" in spec else None
    most = steps(spec["most"], per) if "most" in spec else None
    whole = kind == "count"

    def one(value: Any) -> str | None:
        if value.__class__ is not float and not _is_number(value):
            return "type"
        if not math.isfinite(value):
            return "type"
        if whole and value != math.floor(value):
            return "whole"
        at = steps(value, per)
        return "range" if (least is not None and at < least) or (most is not None and at > most) else None

    if "list" not in spec:
        return one
    fewest, greatest = spec["list"]["least"], spec["list"]["most"]

    def many(value: Any) -> str | None:
        if not isinstance(value, list):
            return "type"
        if not fewest <= len(value) <= greatest:
            return "count"
        return next((reason for reason in map(one, value) if reason), None)

    return many

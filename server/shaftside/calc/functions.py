"""The closed list of functions, whole steps, and the refusal of a line. `web/functions.js` is the same.

Functions agree with the phone's to the last bit for sqrt, to 1e-12 for the rest.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any


class Refuse(Exception):
    """A line that cannot have a value: code and detail."""

    def __init__(self, code: str, detail: dict[str, Any] | None = None) -> None:
        super().__init__(code)
        self.code = code
        self.detail = detail or {}


def cannot() -> Refuse:
    """A refusal without more to say: these numbers give no number."""
    return Refuse("cannot_compute")


def steps(value: float, per: float) -> int:
    """Whole steps of a kind; both sides of every comparison go through here."""
    try:
        return math.floor(value * per + 0.5)
    except (OverflowError, ValueError):
        raise cannot() from None


def _guard(function: Callable[[float], float]) -> Callable[[float], float]:
    def safe(x: float) -> float:
        try:
            out = function(x)
        except (ValueError, OverflowError):
            raise cannot() from None
        if not math.isfinite(out):
            raise cannot()
        return out

    return safe


def power(a: float, b: float) -> float:
    """a ** b; refuses what is not a finite number."""
    try:
        out = math.pow(a, b)
    except (ValueError, OverflowError):
        raise cannot() from None
    if not math.isfinite(out):
        raise cannot()
    return out


def _mean(x: list[float]) -> float:
    total = 0.0
    for one in x:  # a plain sum: sum() of newer Pythons compensates, the phone does not
        total += one
    return total / len(x)


def _least(x: list[float]) -> float:
    out = x[0]
    for one in x:
        if one < out:
            out = one
    return out


def _most(x: list[float]) -> float:
    out = x[0]
    for one in x:
        if one > out:
            out = one
    return out


ONE: dict[str, Callable[[Any], float]] = {
    "sqrt": _guard(math.sqrt),
    "abs": math.fabs,
    "floor": _guard(lambda x: float(math.floor(x))),
    "ceil": _guard(lambda x: float(math.ceil(x))),
    "sin": _guard(math.sin),
    "cos": _guard(math.cos),
    "tan": _guard(math.tan),
    "atan": _guard(math.atan),
    "exp": _guard(math.exp),
    "log": _guard(math.log),
    "mean": _mean,
    "least": _least,
    "most": _most,
    "count": lambda x: float(len(x)),
    "spread": lambda x: _most(x) - _least(x),
}

"""Typed figures as a person reads them off an instrument: whole steps, in the instrument's unit."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

# unit, then the steps an instrument in that unit comes with, coarse to fine
TORQUE_SI = [("N.m", ["5", "2", "1", "0.5", "0.2", "0.1"])]
TORQUE_SMALL_INCH = [("lbf.in", ["10", "5", "2", "1", "0.5"])]
TORQUE_INCH = [("lbf.ft", ["5", "2", "1", "0.5", "0.2", "0.1"])]
MICROMETER = ("mm", ["0.001"])
MICROMETER_INCH = ("in", ["0.0001", "0.00005"])
FEELER = ("mm", ["0.01", "0.005"])  # finer than 0.005 nobody reads between two blades
FEELER_INCH = ("in", ["0.0005", "0.0002"])
DIAL = ("mm", ["0.01", "0.005", "0.001"])
ANGLE = ("deg", ["5", "2", "1"])


@dataclass(frozen=True)
class Scale:
    """A unit, its SI factor and the smallest step of the instrument, as typed."""

    unit: str
    factor: float
    step: str

    def snap(self, si: float, low: float, high: float) -> str:
        """The figure on the scale nearest to `si` that lies in low..high (SI), if there is one."""
        step = float(self.step)
        least = math.ceil(round(low / self.factor / step, 6))
        most = math.floor(round(high / self.factor / step, 6))
        count = (
            min(max(round(si / self.factor / step), least), most)
            if least <= most
            else round(si / self.factor / step)
        )
        return str(Decimal(self.step) * count)

    def entry(self, typed: str | list[str]) -> dict[str, Any]:
        return {"typed": typed, "unit": self.unit}


def pick_scale(choice: tuple[str, list[str]], factor: float, width: float) -> Scale:
    """The coarsest step that puts two whole steps into a window of this width (SI), else the finest."""
    unit, steps = choice
    for step in steps:
        if 2 * float(step) * factor <= width * (1 + 1e-9):
            return Scale(unit, factor, step)
    return Scale(unit, factor, steps[-1])


def with_comma(entry: dict[str, Any]) -> dict[str, Any]:
    """The same figures typed with a decimal comma, but for those that a comma would make look like thousands."""

    def comma(text: str) -> str:
        whole, _, part = text.partition(".")
        return text if len(part) == 3 and whole != "0" else text.replace(".", ",")

    typed = entry.get("typed")
    if isinstance(typed, str):
        return {**entry, "typed": comma(typed)}
    if isinstance(typed, list):
        return {**entry, "typed": [comma(one) for one in typed]}
    return entry

"""One thing that stands out in a record, and the line of the record it points to. Pure; no sentences."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from shaftside.review.record import say

Kind = Literal[
    "outside",
    "conflict",
    "missing",
    "not_applicable",
    "deviation",
    "afterwards",
    "claimed",
    "refused",
    "differs",
    "near_limit",
    "calibration",
    "zero_energy",
    "follow_up",
    "status",
]
ORDER: tuple[Kind, ...] = (
    "outside",
    "differs",
    "conflict",
    "missing",
    "zero_energy",
    "deviation",
    "near_limit",
    "calibration",
    "not_applicable",
    "follow_up",
    "afterwards",
    "claimed",
    "refused",
    "status",
)


@dataclass(frozen=True)
class Finding:
    """One thing that stands out. step, reading: ids where there are any; event: what to look up.

    title is the step's or reading's own words; detail what was recorded; verdict only for readings;
    phone_verdict where the phone recorded another than the server works out.
    """

    kind: Kind
    title: str
    detail: str
    step: str | None = None
    reading: str | None = None
    event: str | None = None
    verdict: str | None = None
    answered: str | None = None
    phone_verdict: str | None = None

    @property
    def line(self) -> str:
        """The id, on the page of the job, of what this points to; empty for the job as a whole."""
        if self.event and self.reading:
            return f"r-{self.event}"
        if self.kind == "deviation" and self.event:
            return f"d-{self.event}"
        if self.step:
            return f"s-{self.step}"
        return {"zero_energy": "zero", "follow_up": "later", "claimed": "claimed", "refused": "refused"}.get(
            self.kind, ""
        )


def label(steps: dict[str, dict[str, Any]], step: str, reading: str | None = None, lang: str = "en") -> str:
    known = steps.get(step, {})
    if reading is not None:
        for one in known.get("readings", []):
            if one.get("reading") == reading:
                return say(one.get("label"), lang) or reading
        return reading
    return say(known.get("do"), lang) or step


def items(value: Any) -> list[dict[str, Any]]:
    """A list of objects out of a list, or out of an object keyed by id."""
    if isinstance(value, dict):
        return [{"event": key, **one} for key, one in value.items()]
    return list(value or [])

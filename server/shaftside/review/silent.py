"""What an installation's record cannot tell about a failure, said plainly. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from shaftside.review.finding import Finding, items
from shaftside.sentence import tell


def silent(
    state: dict[str, Any],
    procedure: dict[str, Any] | None,
    failure: dict[str, Any] | None,
    found: list[Finding],
    days: int | None,
    facts: Mapping[str, str],
) -> list[str]:
    """What this record cannot tell, said plainly. facts: how a fact is called, by name; by its name without."""
    out: list[str] = []
    if procedure is None:
        out.append(
            tell("The handbook this work was done by is not held here, so what it asked for cannot be compared.")
        )
    taken = [one for reading in state.get("readings", {}).values() for one in reading.get("all", [])]
    if not taken:
        out.append(tell("It holds no reading at all: nothing about fit, torque or clearance can be said from it."))
    if any(one.kind == "missing" for one in found):
        out.append(tell("What is missing was perhaps done and not written down: a gap is a gap, not a proof."))
    unknown = sorted(
        name
        for name, entry in state.get("facts", {}).items()
        if isinstance(entry, dict) and entry.get("word") == "unknown"
    )
    if unknown:
        out.append(
            tell("Recorded as not known at the time: %(facts)s.", facts=", ".join(facts.get(name) or name.replace("_", " ") for name in unknown))
        )
    if not items(state.get("photos")):
        out.append(tell("It has no photo: what the seat, the screws or the washer looked like cannot be seen."))
    if failure is not None and not (failure.get("running_h") or (failure.get("body") or {}).get("running_h")):
        out.append(
            tell("The failure report gives no running hours; days on the calendar are not hours under load.")
        )
    if days is not None and days < 0:
        out.append(
            tell("The failure was found before this work was completed: it cannot follow from the finished work.")
        )
    out.append(
        tell(
            "Nothing here was recorded between this work and the failure unless a later record says so: "
            "lubrication, load, alignment and cleaning in service are outside it."
        )
    )
    return out

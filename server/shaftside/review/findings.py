"""A failure beside the installation it follows: what in that record stands out, and what it cannot tell.

Pure: takes a job's state, its procedure, its progress and the failure; gives findings. It names
facts of the record only. It names no cause: a gap in a record is a gap, not a proof.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any, Literal

from shaftside.review.record import (
    body,
    current,
    in_doubt,
    needs_lead,
    say,
    step_id,
    steps_by_id,
    verdict_of,
)

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

    title is the step's or reading's own words; detail what was recorded; verdict only for readings.
    """

    kind: Kind
    title: str
    detail: str
    step: str | None = None
    reading: str | None = None
    event: str | None = None
    verdict: str | None = None
    answered: str | None = None


@dataclass(frozen=True)
class Review:
    """findings in the order to read them; cannot_tell: sentences on what this record is silent about."""

    findings: list[Finding]
    cannot_tell: list[str]
    days_between: int | None


def review(
    state: dict[str, Any],
    procedure: dict[str, Any] | None,
    progress: dict[str, Any] | None,
    failure: dict[str, Any] | None = None,
) -> Review:
    """Read one installation's record for what was out of limits, missing, set aside or uncertain.

    state: of reduce_job. procedure, progress: None where the handbook of that day is not held,
    which is then said. failure: of reduce_failure; gives the days between and what it left out.
    """
    steps = steps_by_id(procedure)
    found = [
        *_readings(state, steps),
        *_missing(state, steps, progress),
        *_steps(state, steps),
        *_zero_energy(state),
        *_deviations(state, steps),
        *_follow_ups(state),
        *_origin(state),
        *_status(state),
    ]
    found.sort(key=lambda one: ORDER.index(one.kind))
    days = _days(state, failure)
    return Review(found, _silent(state, procedure, failure, found, days), days)


def _label(steps: dict[str, dict[str, Any]], step: str, reading: str | None = None) -> str:
    known = steps.get(step, {})
    if reading is not None:
        for one in known.get("readings", []):
            if one.get("reading") == reading:
                return say(one.get("label")) or reading
        return reading
    return say(known.get("do")) or step


def _readings(state: dict[str, Any], steps: dict[str, dict[str, Any]]) -> list[Finding]:
    out = []
    for key, reading in state.get("readings", {}).items():
        step, _, name = key.partition("/")
        title = _label(steps, step, name)
        if in_doubt(reading):
            out.append(
                Finding("conflict", title, "Two people's readings stand; nobody chose.", step, name, verdict="stop")
            )
        for one in reading.get("all", []):
            if one.get("refused"):
                continue
            now = current(reading)
            counts = now is not None and now.get("event") == one.get("event")
            differs = one.get("server_verdict") or one.get("differs")
            if differs:
                out.append(
                    Finding(
                        "differs",
                        title,
                        "The server's own working of these inputs gives another verdict than the phone recorded.",
                        step,
                        name,
                        one.get("event"),
                        verdict_of(one),
                    )
                )
            if needs_lead(one):
                accepted = one.get("accepted")
                answered = None
                if isinstance(accepted, dict):
                    answered = f"Accepted by a lead: {accepted.get('reason', '')}".rstrip(": ")
                elif accepted:
                    answered = "Accepted by a lead."
                elif not counts:
                    answered = "Taken again later."
                out.append(
                    Finding(
                        "outside",
                        title,
                        "Not inside its window when it was recorded.",
                        step,
                        name,
                        one.get("event"),
                        verdict_of(one),
                        answered,
                    )
                )
            if one.get("afterwards") or body(one).get("afterwards"):
                out.append(_afterwards(title, step, name, one))
            if one.get("claimed"):
                out.append(_claimed(title, step, name, one.get("event")))
    return out


def _afterwards(title: str, step: str, reading: str | None, one: dict[str, Any]) -> Finding:
    when = one.get("afterwards") or body(one).get("afterwards")
    return Finding(
        "afterwards", title, f"Written down afterwards, for {when}.", step, reading, one.get("event")
    )


def _claimed(title: str, step: str, reading: str | None, event: object) -> Finding:
    return Finding(
        "claimed",
        title,
        "Sent under the name of a person who had not signed in on that phone.",
        step,
        reading,
        str(event) if event else None,
    )


def _missing(
    state: dict[str, Any], steps: dict[str, dict[str, Any]], progress: dict[str, Any] | None
) -> list[Finding]:
    out: list[Finding] = []
    if progress is None:
        return out
    for one in progress.get("steps", []):
        step = step_id(one)
        if one.get("status") == "does_not_apply":
            continue
        if one.get("status") in ("open", "closed"):
            out.append(Finding("missing", _label(steps, step), "Never recorded as done.", step))
        elif one.get("status") == "not_applicable":
            continue
        for reading in one.get("missing", []):
            out.append(
                Finding(
                    "missing",
                    _label(steps, step, reading),
                    "The procedure asks for this reading; none was recorded.",
                    step,
                    reading,
                )
            )
    return out


def _steps(state: dict[str, Any], steps: dict[str, dict[str, Any]]) -> list[Finding]:
    out = []
    for step, one in state.get("steps", {}).items():
        title = _label(steps, step)
        if one.get("status") == "not_applicable":
            agreed = one.get("agreed")
            out.append(
                Finding(
                    "not_applicable",
                    title,
                    str(one.get("reason") or "No reason recorded."),
                    step,
                    event=one.get("event"),
                    answered="Agreed by a lead." if agreed else None,
                )
            )
        if one.get("afterwards"):
            out.append(_afterwards(title, step, None, one))
        if one.get("claimed"):
            out.append(_claimed(title, step, None, one.get("event")))
    return out


def _zero_energy(state: dict[str, Any]) -> list[Finding]:
    zero = state.get("zero_energy", {})
    out = []
    if not zero.get("proofs"):
        out.append(Finding("zero_energy", "Zero energy", "No proof of zero energy was recorded."))
    for step, one in state.get("steps", {}).items():
        if one.get("after_proof") is False and one.get("status") == "done" and one.get("work"):
            out.append(
                Finding("zero_energy", step, "Recorded before zero energy was recorded as proved.", step)
            )
    return out


def _deviations(state: dict[str, Any], steps: dict[str, dict[str, Any]]) -> list[Finding]:
    out = []
    for one in _items(state.get("deviations")):
        decided = one.get("decided") or one.get("decision")
        reason = one.get("reason")
        if isinstance(decided, dict):
            reason = decided.get("reason")
            decided = decided.get("decision")
        step = one.get("step")
        title = _label(steps, step) if step else "Deviation"
        answered = f"Lead's decision: {decided}. {reason or ''}".strip() if decided else None
        out.append(
            Finding("deviation", title, str(one.get("text", "")), step, event=one.get("event"), answered=answered)
        )
    return out


def _items(value: Any) -> list[dict[str, Any]]:
    """A list of objects out of a list, or out of an object keyed by id."""
    if isinstance(value, dict):
        return [{"event": key, **one} for key, one in value.items()]
    return list(value or [])


def _follow_ups(state: dict[str, Any]) -> list[Finding]:
    done = {
        one.get("follow_up") if isinstance(one, dict) else one
        for one in _items(state.get("follow_ups_done"))
        if one
    }
    if isinstance(state.get("follow_ups_done"), dict):
        done |= set(state["follow_ups_done"])
    return [
        Finding("follow_up", say(one.get("title")) or str(one.get("follow_up")), "Came due later; not recorded as done.")
        for one in _items(state.get("outstanding"))
        if one.get("follow_up") not in done and not one.get("done")
    ]


def _origin(state: dict[str, Any]) -> list[Finding]:
    return [
        Finding("refused", str(one.get("code", "")), str(one.get("reason", "")), event=one.get("event"))
        for one in _items(state.get("refused"))
    ]


def _status(state: dict[str, Any]) -> list[Finding]:
    words = {
        "open": "The work was never recorded as complete.",
        "completed": "Recorded as complete; no lead signed it off.",
        "returned": "Returned for rework; not signed off after that.",
        "amended": "Something was added after the sign-off, which no longer covers the whole record.",
        "stopped": "A lead stopped the work.",
    }
    text = words.get(str(state.get("status")))
    return [Finding("status", "Sign-off", text)] if text else []


def _days(state: dict[str, Any], failure: dict[str, Any] | None) -> int | None:
    """Whole days from completion (else start) to the day the failure was found."""
    if not failure:
        return None
    ended = state.get("completed") or state.get("started") or {}
    at = ended.get("at") if isinstance(ended, dict) else None
    found = failure.get("found_on") or (failure.get("body") or {}).get("found_on")
    try:
        return (date.fromisoformat(str(found)[:10]) - date.fromisoformat(str(at)[:10])).days
    except ValueError:
        return None


def _silent(
    state: dict[str, Any],
    procedure: dict[str, Any] | None,
    failure: dict[str, Any] | None,
    found: list[Finding],
    days: int | None,
) -> list[str]:
    """What this record cannot tell, said plainly."""
    out = []
    if procedure is None:
        out.append("The handbook this work was done by is not held here, so what it asked for cannot be compared.")
    taken = [one for reading in state.get("readings", {}).values() for one in reading.get("all", [])]
    judged = [one for one in taken if body(one).get("sheet")]
    if not taken:
        out.append("It holds no reading at all: nothing about fit, torque or clearance can be said from it.")
    bare = [one for one in judged if not (body(one).get("instrument") or {}).get("calibrated")]
    if bare:
        out.append(
            f"{len(bare)} of {len(judged)} judged readings name no instrument with a calibration date: "
            "how far those instruments were off is not known."
        )
    if any(one.kind == "missing" for one in found):
        out.append("What is missing was perhaps done and not written down: a gap is a gap, not a proof.")
    unknown = sorted(
        name for name, entry in state.get("facts", {}).items() if isinstance(entry, dict) and entry.get("word") == "unknown"
    )
    if unknown:
        out.append("Recorded as not known at the time: " + ", ".join(name.replace("_", " ") for name in unknown) + ".")
    if not _items(state.get("photos")):
        out.append("It has no photo: what the seat, the screws or the washer looked like cannot be seen.")
    if failure is not None and not (failure.get("running_h") or (failure.get("body") or {}).get("running_h")):
        out.append("The failure report gives no running hours; days on the calendar are not hours under load.")
    if days is not None and days < 0:
        out.append("The failure was found before this work was completed: it cannot follow from the finished work.")
    out.append(
        "Nothing here was recorded between this work and the failure unless a later record says so: "
        "lubrication, load, alignment and cleaning in service are outside it."
    )
    return out

"""A failure beside the installation it follows: what in that record stands out, and what it cannot tell.

Pure: takes a job's state, its procedure, its progress and the failure; gives findings. It names
facts of the record only. It names no cause: a gap in a record is a gap, not a proof.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from shaftside.review.finding import ORDER, Finding, items, label
from shaftside.review.of_readings import CLAIMED, of_readings
from shaftside.review.record import say, step_id, steps_by_id
from shaftside.review.silent import silent
from shaftside.sentence import joined, moment, tell

DECIDED = {"accept": tell("accept"), "rework": tell("rework"), "stop": tell("stop")}


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
    later_done: Collection[str] = (),
    lang: str = "en",
    facts: Mapping[str, str] | None = None,
) -> Review:
    """Read one installation's record for what was out of limits, missing, set aside or uncertain.

    state: of reduce_job. procedure, progress: None where the handbook of that day is not held, which is then said.
    failure: of reduce_failure; gives the days between and what it left out. later_done: follow-ups that a job of its own
    closed. lang: of the handbook's texts in titles; facts: how they are called in it, by name.
    """
    steps = steps_by_id(procedure)
    found = [
        *of_readings(state, steps, lang),
        *_missing(state, steps, progress, lang),
        *_steps(state, steps, lang),
        *_zero_energy(state, steps, progress, lang),
        *_deviations(state, steps, lang),
        *_follow_ups(state, later_done, lang),
        *_origin(state),
        *_status(state),
    ]
    found.sort(key=lambda one: ORDER.index(one.kind))
    days = _days(state, failure)
    return Review(found, silent(state, procedure, failure, found, days, facts or {}), days)


def _missing(
    state: dict[str, Any], steps: dict[str, dict[str, Any]], progress: dict[str, Any] | None, lang: str
) -> list[Finding]:
    out: list[Finding] = []
    if progress is None:
        return out
    for one in progress.get("steps", []):
        step = step_id(one)
        if one.get("status") == "does_not_apply":
            continue
        if one.get("status") in ("open", "closed"):
            out.append(Finding("missing", label(steps, step, lang=lang), tell("Never recorded as done."), step))
        elif one.get("status") == "not_applicable":
            continue
        for reading in one.get("missing", []):
            out.append(
                Finding(
                    "missing",
                    label(steps, step, reading, lang),
                    tell("The procedure asks for this reading; none was recorded."),
                    step,
                    reading,
                )
            )
    return out


def _steps(state: dict[str, Any], steps: dict[str, dict[str, Any]], lang: str) -> list[Finding]:
    out = []
    for step, one in state.get("steps", {}).items():
        title = label(steps, step, lang=lang)
        if one.get("status") == "not_applicable":
            agreed = one.get("agreed")
            out.append(
                Finding(
                    "not_applicable",
                    title,
                    one.get("reason") or tell("No reason recorded."),
                    step,
                    event=one.get("event"),
                    answered=tell("Agreed by a lead.") if agreed else None,
                )
            )
        if one.get("afterwards"):
            out.append(
                Finding(
                    "afterwards",
                    title,
                    tell("Written down afterwards, for %(at)s.", at=moment(one["afterwards"])),
                    step,
                    event=one.get("event"),
                )
            )
        if one.get("claimed"):
            out.append(Finding("claimed", title, CLAIMED, step, event=one.get("event")))
    return out


def _zero_energy(
    state: dict[str, Any], steps: dict[str, dict[str, Any]], progress: dict[str, Any] | None, lang: str
) -> list[Finding]:
    out = []
    if not state.get("zero_energy", {}).get("proofs"):
        out.append(Finding("zero_energy", tell("Zero energy"), tell("No proof of zero energy was recorded.")))
    for one in (progress or {}).get("blockers", []):
        step, reading = one.get("step"), one.get("reading")
        if one.get("code") == "before_zero_energy":
            text = tell("Recorded before zero energy was recorded as proved.")
            out.append(
                Finding("zero_energy", label(steps, step, reading, lang), text, step, reading, one.get("event"))
            )
        if one.get("code") == "zero_energy_loss_missing":
            text = tell("Locks came off; that zero energy no longer held is not on record.")
            out.append(Finding("zero_energy", label(steps, step, lang=lang), text, step))
    return out


def _deviations(state: dict[str, Any], steps: dict[str, dict[str, Any]], lang: str) -> list[Finding]:
    out = []
    for one in items(state.get("deviations")):
        decided = one.get("decided") or one.get("decision")
        reason = one.get("reason")
        if isinstance(decided, dict):
            reason = decided.get("reason")
            decided = decided.get("decision")
        step = one.get("step")
        title = label(steps, step, lang=lang) if step else tell("Deviation")
        answered: str | None = None
        if decided:
            answered = tell("Lead's decision: %(decision)s.", decision=DECIDED.get(str(decided), str(decided)))
            answered = joined(answered, " ", str(reason)) if reason else answered
        out.append(
            Finding(
                "deviation", title, str(one.get("text", "")), step, event=one.get("event"), answered=answered
            )
        )
    return out


def _follow_ups(state: dict[str, Any], later_done: Collection[str], lang: str) -> list[Finding]:
    done = set(later_done) | {
        one.get("follow_up") if isinstance(one, dict) else one
        for one in items(state.get("follow_ups_done"))
        if one
    }
    if isinstance(state.get("follow_ups_done"), dict):
        done |= set(state["follow_ups_done"])
    return [
        Finding(
            "follow_up",
            say(one.get("title"), lang) or str(one.get("follow_up")),
            tell("Came due later; not recorded as done."),
        )
        for one in items(state.get("outstanding"))
        if one.get("follow_up") not in done and not one.get("done")
    ]


def _origin(state: dict[str, Any]) -> list[Finding]:
    return [
        Finding("refused", str(one.get("code", "")), str(one.get("reason", "")), event=one.get("event"))
        for one in items(state.get("refused"))
    ]


def _status(state: dict[str, Any]) -> list[Finding]:
    words = {
        "open": tell("The work was never recorded as complete."),
        "completed": tell("Recorded as complete; no lead signed it off."),
        "returned": tell("Returned for rework; not signed off after that."),
        "amended": tell("Something was added after the sign-off, which no longer covers the whole record."),
        "stopped": tell("A lead stopped the work."),
    }
    text = words.get(str(state.get("status")))
    return [Finding("status", tell("Sign-off"), text)] if text else []


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

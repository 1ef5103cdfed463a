"""The rules of a lead's acts, over a job's state. Pure; each refusal is an error with a stable code."""

from __future__ import annotations

from typing import Any

from shaftside.errors import ShaftsideError
from shaftside.records.model import Actor, State
from shaftside.sentence import tell


def check_lead(lead: Actor, state: State) -> None:
    """A lead, and not one who did the work: nobody passes judgement on their own work."""
    if "lead" not in lead.roles:
        raise ShaftsideError(403, "not_lead", tell("Only a lead may do this; ask a lead to sign in."))
    if lead.id in state["workers"]:
        raise ShaftsideError(
            409, "own_work", tell("You took part in this work, so another lead has to decide and sign it off.")
        )


def check_sign(
    lead: Actor, state: State, blockers: list[dict[str, Any]], heads: list[str], statement: str
) -> None:
    """Everything that has to hold before a job is signed off, on exactly the heads the lead saw."""
    check_lead(lead, state)
    if not statement.strip():
        raise ShaftsideError(
            422, "statement_missing", tell("Say what the signature means."), "statement", "a sentence"
        )
    if state["status"] == "signed":
        raise ShaftsideError(
            409, "already_signed", tell("This job is already signed off and nothing was added since.")
        )
    if sorted(set(heads)) != state["heads"]:
        raise ShaftsideError(
            409,
            "heads_changed",
            tell("Something was added to this record since you opened it. Read it again before you sign."),
            "heads",
            details=list(state["heads"]),
        )
    if state["completed"] is None or state["status"] == "stopped":
        raise ShaftsideError(
            409, "not_completed", tell("Only work that is recorded as complete can be signed off.")
        )
    if blockers:
        raise ShaftsideError(
            409,
            "blocked",
            tell("This job cannot be signed off yet; what is in the way is listed."),
            details=blockers,
        )


def check_open(state: State) -> None:
    """The record may still change by a lead's decision."""
    if state["status"] == "signed":
        raise ShaftsideError(
            409, "already_signed", tell("This job is signed off; nothing is decided in it any more.")
        )


def check_return(state: State) -> None:
    """Only what somebody has called complete can be sent back."""
    if state["status"] not in ("completed", "amended", "stopped", "signed"):
        raise ShaftsideError(
            409, "not_completed", tell("This work is still going on; there is nothing to send back yet.")
        )


def check_deviation(state: State, deviation: str) -> None:
    """The deviation is in this job."""
    if not any(one["event"] == deviation for one in state["deviations"]):
        raise ShaftsideError(404, "not_found", tell("There is no such deviation in this job."), "deviation")


def check_reading(state: State, reading: str) -> None:
    """The reading is in this job and its word counts."""
    if not any(one["event"] == reading for held in state["readings"].values() for one in held["all"]):
        raise ShaftsideError(404, "not_found", tell("There is no such reading in this job."), "reading")


def check_choice(state: State, key: str, chosen: str) -> None:
    """The readings really disagree, and the chosen one is among them."""
    conflict = (state["readings"].get(key) or {}).get("conflict")
    if not conflict:
        raise ShaftsideError(409, "no_conflict", tell("These readings do not disagree (any more)."), "reading")
    if chosen not in conflict:
        raise ShaftsideError(
            404, "not_found", tell("The chosen reading is not one of those that disagree."), "chosen"
        )


def check_agreement(state: State, event: str) -> None:
    """The step stands as not applicable by this event."""
    if not any(
        one["event"] == event and one["status"] == "not_applicable" for one in state["steps"].values()
    ):
        raise ShaftsideError(404, "not_found", tell("No step stands as not applicable by that entry."), "event")


def check_answer(state: State, events: dict[str, Any], person: Actor, event: str, mine: bool) -> None:
    """Only the person named may own a claimed entry; a lead may strike one out."""
    if event not in state["claimed"]:
        raise ShaftsideError(404, "not_found", tell("There is no such claimed entry in this record."), "event")
    if events[event]["actor"] == person.id:
        return
    if mine or "lead" not in person.roles:
        raise ShaftsideError(
            403,
            "not_yours",
            tell("Only the person named in the entry may say it is theirs; a lead may strike it out."),
        )

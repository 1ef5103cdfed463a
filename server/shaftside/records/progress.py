"""How far a job has come through its procedure, and what stands in the way; twin of web/progress.js."""

from __future__ import annotations

from typing import Any

from shaftside import calc
from shaftside.records import board
from shaftside.records.model import State

GOOD = frozenset(["inside", "none"])
WHOLE_PROOFS = 2
"""Procedures with `rules` from here on: a proof of zero energy that lacks a lock, a hold or a test proves nothing, and what
follows a second person's step waits for that person. Older bundles said less; their records stand as they were made."""
IN_ORDER = 3
"""From here on: after a shift change the one who comes proves zero energy, and who is in charge goes last from the group box."""
_AFTER = ("after_proof", "after_whole_proof", "after_comer_proof")
STOP_COMPLETION = frozenset(
    [
        "step_open",
        "reading_missing",
        "row_missing",
        "row_on",
        "zero_energy_not_proved",
        "second_person_missing",
        "stopped",
    ]
)


def progress(procedure: dict[str, Any], facts: dict[str, Any], state: State) -> dict[str, Any]:
    """`{steps, next, can_complete, blockers}` of a job.

    facts: values of the position's facts (SI numbers, words, yes/no; None unknown). A condition
    that cannot be told counts as true: a step is rather done in vain than left out.
    """
    steps: list[dict[str, Any]] = procedure["steps"]
    must: dict[str, Any] = procedure.get("must_end") or {}
    proof = next((step["step"] for step in steps if step.get("proves_zero_energy")), None)
    ended = {step["step"]: _ended(step, facts, state) for step in steps}
    zero = state["zero_energy"]
    rules = procedure.get("rules", 1)
    strict, in_order = rules >= WHOLE_PROOFS, rules >= IN_ORDER
    sound = [
        one
        for one in zero["proofs"]
        if not one["claimed"] and not (strict and one["lacks"]) and not (in_order and not one["by_comer"])
    ]
    proved = any(not one["undone"] and not (strict and one["unseen"]) for one in sound)
    ever = bool(sound)
    begun = _locks_coming_off(steps, zero["lost"], sound)
    waits = {step["step"] for step in steps if strict and _waits_for_second(step, ended, state)}
    dependent = any(
        ended[step["step"]] == "open" and proof in (step.get("needs") or [])
        for step in steps
        if step["step"] not in (proof, *begun)
    )
    silent = _locks_off_unsaid(steps, ended, state)
    if proof is not None:
        ended[proof] = "done" if (proved and not silent) or (ever and not dependent) else "open"
    told = []
    for step in steps:
        status = ended[step["step"]]
        closed_by = [
            need
            for need in step.get("needs") or []
            if (ended.get(need) == "open" or need in waits) and not (need == proof and step["step"] in begun)
        ]
        if status == "open" and closed_by:
            status = "closed"
        applies = status not in ("does_not_apply", "not_applicable")
        rows = board.problems(step, must, state, in_order) if applies else []
        if strict and step["step"] == proof and status == "open":
            rows += [{"step": proof, **one} for one in zero["lacks"]]
        told.append(
            {
                "id": step["step"],
                "status": status,
                "why_closed": closed_by if status == "closed" else [],
                "missing": [] if status == "does_not_apply" else _missing(step, state),
                "rows": rows,
                "waits": step["step"] in waits,
            }
        )
    blockers = _blockers(steps, told, state, proof, ever, rules)
    blockers += [row for one in told for row in one["rows"] if row["code"] == "row_missing"]
    blockers += board.still_on(must, state, None, in_order)
    blockers += [{"code": "zero_energy_loss_missing", "step": name} for name in silent]
    return {
        "steps": told,
        "next": next((one["id"] for one in told if one["status"] == "open" or one["waits"]), None),
        "can_complete": not any(one["code"] in STOP_COMPLETION for one in blockers),
        "blockers": blockers,
    }


def _waits_for_second(step: dict[str, Any], ended: dict[str, str], state: State) -> bool:
    """Whether a step is done and its second person has not looked, nor has the lead let that go as a deviation of the step."""
    name = step["step"]
    if step.get("hold") != "second_person" or ended[name] != "done" or _confirmed(state["steps"][name]):
        return False
    decided = [one["decision"]["decision"] for one in state["deviations"] if one["step"] == name and one["decision"]]
    return "accept" not in decided


def _locks_coming_off(steps: list[dict[str, Any]], lost: list[dict[str, Any]], sound: list[dict[str, Any]]) -> set[str]:
    """Steps that take locks off, where nothing but themselves has undone a proof: its end does not close them."""
    by = {one["event"]: one["step"] for one in lost}
    undone = [{by[loss] for loss in one["undone"]} for one in sound]
    return {step["step"] for step in steps if step.get("undoes_zero_energy") and {step["step"]} in undone}


def _locks_off_unsaid(steps: list[dict[str, Any]], ended: dict[str, str], state: State) -> list[str]:
    """Steps that take locks off, done without the loss of zero energy on record: the proof no longer holds."""
    said = {one["step"] for one in state["zero_energy"]["lost"]}
    return [
        step["step"]
        for step in steps
        if step.get("undoes_zero_energy") and ended[step["step"]] == "done" and step["step"] not in said
    ]


def needs_acceptance(reading: dict[str, Any]) -> bool:
    """Whether a reading wants a lead's word: outside its window, undecidable, or a check that says so."""
    checks = (reading["result"] or {}).get("checks") or []
    if any(check.get("lead_accepts") for check in checks):
        return True
    return reading["verdict"] not in GOOD and reading["verdict"] != "caution"


def _ended(step: dict[str, Any], facts: dict[str, Any], state: State) -> str:
    when = step.get("when")
    if when is not None and calc.truth(when, facts) is False:
        return "does_not_apply"
    if not _called_for(step, state):
        return "does_not_apply"
    held = state["steps"].get(step["step"])
    if held is None or held["status"] == "open":
        return "open"
    if held["status"] == "not_applicable":
        return "open" if step.get("not_applicable") == "never" else "not_applicable"
    return "done"


def _called_for(step: dict[str, Any], state: State) -> bool:
    """Whether the reading that calls for a step says so; of two that contradict each other one is enough."""
    after = step.get("only_after")
    if after is None:
        return True
    held = state["readings"].get(after["reading"]) or {"all": []}
    now = [one for one in held["all"] if held["current"] in (None, one["event"])]
    return any((one["body"].get("value") or {}).get("word") == after["word"] for one in now)


def _missing(step: dict[str, Any], state: State) -> list[str]:
    readings = step.get("readings") or []
    return [
        one["reading"]
        for one in readings
        if one.get("required", True) and f"{step['step']}/{one['reading']}" not in state["readings"]
    ]


def _blockers(
    steps: list[dict[str, Any]],
    told: list[dict[str, Any]],
    state: State,
    proof: str | None,
    ever: bool,
    rules: int,
) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = []
    strict, after = rules >= WHOLE_PROOFS, _AFTER[min(rules, IN_ORDER) - 1]
    if proof is not None and not ever:
        found.append({"code": "zero_energy_not_proved", "step": proof})
    for step, one in zip(steps, told, strict=True):
        name = step["step"]
        held = state["steps"].get(name)
        if one["status"] in ("open", "closed"):
            found.append({"code": "step_open", "step": name})
        if one["status"] in ("open", "closed", "done"):
            found += [
                {"code": "reading_missing", "step": name, "reading": reading} for reading in one["missing"]
            ]
        if held is None:
            continue
        if held["conflict"]:
            found.append({"code": "conflict", "step": name})
        second = one["waits"] if strict else step.get("hold") == "second_person" and not _confirmed(held)
        if one["status"] == "done" and second:
            found.append({"code": "second_person_missing", "step": name})
        if one["status"] == "not_applicable" and step.get("not_applicable") == "lead" and not held["agreed"]:
            found.append({"code": "lead_agreement_missing", "step": name, "event": held["event"]})
        closed_without = proof in (step.get("needs") or []) and not step.get("undoes_zero_energy")
        if one["status"] == "done" and closed_without and not held[after]:
            found.append({"code": "before_zero_energy", "step": name, "event": held["event"]})
    found += _reading_blockers(steps, state, proof, after)
    found += [
        {"code": "deviation_undecided", "step": one["step"], "event": one["event"]}
        for one in state["deviations"]
        if one["decision"] is None
    ]
    for code in ("claimed", "waiting", "unknown"):
        found += [{"code": code, "event": event} for event in state[code]]
    if any(one["decision"] and one["decision"]["decision"] == "stop" for one in state["deviations"]):
        found.append({"code": "stopped"})
    return found


def _confirmed(held: dict[str, Any]) -> bool:
    return any(one["by"] != held["by"] or one["name"] for one in held["confirmed"])


def _reading_blockers(steps: list[dict[str, Any]], state: State, proof: str | None, after: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = []
    needs = {step["step"]: step for step in steps}
    for key in sorted(state["readings"]):
        held = state["readings"][key]
        name, reading = key.split("/", 1)
        if held["conflict"]:
            found.append({"code": "conflict", "step": name, "reading": reading})
            continue
        one = next(one for one in held["all"] if one["event"] == held["current"])
        where = {"step": name, "reading": reading, "event": one["event"]}
        if needs_acceptance(one) and one["accepted"] is None:
            found.append({"code": "outside_unaccepted", **where})
        step = needs.get(name, {})
        after_proof = proof in (step.get("needs") or []) and not step.get("undoes_zero_energy")
        if after_proof and not one[after]:
            found.append({"code": "before_zero_energy", **where})
    return found

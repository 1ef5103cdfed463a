"""Small readings of a job's state that several rooms of the review share. Pure; no words."""

from __future__ import annotations

from typing import Any

State = dict[str, Any]

ACCEPTABLE = frozenset({"inside", "none", "caution"})


def step_id(step: dict[str, Any]) -> str:
    """The id of a procedure's step, as the bundle spells it."""
    return str(step.get("step") or step.get("id") or "")


def steps_by_id(procedure: dict[str, Any] | None) -> dict[str, dict[str, Any]]:
    """Steps of a bundle's procedure in order, by id; empty without a procedure."""
    return {step_id(step): step for step in (procedure or {}).get("steps", [])}


def say(text: object, lang: str = "en") -> str:
    """The words of a content text in a language, English where that language is missing."""
    if isinstance(text, dict):
        return str(text.get(lang) or text.get("en") or next(iter(text.values()), ""))
    return "" if text is None else str(text)


def current(reading: State) -> State | None:
    """The reading that counts; None while none was taken or two stand against each other."""
    now = reading.get("current")
    if isinstance(now, dict):
        return now
    return next((one for one in reading.get("all", []) if one.get("event") == now), None)


def in_doubt(reading: State) -> bool:
    """Whether two people's readings of one thing stand and nobody has chosen."""
    return bool(reading.get("conflict"))


def verdict_of(one: State) -> str:
    """The verdict recorded with a reading: the server's own where it differs, `none` without a sheet."""
    differs = one.get("server_verdict") or one.get("differs")
    if isinstance(differs, str):
        return differs
    found = one.get("verdict") or (one.get("body", {}).get("result") or {}).get("verdict")
    return str(found or "none")


def needs_lead(one: State) -> bool:
    """Whether a lead has to accept this reading: outside its window, or a check asks for it."""
    verdict = verdict_of(one)
    if verdict not in ACCEPTABLE:
        return True
    result = one.get("body", {}).get("result") or {}
    return any(check.get("lead_accepts") for check in result.get("checks", []))


def body(one: State) -> State:
    """The event body behind a reading; empty where the state does not carry it."""
    found = one.get("body")
    return found if isinstance(found, dict) else {}

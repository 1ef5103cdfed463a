"""The facts that a job's pages and its print share, gathered once from the view of the job."""

from __future__ import annotations

from typing import Any

from shaftside.pages.board import board
from shaftside.pages.job_page import Reader
from shaftside.records import JobLine, due
from shaftside.review.record import say
from shaftside.sentence import joined, listed, moment, tell, tell_n

# Templates are strict about names; what an event may leave out is filled in here.
_MAY_LACK: dict[str, Any] = {
    "claimed": False, "tester": "", "text": "", "reason": "", "step": None, "code": "", "by": "", "at": "",
    "sha256": "", "how": "", "tried": "", "event": "",
}  # fmt: skip


def _items(value: Any) -> list[dict[str, Any]]:
    if isinstance(value, dict):
        value = [{"event": key, **one} for key, one in value.items()]
    return [_MAY_LACK | one for one in value or [] if isinstance(one, dict)]


def deviations(state: dict[str, Any]) -> list[dict[str, Any]]:
    """Deviations, undecided ones first: event, step, text, by, at, decision, reason, decided_by."""
    out = []
    for one in _items(state.get("deviations")):
        decided = one.get("decided")
        answer = decided if isinstance(decided, dict) else one
        out.append(
            {
                "event": str(one.get("event", "")),
                "step": one.get("step"),
                "text": one.get("text", ""),
                "by": str(one.get("by", "")),
                "at": one.get("at", ""),
                "decision": answer.get("decision"),
                "reason": answer.get("reason"),
                "decided_by": answer.get("by") if answer is decided else None,
            }
        )
    return sorted(out, key=lambda one: (one["decision"] is not None, str(one["at"])))


def later(state: dict[str, Any], begun: dict[str, JobLine], lang: str = "en") -> list[tuple[str, str, str, str]]:
    """(title, after how much, how it stands, the job of its own or nothing) of work that comes due later."""
    done = {one["follow_up"]: one for one in _items(state.get("follow_ups_done"))}
    out: list[tuple[str, str, str, str]] = []
    for one in _items(state.get("outstanding")):
        after = one.get("after") or {}
        parts = [
            tell_n("after %(n)s running hour", "after %(n)s running hours", amount) if key == "running_h" else tell("after %(amount)s %(what)s", amount=amount, what=key)
            for key, amount in after.items()
        ]
        soonest = due.soonest(state, one)
        child = begun.get(str(one.get("follow_up")))
        stands: str
        if one.get("follow_up") in done:
            stands = tell("done %(at)s", at=moment(done[one["follow_up"]]["at"], False))
        elif child and child.closed_at:
            stands = tell("done in a job of its own, %(at)s", at=moment(child.closed_at, False))
        elif soonest is None:
            stands = tell("outstanding, its clock has not started: the machine has not run")
        else:
            stands = tell("outstanding, soonest %(at)s", at=moment(soonest))
        if child and not child.closed_at and one.get("follow_up") not in done:
            doing = tell("being done in a job of its own, begun %(at)s", at=moment(child.started_at, False))
            stands = listed([stands, doing], "; ")
        out.append((say(one.get("title"), lang) or str(one.get("follow_up", "")), listed(parts), stands, child.job if child else ""))
    return out


def signatures(events: list[dict[str, Any]], names: dict[str, str]) -> list[dict[str, Any]]:
    """Who signed what with which meaning: the completion, every sign-off and every return, in order."""
    meanings = {
        "job_completed": tell("I did this work and recorded it as complete"),
        "job_returned": tell("Returned for rework"),
    }
    out = []
    for kept in events:
        event = kept["event"]
        kind, body = event["kind"], event.get("body", {})
        if kind not in (*meanings, "job_signed") or kept.get("outcome") == "refused":
            continue
        out.append(
            {
                "name": body.get("name") or names.get(event["actor"], event["actor"]),
                "role": body.get("role") or ("technician" if kind == "job_completed" else "lead"),
                "at": event["wall"],
                "meaning": body.get("statement") or (joined(meanings[kind], ": ", body["reason"]) if body.get("reason") else meanings[kind]),
                "heads": body.get("heads") or event.get("parents", []),
            }
        )
    return out


def claims(state: dict[str, Any], events: list[dict[str, Any]]) -> list[dict[str, str]]:
    """Entries that are only claimed and still wait for an answer."""
    waiting = set(map(str, state.get("claimed", [])))
    return [
        {
            "event": one["event"]["id"],
            "what": one["event"]["kind"],
            "by": one["event"]["actor"],
            "at": one["event"]["wall"],
        }
        for one in events
        if one["event"]["id"] in waiting
    ]


def context(view: Any, reader: Reader, names: dict[str, str]) -> dict[str, Any]:
    """What job.html, sign.html and print.html are rendered with."""
    state = view.state
    rows = reader.readings()
    rivals = {row.event for _, _, _, held in reader.conflicts() for row in held}
    bad = [row for row in rows if (row.needs_lead or row.claimed or row.refused) and row.event not in rivals]
    bad.sort(key=lambda row: (bool(row.accepted) or not row.counts, row.at))
    held_up = {b.get("event") for b in view.blockers if b.get("code") == "lead_agreement_missing"}
    held_steps = {b.get("step") for b in view.blockers if b.get("code") == "lead_agreement_missing"}
    steps = reader.step_rows()
    return {
        "id": view.id,
        "state": state,
        "people": names,
        "readings": rows,
        "bad": bad,
        "good": [row for row in rows if row not in bad and row.event not in rivals],
        "conflicts": reader.conflicts(),
        "steps": steps,
        "step_words": reader.step_words,
        "deviations": deviations(state),
        "not_applicable": [
            {
                "do": row.do,
                "reason": row.reason,
                "by": row.by or "",
                "at": row.at,
                "agreed": row.agreed,
                "event": row.event or "",
                "waits": row.event in held_up or row.id in held_steps,
            }
            for row in steps
            if row.status == "not_applicable"
        ],
        "refused": _items(state.get("refused")),
        "claims": claims(state, view.events),
        "blockers": [reader.blocker_words(one) for one in view.blockers],
        "proofs": _items(state.get("zero_energy", {}).get("proofs")),
        "lost": _items(state.get("zero_energy", {}).get("lost")),
        "board": board(state, view.bundle or {}, reader.lang),
        "later": later(state, view.later, reader.lang),
        "answers": say(view.answers, reader.lang) if view.answers else "",
        "notes": _items(state.get("notes")),
        "photos": _items(state.get("photos")),
        "facts": reader.facts(),
        "makers": reader.job_makers(),
        "events": view.events,
        "signatures": signatures(view.events, names),
    }

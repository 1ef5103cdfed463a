"""What a record is, worked out from its events alone; the twin of web/state.js.

Pure, and the same for every order in which the events arrive. No limits and no arithmetic:
whether a reading is good was judged by its sheet and stands in its event. Where two people
worked at once and disagree, both are kept and the less safe reading of things wins.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from shaftside.records import board
from shaftside.records.causal import Causal, Node
from shaftside.records.model import Kept, State
from shaftside.records.remarks import Marks, latest, of, read, who

WORK_KINDS = frozenset(
    [
        "job_started",
        "step_done",
        "step_confirmed",
        "step_not_applicable",
        "step_reopened",
        "reading_taken",
        "zero_energy_proved",
        "zero_energy_lost",
        "row_added",
        "row_ended",
        "row_checked",
        "job_completed",
    ]
)
# what may come after a sign-off without touching what was signed
AFTER_SIGNING = frozenset(["follow_up_done", "machine_started", "event_refused", "actor_claimed", "claim_answered"])
WORSE_DECISION = ("stop", "rework", "accept")


def reduce_job(kept: list[Kept]) -> State:
    """The state of one job; `kept` its events with their hashes, in any order, repeated or not."""
    causal, marks, state = read(kept, "job")
    started = of(marks, "job_started")
    first = started[0] if started else None
    for name in ("position", "machine", "position_name", "procedure", "method", "work", "bundle"):
        state[name] = first.body.get(name) if first else None
    state["facts"] = first.body.get("facts") or {} if first else {}
    state["maker"] = first.body.get("maker") or {} if first else {}
    state["parent_job"] = first.body.get("parent_job") if first else None
    state["follow_up"] = first.body.get("follow_up") if first else None
    state["started"] = who(first, marks) if first else None
    zero = _ZeroEnergy(marks)
    state["zero_energy"] = zero.state()
    state["board"] = board.rows(marks)
    state["steps"] = _steps(marks, zero)
    state["readings"] = _readings(marks, zero)
    state["deviations"] = _deviations(marks)
    state["follow_ups_done"] = [
        {**who(node, marks), "follow_up": node.body["follow_up"], "note": node.body.get("note", "")}
        for node in of(marks, "follow_up_done")
    ]
    state["machine_started"] = [{**who(node, marks), "started": node.body["at"]} for node in of(marks, "machine_started")]
    state["workers"] = sorted({node.event["actor"] for node in marks.effective if node.kind in WORK_KINDS})
    state |= _course(causal, marks, state["deviations"])
    return state


class _ZeroEnergy:
    """Proved only where some proof has seen every loss; seen from now, or from one event."""

    def __init__(self, marks: Marks) -> None:
        self.marks = marks
        self.proofs = of(marks, "zero_energy_proved")
        self.lost = [one for one in of(marks, "zero_energy_lost", "row_added", "row_ended") if board.loses(one)]
        self.sources = board.sources(marks)
        self.lacks = {proof.id: board.lacks(marks, self.lost, proof.after) for proof in self.proofs}
        self.by_comer = {proof.id: self._by_comer(proof) for proof in self.proofs}

    def _by_comer(self, proof: Node) -> bool:
        """A proof after a shift change is by who comes, or that one has proved before it."""
        waits = board.awaits(self.marks, self.proofs, proof.after)
        return not waits or any(board.comes(proof.event["actor"], one) for one in waits)

    def before(self, node: Node, whole: bool = False, by_comer: bool = False) -> bool:
        """Whether the author of an event knew of a proof that no loss he knew of had undone.

        whole: a proof that lacked nothing, and of every source he knew of. by_comer: and after a shift change by who came.
        """
        known = [one for one in self.lost + (self.sources if whole else []) if node.after(one)]
        return any(
            node.after(proof)
            and proof.id not in self.marks.claimed
            and not (whole and self.lacks[proof.id])
            and not (by_comer and not self.by_comer[proof.id])
            and all(proof.after(one) for one in known)
            for proof in self.proofs
        )

    def state(self) -> dict[str, Any]:
        """Whether it stands proved now, and all that was said about it."""
        proved = any(
            proof.id not in self.marks.claimed and all(proof.after(one) for one in self.lost)
            for proof in self.proofs
        )
        return {
            "proved": proved,
            "proofs": [
                {
                    **who(one, self.marks),
                    "step": one.body.get("step"),
                    "how": one.body["how"],
                    "tried": one.body["tried"],
                    "tester": one.body.get("tester"),
                    "afterwards": one.body.get("afterwards"),
                    "undone": [loss.id for loss in self.lost if not one.after(loss)],
                    "unseen": [source.id for source in self.sources if not one.after(source)],
                    "lacks": self.lacks[one.id],
                    "by_comer": self.by_comer[one.id],
                }
                for one in self.proofs
            ],
            "lost": [
                {**who(one, self.marks), "step": one.body.get("step"), "reason": board.why_lost(one)}
                for one in self.lost
            ],
            "lacks": board.lacks(self.marks, self.lost, lambda _: True),
            "awaits": board.awaits(self.marks, self.proofs, lambda _: True),
        }


def _seen(body: Mapping[str, Any]) -> dict[str, Any]:
    """The language that a step was read in, where it was not English, and whether nobody of the trade had read its translation."""
    lang = body.get("lang", "en")
    return {} if lang == "en" else {"lang": lang, "unreviewed": body.get("unreviewed") is True}


def _steps(marks: Marks, zero: _ZeroEnergy) -> dict[str, Any]:
    acts: dict[str, list[Node]] = {}
    for node in of(marks, "step_done", "step_not_applicable", "step_reopened", "step_confirmed"):
        acts.setdefault(node.body["step"], []).append(node)
    agreed: dict[str, Any] = {}
    for node in of(marks, "not_applicable_agreed"):
        agreed[node.body["event"]] = {**who(node, marks), "reason": node.body["reason"]}
    steps: dict[str, Any] = {}
    for name, nodes in acts.items():
        reopened = [one for one in nodes if one.kind == "step_reopened"]
        standing = [
            one
            for one in nodes
            if one.kind in ("step_done", "step_not_applicable") and all(one.after(back) for back in reopened)
        ]
        last = latest(standing)
        conflict = len({one.kind for one in last}) > 1
        spoke = last[-1] if last and not conflict else None
        step: dict[str, Any] = {
            "status": "open",
            "by": None,
            "at": None,
            "event": None,
            "reason": reopened[-1].body["reason"] if reopened else None,
            "note": None,
            "afterwards": None,
            "after_proof": False,
            "after_whole_proof": False,
            "after_comer_proof": False,
            "claimed": False,
            "agreed": None,
            "conflict": conflict,
            "reopened": [{**who(one, marks), "reason": one.body["reason"]} for one in reopened],
            "confirmed": [
                {
                    **who(one, marks),
                    "name": one.body.get("name_of_second_person"),
                    "confirmed_by": one.body.get("confirmed_by"),
                }
                for one in nodes
                if one.kind == "step_confirmed" and all(one.after(back) for back in reopened)
            ],
        }
        if spoke is not None:
            step |= who(spoke, marks)
            step["status"] = "done" if spoke.kind == "step_done" else "not_applicable"
            step["reason"] = spoke.body.get("reason")
            step["note"] = spoke.body.get("note")
            step["afterwards"] = spoke.body.get("afterwards")
            step |= _seen(spoke.body)
            step["after_proof"] = zero.before(spoke)
            step["after_whole_proof"] = zero.before(spoke, whole=True)
            step["after_comer_proof"] = zero.before(spoke, whole=True, by_comer=True)
            step["agreed"] = agreed.get(spoke.id)
        steps[name] = step
    return steps


def _readings(marks: Marks, zero: _ZeroEnergy) -> dict[str, Any]:
    taken: dict[str, list[Node]] = {}
    chosen: dict[str, list[Node]] = {}
    for node in of(marks, "reading_taken", "reading_chosen"):
        where = taken if node.kind == "reading_taken" else chosen
        where.setdefault(f"{node.body['step']}/{node.body['reading']}", []).append(node)
    accepted: dict[str, Any] = {}
    for node in of(marks, "reading_accepted"):
        accepted[node.body["reading"]] = {**who(node, marks), "reason": node.body["reason"]}
    readings: dict[str, Any] = {}
    for key, nodes in taken.items():
        rivals = latest(nodes)
        choices = latest(chosen.get(key, []))
        left = [
            one
            for one in rivals
            if not any(choice.after(one) and choice.body["chosen"] != one.id for choice in choices)
        ]
        if not left:  # two choices at once threw each other's reading out
            left = rivals
        readings[key] = {
            "all": [_reading(one, marks, zero, accepted) for one in nodes],
            "current": left[0].id if len(left) == 1 else None,
            "conflict": [one.id for one in left] if len(left) > 1 else None,
            "chosen": [
                {**who(one, marks), "chosen": one.body["chosen"], "reason": one.body["reason"]}
                for one in choices
            ],
        }
    return readings


def _reading(node: Node, marks: Marks, zero: _ZeroEnergy, accepted: dict[str, Any]) -> dict[str, Any]:
    differs = marks.verdicts.get(node.id)
    on_phone = (node.body.get("result") or {}).get("verdict") or "none"
    return {
        **who(node, marks),
        "verdict": differs["verdict"] if differs else on_phone,
        "verdict_on_phone": on_phone,
        "differs": differs is not None,
        "result": (differs.get("result") if differs else None) or node.body.get("result"),
        "afterwards": node.body.get("afterwards"),
        "body": node.body,
        "after_proof": zero.before(node),
        "after_whole_proof": zero.before(node, whole=True),
        "after_comer_proof": zero.before(node, whole=True, by_comer=True),
        "accepted": accepted.get(node.id),
    }


def _deviations(marks: Marks) -> list[dict[str, Any]]:
    decided: dict[str, list[Node]] = {}
    for node in of(marks, "deviation_decided"):
        decided.setdefault(node.body["deviation"], []).append(node)
    deviations = []
    for node in of(marks, "deviation_raised"):
        last = latest(decided.get(node.id, []))
        last.sort(key=lambda one: WORSE_DECISION.index(one.body["decision"]))
        decision = None
        if last:
            body = last[0].body
            decision = {**who(last[0], marks), "decision": body["decision"], "reason": body["reason"]}
        deviations.append(
            {
                **who(node, marks),
                "step": node.body.get("step"),
                "text": node.body["text"],
                "decision": decision,
                "decided": decision,
            }
        )
    return deviations


def _course(causal: Causal, marks: Marks, deviations: list[dict[str, Any]]) -> State:
    """How far the job has come: completed, returned, signed, amended, stopped."""
    returned = of(marks, "job_returned")
    undone = returned + of(marks, "step_reopened")
    complete = [one for one in of(marks, "job_completed") if all(one.after(back) for back in undone)]
    last = complete[-1] if complete else None
    stopped = any(one["decision"] and one["decision"]["decision"] == "stop" for one in deviations)
    if last is not None:
        status = "completed"
    elif any(not any(one.after(back) for one in of(marks, "job_completed")) for back in returned):
        status = "returned"
    else:
        status = "open"
    if stopped:
        status = "stopped"
    signatures = of(marks, "job_signed")
    signed = None
    if signatures:
        node = signatures[-1]
        seen = causal.covered(node.body["heads"])
        beyond = [
            one.id
            for one in marks.effective
            if one is not node and one.hash not in seen and one.kind not in AFTER_SIGNING
        ]
        signed = {
            **who(node, marks),
            "heads": node.body["heads"],
            "name": node.body["name"],
            "role": node.body["role"],
            "statement": node.body["statement"],
            "amended_by": beyond,
        }
        status = "amended" if beyond else "signed"
    return {
        "completed": who(last, marks) if last else None,
        "outstanding": last.body.get("outstanding") or [] if last else [],
        "returned": [{**who(one, marks), "reason": one.body["reason"]} for one in returned],
        "signed": signed,
        "status": status,
    }


def reduce_position(kept: list[Kept]) -> State:
    """The state of one position on a machine: the last description, and whether it is retired."""
    _, marks, state = read(kept, "position")
    described = of(marks, "position_described")
    rivals = latest(described)
    body = rivals[-1].body if rivals else {}
    for name in ("machine", "name"):
        state[name] = body.get(name)
    state["facts"] = body.get("facts") or {}
    state["maker"] = body.get("maker") or {}
    state["as_typed"] = body.get("as_typed") or []
    state["described"] = [who(one, marks) for one in described]
    state["conflict"] = [one.id for one in rivals] if len(rivals) > 1 else None
    retired = [
        one for one in of(marks, "position_retired") if not any(other.after(one) for other in described)
    ]
    state["retired"] = {**who(retired[-1], marks), "reason": retired[-1].body["reason"]} if retired else None
    return state


def reduce_failure(kept: list[Kept]) -> State:
    """The state of one failure report: its last wording and everything added to it."""
    _, marks, state = read(kept, "failure")
    reported = of(marks, "failure_reported")
    last = latest(reported)
    body = last[-1].body if last else {}
    for name in ("position", "found_on", "stopped_at", "text", "appearance", "running_h"):
        state[name] = body.get(name)
    state["reported"] = [who(one, marks) for one in reported]
    state["by"] = reported[0].event["actor"] if reported else None
    state["at"] = reported[0].event["wall"] if reported else None
    return state


def reduce_person(kept: list[Kept]) -> State:
    """The state of one person: name, roles, whether the person may still sign in."""
    _, marks, state = read(kept, "person")
    state |= {"name": None, "roles": [], "disabled": False}
    for node in of(marks, "person_added", "roles_changed", "person_disabled", "person_enabled"):
        if node.kind == "person_added":
            state["name"] = node.body["name"]
        if node.kind in ("person_added", "roles_changed"):
            state["roles"] = sorted(node.body["roles"])
        else:
            state["disabled"] = node.kind == "person_disabled"
    return state

"""What every sort of record has in common: which events count, who said so, and what the server remarked on them.

The twin of web/remarks.js. The reducers of each sort of record build on it.
"""

from __future__ import annotations

from typing import Any

from shaftside.records.causal import Causal, Node
from shaftside.records.model import Kept, State

KNOWN_KINDS = frozenset(
    [
        "position_described",
        "position_retired",
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
        "note_added",
        "photo_added",
        "deviation_raised",
        "deviation_decided",
        "reading_accepted",
        "reading_chosen",
        "not_applicable_agreed",
        "job_completed",
        "job_returned",
        "job_signed",
        "follow_up_done",
        "machine_started",
        "failure_reported",
        "event_refused",
        "actor_claimed",
        "claim_answered",
        "verdict_differs",
        "person_added",
        "roles_changed",
        "person_disabled",
        "person_enabled",
        "plant_value_set",
        "plant_value_withdrawn",
    ]
)


class Marks:
    """What the server's remarks say about other events, and which events count at all."""

    def __init__(self, causal: Causal) -> None:
        self.refused: list[dict[str, Any]] = []
        self.struck: list[str] = []
        self.verdicts: dict[str, dict[str, Any]] = {}
        void: set[str] = set()
        claimed: set[str] = set()
        mine: set[str] = set()
        # from the last back, so that a refusal of a forged refusal is known before the forgery
        for node in reversed(causal.nodes):
            if node.id in void:
                continue
            body = node.body
            if node.kind == "event_refused":
                void.add(body["event"])
                self.refused.append({"event": body["event"], "code": body["code"], "reason": body["reason"]})
            elif node.kind == "claim_answered":
                if body["mine"]:
                    mine.add(body["event"])
                else:
                    void.add(body["event"])
                    self.struck.append(body["event"])
            elif node.kind == "actor_claimed":
                claimed.add(body["event"])
            elif node.kind == "verdict_differs":
                self.verdicts.setdefault(body["event"], body)
        self.refused.reverse()
        self.struck.reverse()
        self.effective = [node for node in causal.nodes if node.id not in void]
        self.claimed = {node.id for node in self.effective if node.id in claimed - mine}


def read(kept: list[Kept], kind: str) -> tuple[Causal, Marks, State]:
    """The parts that every sort of record has in common."""
    causal = Causal(kept)
    marks = Marks(causal)
    nodes = causal.nodes
    state: State = {
        kind: nodes[0].event["record"] if nodes else None,
        "claimed": [node.id for node in marks.effective if node.id in marks.claimed],
        "refused": marks.refused,
        "struck": marks.struck,
        "waiting": [node.id for node in nodes if node.missing],
        "unknown": [node.id for node in marks.effective if node.kind not in KNOWN_KINDS],
        "notes": [
            {**who(node, marks), "step": node.body.get("step"), "text": node.body["text"]}
            for node in marks.effective
            if node.kind == "note_added"
        ],
        "photos": [
            {
                **who(node, marks),
                "step": node.body.get("step"),
                "sha256": node.body["sha256"],
                "type": node.body.get("type"),
                "bytes": node.body.get("bytes"),
            }
            for node in marks.effective
            if node.kind == "photo_added"
        ],
        "heads": causal.heads,
        "count": len(nodes),
    }
    return causal, marks, state


def who(node: Node, marks: Marks) -> dict[str, Any]:
    return {
        "event": node.id,
        "by": node.event["actor"],
        "at": node.event["wall"],
        "claimed": node.id in marks.claimed,
    }


def of(marks: Marks, *kinds: str) -> list[Node]:
    return [node for node in marks.effective if node.kind in kinds]


def latest(nodes: list[Node]) -> list[Node]:
    """Those that no other of them has seen."""
    return [one for one in nodes if not any(other.after(one) for other in nodes)]

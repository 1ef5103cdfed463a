"""The board of a job's control of energy: rows added, checked, ended; twin of web/board.js.

Where two people disagree the less safe reading wins: a claimed end ends nothing, but any lock off, claimed or not,
loses the proof of zero energy, as do a shift change and a test run.
"""

from __future__ import annotations

from typing import Any

from shaftside.records.causal import Node
from shaftside.records.model import State
from shaftside.records.remarks import Marks, of, who

LOST_BY_ADDING = ("handover", "test_run")
LOST_BY_ENDING = ("lock",)
WHY = {"lock": "lock off", "handover": "shift change", "test_run": "test run"}


def loses(node: Node) -> bool:
    """Whether an event takes the proof of zero energy away."""
    if node.kind == "row_added":
        return node.body["list"] in LOST_BY_ADDING
    return node.kind != "row_ended" or node.body["list"] in LOST_BY_ENDING


def why_lost(node: Node) -> str:
    """The reason that stands in the record."""
    return str(node.body.get("reason") or WHY.get(str(node.body.get("list")), ""))


def rows(marks: Marks) -> list[dict[str, Any]]:
    """Every row in order: who added it and when, list, step, of, fields, checks, and its end or None."""
    ends: dict[str, list[Node]] = {}
    for node in of(marks, "row_ended"):
        ends.setdefault(node.body["row"], []).append(node)
    checks: dict[str, list[Node]] = {}
    for node in of(marks, "row_checked"):
        checks.setdefault(node.body["row"], []).append(node)
    out = []
    for node in of(marks, "row_added"):
        ended = [one for one in ends.get(node.id, []) if one.id not in marks.claimed]
        last = ended[0] if ended else None
        out.append(
            {
                **who(node, marks),
                "list": node.body["list"],
                "step": node.body.get("step"),
                "of": node.body.get("of") or [],
                "fields": node.body["fields"],
                "afterwards": node.body.get("afterwards"),
                "checks": [{**who(one, marks), "showed": one.body["showed"]} for one in checks.get(node.id, [])],
                "ended": None
                if last is None
                else {
                    **who(last, marks),
                    "by_owner": last.body.get("by_owner", True),
                    "exception": last.body.get("exception") or {},
                    "mistake": last.body.get("mistake", False),
                    "note": last.body.get("note", ""),
                    "afterwards": last.body.get("afterwards"),
                },
            }
        )
    return out


def problems(step: dict[str, Any], must: dict[str, Any], state: State) -> list[dict[str, Any]]:
    """What a step of the board still lacks: `row_missing` (of: the source not covered) and `row_on` (a row not ended).

    must: by list, true or the yes/no field that says whether a row has to be ended.
    """
    found: list[dict[str, Any]] = []
    name, wanted = step["step"], step.get("rows")
    held = standing(state)
    if wanted is not None:
        covering = [one for one in held if one["list"] in step.get("covers", ())]
        if not any(one["list"] == wanted and one["step"] == name for one in held):
            found.append({"code": "row_missing", "step": name, "list": wanted})
        if "covers" in step:
            found += [
                {"code": "row_missing", "step": name, "list": wanted, "of": source["event"]}
                for source in held
                if source["list"] == "source" and not any(source["event"] in one["of"] for one in covering)
            ]
    if "ends" in step:
        found += [one for one in still_on(must, state, name) if one["list"] == step["ends"]]
    return found


def standing(state: State) -> list[dict[str, Any]]:
    """Rows that were not a mistake."""
    return [one for one in state["board"] if one["ended"] is None or not one["ended"]["mistake"]]


def still_on(must: dict[str, Any], state: State, step: str | None = None) -> list[dict[str, Any]]:
    """`row_on` of every row that must end and has not."""
    return [
        {"code": "row_on", "step": step, "list": one["list"], "row": one["event"]}
        for one in standing(state)
        if one["ended"] is None and _must_end(one, must.get(one["list"], False))
    ]


def _must_end(row: dict[str, Any], must: bool | str) -> bool:
    """A field left open counts as yes."""
    return (row["fields"].get(must) or {}).get("yes") is not False if isinstance(must, str) else must

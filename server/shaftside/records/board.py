"""The board of a job's control of energy: rows added, checked, ended; twin of web/board.js.

Where two people disagree the less safe reading wins: a claimed end ends nothing, but any lock off, claimed or not,
loses the proof of zero energy, as do a shift change and a test run.
"""

from __future__ import annotations

from collections.abc import Callable
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


def lacks(marks: Marks, lost: list[Node], seen: Callable[[Node], bool]) -> list[dict[str, Any]]:
    """What stands between a proof of zero energy and those who see only these entries.

    `row_missing` of a source with no live lock or hold (`list` lock), or not tested since the last loss (`list` test);
    `row_on` of a lock that was handed over and is still on. A source that had such a lock wants the comer's lock.
    """
    over = [node for node in of(marks, "row_ended") if seen(node)]
    gone = {node.body["row"] for node in over}  # claimed or not: the less favourable reading
    mistakes = {node.body["row"] for node in over if node.id not in marks.claimed}
    losses = [node for node in lost if seen(node)]
    added = [node for node in of(marks, "row_added") if seen(node)]

    def live(name: str, ended: set[str] = gone) -> list[Node]:
        return [node for node in added if node.body["list"] == name and node.id not in ended]

    locks = live("lock")
    given = {row for node in live("handover", mistakes) for row in node.body.get("of") or []}
    handed = {source for node in added if node.id in given for source in node.body.get("of") or []}
    found = [{"code": "row_on", "list": "lock", "row": node.id} for node in locks if node.id in given]
    for source in live("source", mistakes):
        holding = [node for node in locks if node.id not in given]
        holding += [] if source.id in handed else live("hold")
        tests = [node for node in live("test") if all(node.after(loss) for loss in losses)]
        for name, covering in (("lock", holding), ("test", tests)):
            if not any(source.id in (node.body.get("of") or []) for node in covering):
                found.append({"code": "row_missing", "list": name, "of": source.id})
    return found


def sources(marks: Marks) -> list[Node]:
    """The sources that stand: a claimed mistake takes none away."""
    ended = {node.body["row"] for node in of(marks, "row_ended") if node.id not in marks.claimed}
    return [node for node in of(marks, "row_added") if node.body["list"] == "source" and node.id not in ended]


def problems(step: dict[str, Any], must: dict[str, Any], state: State) -> list[dict[str, Any]]:
    """What a step of the board still lacks: `row_missing` (of: the source not covered) and `row_on` (a row not ended).

    must: by list, true or the yes/no field that says whether a row has to be ended. A step with `kinds` asks only for
    sources of those kinds; one with `only` takes only rows with those words; a reading with `row` that says `there`
    wants a row of its word.
    """
    found: list[dict[str, Any]] = []
    name, wanted = step["step"], step.get("rows")
    held = standing(state)
    if wanted is not None:
        covering = [one for one in held if one["list"] in step.get("covers", ())]
        kinds = step.get("kinds")
        own = [one for one in held if one["list"] == wanted and one["step"] == name]
        if kinds is None and not any(_fits(one, step.get("only", {})) for one in own):
            found.append({"code": "row_missing", "step": name, "list": wanted})
        found += [
            {"code": "row_missing", "step": name, "list": wanted, "reading": reading["reading"]}
            for reading in step.get("readings", ())
            if "row" in reading and _said_there(reading, name, state)
            and not any(one["list"] == wanted and _word(one, reading["row"]["field"]) == reading["row"]["word"] for one in held)
        ]  # fmt: skip
        if "covers" in step:
            found += [
                {"code": "row_missing", "step": name, "list": wanted, "of": source["event"]}
                for source in held
                if source["list"] == "source"
                and (kinds is None or _word(source, "type") in (None, *kinds))
                and not any(source["event"] in one["of"] for one in covering)
            ]
    if "ends" in step:
        found += [one for one in still_on(must, state, name) if one["list"] == step["ends"]]
    return found


def _word(row: dict[str, Any], field: str) -> Any:
    return (row["fields"].get(field) or {}).get("word")


def _fits(row: dict[str, Any], only: dict[str, list[str]]) -> bool:
    return all(_word(row, field) in words for field, words in only.items())


def _said_there(reading: dict[str, Any], step: str, state: State) -> bool:
    """One of the readings that count says so: where two disagree, the source is there."""
    held = state["readings"].get(f"{step}/{reading['reading']}") or {"all": []}
    count = held.get("conflict") or [held.get("current")]
    return any(one["event"] in count and (one["body"].get("value") or {}).get("word") == "there" for one in held["all"])


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

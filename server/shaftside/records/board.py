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
PARTS = ("member", "in_charge", "coordinator")
"""Parts in a group, in the order in which their locks come off the group box."""
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
        if node.id not in marks.claimed:
            ends.setdefault(node.body["row"], []).append(node)
    box = [node for node in of(marks, "row_added") if node.body["list"] == "member"]
    checks: dict[str, list[Node]] = {}
    for node in of(marks, "row_checked"):
        checks.setdefault(node.body["row"], []).append(node)
    out = []
    for node in of(marks, "row_added"):
        ended = [(one, _early(node, one, box, ends)) for one in ends.get(node.id, [])]
        last, early = next((one for one in ended if not one[1]), ended[0] if ended else (None, []))
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
                    "early": early,
                },
            }
        )
    return out


def _early(row: Node, end: Node, box: list[Node], ends: dict[str, list[Node]]) -> list[str]:
    """Locks still on the group box, as far as an end knew, when one whose part goes after them took theirs off.

    Nothing where another of the same part stays on: that one is in charge now. A row that was a mistake never was on.
    """
    if row not in box or end.body.get("mistake"):
        return []

    def off(one: Node) -> bool:
        return any(end.after(over) or over.body.get("mistake") for over in ends.get(one.id, []))

    on = [one for one in box if one is not row and not one.after(end) and not off(one)]
    return [one.id for one in on if goes_before(one.body, row.body, [other.body for other in on])]


def goes_before(one: dict[str, Any], row: dict[str, Any], on: list[dict[str, Any]]) -> bool:
    """Whether a lock on the group box comes off before that of `row`, with these on beside it."""
    return PARTS.index(_part(one)) < PARTS.index(_part(row)) and all(_part(other) != _part(row) for other in on)


def _part(row: dict[str, Any]) -> str:
    part = _word(row, "part")
    return part if part in PARTS else PARTS[0]


def awaits(marks: Marks, proofs: list[Node], seen: Callable[[Node], bool]) -> list[dict[str, Any]]:
    """The last hand-overs among these entries, `{row, comer, goer}`, where none of them has had the proof of who comes.

    comer: the person's id where the hand-over names it, else None; goer: who wrote it.
    """
    ended = {node.body["row"] for node in of(marks, "row_ended") if seen(node) and node.id not in marks.claimed}
    over = [node for node in of(marks, "row_added") if node.body["list"] == "handover" and seen(node) and node.id not in ended]
    last = [node for node in over if not any(other.after(node) for other in over)]
    out = [{"row": node.id, "comer": node.body.get("comer"), "goer": node.event["actor"]} for node in last]
    known = [proof for proof in proofs if seen(proof) and proof.id not in marks.claimed]
    answered = any(proof.after(node) and comes(proof.event["actor"], one) for proof in known for node, one in zip(last, out, strict=True))
    return [] if answered else out


def comes(person: str, one: dict[str, Any]) -> bool:
    """Whether a person is the one who comes; where nobody is named by id, anybody but the one who wrote the hand-over."""
    return bool(person == one["comer"] if one["comer"] else person != one["goer"])


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


def problems(step: dict[str, Any], must: dict[str, Any], state: State, in_order: bool = False) -> list[dict[str, Any]]:
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
        found += [one for one in still_on(must, state, name, in_order) if one["list"] == step["ends"]]
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


def still_on(must: dict[str, Any], state: State, step: str | None = None, in_order: bool = False) -> list[dict[str, Any]]:
    """`row_on` of every row that must end and has not; in_order: or came off the group box before its turn."""
    return [
        {"code": "row_on", "step": step, "list": one["list"], "row": one["event"]}
        for one in standing(state)
        if (one["ended"] is None or (in_order and one["ended"]["early"])) and _must_end(one, must.get(one["list"], False))
    ]


def _must_end(row: dict[str, Any], must: bool | str) -> bool:
    """A field left open counts as yes."""
    return (row["fields"].get(must) or {}).get("yes") is not False if isinstance(must, str) else must

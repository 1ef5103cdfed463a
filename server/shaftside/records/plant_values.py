"""A plant's own maker's values: what is set and withdrawn, and which of them hold for a sheet and a position.

`reduce_plant_value` and the choosing are the twin of web/plant_values.js. One record is one value: set, perhaps set
again, perhaps withdrawn. A reading copies the value it used with its origin, so nothing here changes an old record.
"""

from __future__ import annotations

from typing import Any

from shaftside.calc import typed
from shaftside.calc.functions import steps
from shaftside.records.model import Kept, State
from shaftside.records.remarks import latest, of, read, who

PARTS = ("line", "value", "document", "revision", "page", "where", "name")


def reduce_plant_value(kept: list[Kept]) -> State:
    """The state of one plant's value. holds: it is set, nobody withdrew it, and nobody set it otherwise at the same time."""
    _, marks, state = read(kept, "plant_value")
    sets = of(marks, "plant_value_set")
    rivals = latest(sets)
    body = rivals[-1].body if rivals else {}
    state["line"] = body.get("line")
    state["value"] = body.get("value") or {}
    for name in ("document", "revision", "page", "name"):
        state[name] = body.get(name) or ""
    state["where"] = body.get("where") or {}
    state["set"] = [{**who(one, marks), **{part: one.body.get(part) for part in PARTS}} for one in sets]
    state["event"] = rivals[-1].id if rivals else None
    state["by"] = rivals[-1].event["actor"] if rivals else None
    state["at"] = rivals[-1].event["wall"] if rivals else None
    state["conflict"] = [one.id for one in rivals] if len(rivals) > 1 else None
    gone = [one for one in of(marks, "plant_value_withdrawn") if not any(other.after(one) for other in sets)]
    state["withdrawn"] = {**who(gone[-1], marks), "reason": gone[-1].body["reason"]} if gone else None
    state["holds"] = len(rivals) == 1 and not gone and rivals[-1].id not in marks.claimed
    return state


def as_maker(state: State) -> dict[str, Any]:
    """The value as a reading keeps it: with its document, and who set it when."""
    return {
        **state["value"],
        "document": state["document"],
        "revision": state["revision"],
        "page": state["page"],
        "origin": "plant",
        "plant_value": state["plant_value"],
        "event": state["event"],
        "by": state["by"],
        "name": state["name"],
        "at": state["at"],
    }


def same(program: dict[str, Any], one: Any, two: Any) -> bool:
    """Whether two entries say the same: the same word, the same yes or no, the same number in whole steps of its kind."""
    if not isinstance(one, dict) or not isinstance(two, dict):
        return False
    for key in ("word", "yes"):
        if key in one or key in two:
            return one.get(key) is not None and one.get(key) == two.get(key)
    a, b = _steps(program, one), _steps(program, two)
    return a is not None and a == b


def _steps(program: dict[str, Any], entry: dict[str, Any]) -> tuple[str, int] | None:
    unit = program["units"].get(entry.get("unit"))
    number = typed.parse_number(entry["typed"]) if isinstance(entry.get("typed"), str) else None
    if unit is None or not isinstance(number, float | int):
        return None
    kind = unit["kinds"][0]
    return kind, steps(number * unit["factor"] + unit["zero"], program["kinds"][kind]["per"])


def fits(program: dict[str, Any], state: State) -> bool:
    """Whether this handbook has the line, takes a maker's value there, and knows the unit."""
    sheet, _, name = (state["line"] or "").partition(".")
    lines = program["sheets"].get(sheet, {"lines": []})["lines"]
    line = next((one for one in lines if one["name"] == name and one.get("maker")), None)
    if line is None:
        return False
    if "word" in state["value"]:
        return bool(line["kind"] == "word")
    if "yes" in state["value"]:
        return bool(line["kind"] == "yesno")
    unit = program["units"].get(state["value"].get("unit"))
    return unit is not None and line["kind"] in unit["kinds"]


def that_hold(
    program: dict[str, Any], states: list[State], sheet: str, facts: dict[str, Any]
) -> tuple[dict[str, dict[str, Any]], list[str]]:
    """(maker's value by line, lines that two values speak for) of a sheet, for a position with these facts.

    The value with the most conditions wins; where two have as many, neither is used.
    """
    used: dict[str, dict[str, Any]] = {}
    unclear: list[str] = []
    by_line: dict[str, list[State]] = {}
    for state in states:
        if (
            not state["holds"]
            or not (state["line"] or "").startswith(sheet + ".")
            or not fits(program, state)
        ):
            continue
        if all(same(program, facts.get(name), entry) for name, entry in state["where"].items()):
            by_line.setdefault(state["line"][len(sheet) + 1 :], []).append(state)
    for line, found in by_line.items():
        most = max(len(one["where"]) for one in found)
        best = [one for one in found if len(one["where"]) == most]
        if len(best) == 1:
            used[line] = as_maker(best[0])
        else:
            unclear.append(line)
    return used, sorted(unclear)

"""Judging a recorded reading again, from what was typed, with the record's own bundle."""

from __future__ import annotations

import math
from typing import Any

from shaftside import calc
from shaftside.calc import typed

NEAR = 1e-9  # two evaluators agree to 1e-12; a record that is further off was not computed by its sheet


def fact_values(bundle: dict[str, Any], entries: dict[str, Any]) -> dict[str, Any]:
    """A position's facts as `when` and the sheets take them: SI numbers, words, yes/no; None not given."""
    units = bundle["calc"]["units"]
    return {fact["name"]: _value(units, entries.get(fact["name"])) for fact in bundle["facts"]}


def facts_wrong(bundle: dict[str, Any], entries: dict[str, Any]) -> list[tuple[str, dict[str, str]]]:
    """Facts that cannot be so beside the others: (name, what to check), of those asked for its locking method."""
    values = fact_values(bundle, entries)
    return [
        (fact["name"], fact["wrong"]["message"])
        for fact in bundle["facts"]
        if "wrong" in fact and values.get("locking_method") in fact["asked_for"] and calc.truth(fact["wrong"]["when"], values)
    ]


def _value(units: dict[str, Any], entry: Any) -> Any:
    if not isinstance(entry, dict):
        return None
    if "word" in entry or "yes" in entry:
        return entry.get("word", entry.get("yes"))
    unit = units.get(entry.get("unit") or "1")
    number = typed.parse_number(entry["typed"]) if isinstance(entry.get("typed"), str) else None
    if unit is None or not isinstance(number, float | int):
        return None
    return number * unit["factor"] + unit["zero"]


def judge(bundle: dict[str, Any], started: dict[str, Any], body: dict[str, Any]) -> dict[str, Any] | None:
    """Evaluate the sheet of a reading again; None where no sheet judges it.

    started: body of the job's start; its facts stand in for whatever facts the reading brought,
    so that a reading cannot be judged on another shaft than the job's.
    """
    procedure = bundle["procedures"].get(started["procedure"]) or {"steps": []}
    step: dict[str, Any] = next((one for one in procedure["steps"] if one["step"] == body["step"]), {})
    spec: dict[str, Any] = next(
        (one for one in step.get("readings") or [] if one["reading"] == body["reading"]), {}
    )
    sheet = spec.get("sheet") or body.get("sheet")
    if sheet is None or sheet not in bundle["calc"]["sheets"]:
        return None
    entries = dict(body.get("entries") or {})
    for name, source in (spec.get("take") or {}).items():
        pinned = started["facts"].get(source["fact"]) if "fact" in source else None
        if "word" in source:
            pinned = {"word": source["word"]}
        if pinned is not None:
            entries[name] = pinned
    values, _ = calc.read_inputs(bundle["calc"], sheet, entries)
    makers, _ = calc.read_makers(bundle["calc"], sheet, body.get("maker") or {})
    return calc.evaluate(bundle["calc"], sheet, values, makers)


def differs(recorded: dict[str, Any] | None, again: dict[str, Any] | None) -> list[str]:
    """What of a recorded result does not come out again, one short sentence each."""
    if again is None:
        return []
    if recorded is None:
        return ["the reading has a sheet but came without a result"]
    found = [
        f"{name}: recorded {recorded.get(name)}, again {again[name]}"
        for name in ("sheet", "status", "verdict")
        if name in recorded or name != "sheet"
        if recorded.get(name) != again[name]
    ]
    then = {one.get("name"): one for one in recorded.get("windows") or []}
    for window in again["windows"]:
        before = then.get(window["name"])
        if before is None:
            found.append(f"window {window['name']} is not in the record")
            continue
        found += [
            f"window {window['name']}, {part}: recorded {before.get(part)}, again {window.get(part)}"
            for part in ("position", "low", "high", "value")
            if not _same(before.get(part), window.get(part))
        ]
    fired = sorted(str(one.get("name")) for one in recorded.get("checks") or [])
    again_fired = sorted(one["name"] for one in again["checks"])
    if fired != again_fired:
        found.append(
            f"checks: recorded {', '.join(fired) or 'none'}, again {', '.join(again_fired) or 'none'}"
        )
    return found


def _same(one: Any, two: Any) -> bool:
    numbers = (int, float)
    if isinstance(one, numbers) and isinstance(two, numbers):
        return math.isclose(one, two, rel_tol=NEAR, abs_tol=1e-15)
    return bool(one == two)

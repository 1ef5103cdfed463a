"""The classic slips: mm typed where inch was meant, lbf.in for lbf.ft, a decimal point in the wrong place. Asked, never mended.

`web/slips.js` is the same. Which unit a number may have been meant in is data: `meant` of a unit in the program. A program
without it (an older handbook) asks nothing. What a number should be near is data too: `near` of an input.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from shaftside.calc import typed
from shaftside.calc.evaluator import evaluate, runner
from shaftside.calc.showing import figure, label_of, marked, sentence, show

OUTSIDE = ("over", "under", "not_yet")
NEAR = 2.0  # a maker's value within this of the sheet's own is no slip
ONE_LIMIT = 5.0  # beside a single limit almost any smaller number is inside: a slip lands near it
UNDER_CEILING = (1 / 3, 1.5)  # a maker's torque with no figure of the sheet's own beside it: what a screw is likely to be given
CLEAR = 8.0  # lbf.in for N.m is 8.85 times: less than this, lbf.ft for N.m, is as often a value merely wrong
SHAFT_TO_BORE = (0.6, 1.1)  # a sleeve takes a shaft somewhat smaller than the bearing's bore
_PLAIN = re.compile(r"([0-9]*)([.,]?)([0-9]*)\Z")
PLACES = (-1, 1, -2, 2)  # how far a point slips; a number typed without one is a hundred times off

Ask = dict[str, Any]


def value_in(program: Mapping[str, Any], kind: str, entry: Mapping[str, Any], code: str) -> Any:
    """What was typed, read in another unit: SI float or list of them; None where it cannot be read."""
    unit = program["units"][code]
    zero = 0.0 if kind == "temperature_difference" else unit["zero"]
    texts = entry["typed"] if isinstance(entry["typed"], list) else [entry["typed"]]
    got = [typed.parse_number(text) for text in texts]
    out = [one * unit["factor"] + zero for one in got if not isinstance(one, typed.Fault)]
    if len(out) != len(texts) or not out:
        return None
    return out if isinstance(entry["typed"], list) else out[0]


def others(program: Mapping[str, Any], kind: str, entry: Any) -> list[tuple[str, Any]]:
    """(unit, SI value) of every unit that the number may have been meant in, the likeliest first."""
    if not isinstance(entry, Mapping) or "typed" not in entry:
        return []
    codes = program["units"].get(entry.get("unit"), {}).get("meant", ())
    read = [(code, value_in(program, kind, entry, code)) for code in codes if kind in program["units"][code]["kinds"]]
    return [(code, value) for code, value in read if value is not None]


def clear_others(program: Mapping[str, Any], kind: str, entry: Any) -> list[tuple[str, Any]]:
    """Of those, the ones that cannot be mistaken for a value that is merely wrong: many times off, or a temperature."""
    return [one for one in others(program, kind, entry) if _is_clear(program, entry["unit"], one[0])]


def _is_clear(program: Mapping[str, Any], own: str, other: str) -> bool:
    one, two = program["units"][own], program["units"][other]
    times = one["factor"] / two["factor"]
    return bool(one["zero"] or two["zero"]) or not 1 / CLEAR < times < CLEAR


def meant_unit(program: Mapping[str, Any], kind: str, entry: Any, test: Callable[[Any], str | None]) -> str | None:
    """The unit in which a number that is out of range would be in it; None where there is none."""
    return next((code for code, value in others(program, kind, entry) if test(value) is None), None)


def given(program: Mapping[str, Any], entry: Mapping[str, Any], code: str) -> str:
    """A number as it was typed, with a unit."""
    text = "; ".join(entry["typed"]) if isinstance(entry["typed"], list) else entry["typed"]
    return f"{text}\u00a0{program['units'][code]['shown']}"


def _names(expr: Any, found: set[str]) -> None:
    if isinstance(expr, list) and expr:
        if expr[0] in ("get", "get_in"):
            found.add(expr[1])
        for one in expr:
            _names(one, found)


def _reaches(sheet: Mapping[str, Any], name: str) -> set[str]:
    """Every input and line that a line or an input is worked out from, itself among them."""
    lines = {line["name"]: line.get("expr") for line in sheet["lines"]}
    found: set[str] = set()
    wait = [name]
    while wait:
        one = wait.pop()
        if one in found:
            continue
        found.add(one)
        inside: set[str] = set()
        _names(lines.get(one), inside)
        wait += inside
    return found


def _ask(program: Mapping[str, Any], name: str, entry: Mapping[str, Any], code: str) -> Ask:
    own, other = program["units"][entry["unit"]], program["units"][code]
    factor = None if own["zero"] or other["zero"] else own["factor"] / other["factor"]
    return {"input": name, "typed": entry["typed"], "unit": entry["unit"], "meant_unit": code, "factor": factor}


def _tries(program: Mapping[str, Any], sheet: str, entries: Mapping[str, Any], reached: set[str]) -> list[tuple[str, dict[str, Any]]]:
    """(unit, values it would give): of each input alone, then of all that were typed in one unit together."""
    alone: list[tuple[str, dict[str, Any]]] = []
    together: dict[tuple[str, str], dict[str, Any]] = {}
    for name, about, test in runner(program, sheet).inputs:
        if name not in reached:
            continue
        for code, value in clear_others(program, about["kind"], entries.get(name)):
            if test(value) is None:
                alone.append((code, {name: value}))
                together.setdefault((entries[name]["unit"], code), {})[name] = value
    return alone + [(code, changed) for (_, code), changed in together.items() if len(changed) > 1]


def asks(program: Mapping[str, Any], sheet: str, entries: Mapping[str, Any], values: Mapping[str, Any],
         makers: Mapping[str, Any], result: Mapping[str, Any], maker_entries: Mapping[str, Any] | None = None) -> list[Ask]:  # fmt: skip
    """What to ask before a result is believed: a value stands outside, and the same number in another unit would not.

    entries and maker_entries are as typed, values and makers the same in SI. Each ask is {input, typed, unit, meant_unit,
    factor}; `input` is the line's name for a maker's value. factor: how many times what was meant the typed value is;
    None for a temperature. Of a number that is far from what it should be near, also {near, to, meant}: the other number's
    name and SI value, and the figures with the point moved or None.
    """
    found: dict[str, Ask] = {}
    if result["status"] == "done" or result["defaults"]:
        found = _by_unit(program, sheet, entries, values, makers, result, maker_entries)
    far = _far(program, program["sheets"][sheet], entries, values, result["values"])
    return [*found.values(), *(one for one in far if one["input"] not in found)]


def _by_unit(program: Mapping[str, Any], sheet: str, entries: Mapping[str, Any], values: Mapping[str, Any],
             makers: Mapping[str, Any], result: Mapping[str, Any], maker_entries: Mapping[str, Any] | None) -> dict[str, Ask]:  # fmt: skip
    made = program["sheets"][sheet]
    found: dict[str, Ask] = {}
    for window in result["windows"]:
        if window["position"] not in OUTSIDE:
            continue
        spec = next(one for one in made["windows"] if one["name"] == window["name"])
        reached = _reaches(made, spec["value"])
        for code, changed in _tries(program, sheet, entries, reached):
            if found.keys() & changed.keys():
                continue
            again = evaluate(program, sheet, {**values, **changed}, makers)
            if _explains(window["name"], result, again):
                found |= {name: _ask(program, name, entries[name], code) for name in changed}
    for line in made["lines"]:
        own, entry = result["defaults"].get(line["name"]), (maker_entries or {}).get(line["name"])
        if not isinstance(entry, Mapping):
            continue
        test = _beside(result, line["kind"], own)
        if test is None or test(result["values"].get(line["name"])):
            continue
        likely = next((code for code, value in clear_others(program, line["kind"], entry) if test(value)), None)
        if likely is not None:
            found[line["name"]] = _ask(program, line["name"], entry, likely)
    return found


def _far(program: Mapping[str, Any], made: Mapping[str, Any], entries: Mapping[str, Any], values: Mapping[str, Any],
         taken: Mapping[str, Any]) -> Iterator[Ask]:  # fmt: skip
    """Of each input that says what it should be near: is a number of it far from that, and would a moved point bring it there?"""
    for spec in made["inputs"]:
        near, entry, value = spec.get("near"), entries.get(spec["name"]), values.get(spec["name"])
        to = taken.get(near["of"]) if near else None
        if not to or value is None or not isinstance(entry, Mapping):
            continue

        def fits(value: float, near: Mapping[str, Any] = near, to: float = to) -> bool:
            return not value or bool(near["least"] <= value / to <= near["most"])

        each = value if isinstance(value, list) else [value]
        if all(fits(one) for one in each):
            continue
        texts = entry["typed"] if isinstance(entry["typed"], list) else [entry["typed"]]
        meant = [text if fits(one) else _moved(program, text, entry["unit"], fits) for text, one in zip(texts, each, strict=True)]
        told = None if None in meant else meant if isinstance(entry["typed"], list) else meant[0]
        unit = None if told else next((code for code, other in clear_others(program, spec["kind"], entry) if all(fits(one) for one in (other if isinstance(other, list) else [other]))), None)
        if unit is not None:
            yield _ask(program, spec["name"], entry, unit)
        else:
            yield {**_ask(program, spec["name"], entry, entry["unit"]), "factor": None, "near": near["of"], "to": to, "meant": told}


def _moved(program: Mapping[str, Any], text: str, unit: str, fits: Callable[[float], bool]) -> str | None:
    """The figures with the point moved to where the number fits; None for a fraction, or where no place is right."""
    plain = _PLAIN.match(typed.tidy(text))
    if not plain:
        return None
    whole, mark, part = plain.groups()
    digits = f"000{whole}{part}00"
    for by in PLACES:
        at = 3 + len(whole) + by
        head, tail = digits[:at].lstrip("0") or "0", digits[at:].rstrip("0")
        told = f"{head}{mark or '.'}{tail}" if tail else head
        if fits(float(told.replace(",", ".")) * program["units"][unit]["factor"]):
            return told
    return None


def _explains(window: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> bool:
    """Would the other unit put it right: inside, near a limit that stands alone, and nothing else warns that did not before?

    58 °C on a housing that climbs is no 58 °F: the housing would be colder than the air.
    """
    found = next((one for one in after["windows"] if one["name"] == window and one["position"] == "inside"), None)
    if found is None:
        return False
    if not found["low"] or found["high"] is None:  # nought is the floor of what can be read, no limit
        limit = found["low"] if found["high"] is None else found["high"]
        if not limit or not 1 / ONE_LIMIT <= found["value"] / limit <= ONE_LIMIT:
            return False
    spoke = {one["name"] for one in before["checks"]}
    return not any(one["level"] != "note" and one["name"] not in spoke for one in after["checks"])


def _beside(result: Mapping[str, Any], kind: str, own: Any) -> Callable[[Any], bool] | None:
    """What a maker's torque is held against: the sheet's own figure, else what the screw stands (line `ceiling`)."""
    least, most = 1 / NEAR, NEAR
    if own is None and kind == "torque":
        own, least, most = result["values"].get("ceiling"), *UNDER_CEILING
    if not isinstance(own, float | int) or isinstance(own, bool) or not own:
        return None
    return lambda value: isinstance(value, float | int) and least <= value / own <= most


def fact_asks(program: Mapping[str, Any], facts: Mapping[str, Any]) -> list[Ask]:
    """The same of a position's facts: a shaft that no bearing of this bore could sit on, unless its unit was another."""
    shaft, bore = facts.get("shaft_d"), facts.get("bore")
    own = others(program, "length", shaft)
    try:
        size, over = (value_in(program, "length", one, one["unit"]) for one in (shaft, bore))  # type: ignore[index, arg-type]
    except (KeyError, TypeError):
        return []
    if not over or size is None or _sits(size, over):
        return []
    code = next((code for code, value in own if _sits(value, over)), None)
    return [] if code is None else [_ask(program, "shaft_d", shaft, code)]  # type: ignore[arg-type]


def _sits(size: float, over: float) -> bool:
    return SHAFT_TO_BORE[0] <= size / over <= SHAFT_TO_BORE[1]


def say_ask(program: Mapping[str, Any], label: str, ask: Ask, lang: str = "en", near: str = "") -> str:
    """The question in a sentence. near: what the number is held against, in words."""
    own = given(program, ask, ask["unit"])
    if "near" in ask:
        to = show(program, ask["to"], ask["unit"], "as_is", lang=lang)
        meant = given(program, {"typed": ask["meant"]}, ask["unit"]) if ask["meant"] else ""
        return sentence(program, "slip.shift" if meant else "slip.near", lang, label=label, given=own, near=near, to=to, meant=meant)
    factor = ask["factor"]
    key = "other" if factor is None else "more" if factor > 1 else "less"
    times = "" if factor is None else marked(program, figure(factor if factor > 1 else 1 / factor, 1), lang)
    return sentence(program, f"slip.{key}", lang, label=label, times=times, given=own, meant=given(program, ask, ask["meant_unit"]))


def said_asks(program: Mapping[str, Any], sheet: str, found: list[Ask], lang: str = "en") -> list[Ask]:
    """Each question with its sentence under `say`."""

    def label(name: str) -> str:
        return label_of(program, sheet, name, lang) if name else ""

    return [{**one, "say": say_ask(program, label(one["input"]), one, lang, label(one.get("near", "")))} for one in found]

"""How what was typed, chosen or given by a maker is written on a page: values with units and labels. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from shaftside.calc.showing import shown_unit
from shaftside.review.record import say
from shaftside.sentence import joined, listed, moment, tell


def unit_of(program: dict[str, Any], sheet: str, name: str, entries: dict[str, Any]) -> str:
    """The unit a value of a sheet is shown in: as typed where it was typed, else the sheet's own."""
    entry = entries.get(name)
    if isinstance(entry, dict) and entry.get("unit"):
        return str(entry["unit"])
    made = program.get("sheets", {}).get(sheet, {})
    for part in ("lines", "inputs"):
        for one in named(made.get(part)):
            if one.get("name") == name and one.get("unit"):
                return str(one["unit"])
    return "1"


def typed_system(units: dict[str, Any], unit: str, entries: dict[str, Any]) -> str:
    """ "metric" or "inch": of the entries of the same kind as a unit, else of the unit itself."""

    def kinds(code: str) -> set[str]:
        held = units.get(code)
        return set(held.get("kinds") or [held.get("kind")]) - {None} if isinstance(held, dict) else set()

    typed = [str(one["unit"]) for one in entries.values() if isinstance(one, dict) and one.get("unit")]
    for code in [*(one for one in typed if kinds(one) & kinds(unit)), unit]:
        found = units.get(code)
        if isinstance(found, dict) and found.get("system") in ("metric", "inch"):
            return str(found["system"])
    return "metric"


def named(part: Any) -> list[dict[str, Any]]:
    if isinstance(part, dict):
        return [{"name": key, **one} for key, one in part.items()]
    return list(part or [])


def units_of(program: Mapping[str, Any], lang: str = "en") -> dict[str, Any]:
    """The program's units, those that are words as a language writes them."""
    return {code: {**unit, "shown": shown_unit(program, code, lang)} for code, unit in program.get("units", {}).items()} if lang != "en" else program.get("units", {})


def entry_shown(entry: Any, units: dict[str, Any], choices: Any = None, lang: str = "en") -> str:
    """An entry as it was typed, with its unit in print form; a chosen word by its label where there is one."""
    if not isinstance(entry, dict):
        return ""
    if "typed" in entry:
        typed = entry["typed"]
        number = "; ".join(map(str, typed)) if isinstance(typed, list) else str(typed)
        code = str(entry.get("unit", ""))
        shown = units.get(code, {}).get("shown", code) if isinstance(units.get(code), dict) else code
        return f"{number} {'' if shown == '1' else shown}".strip()
    if "yes" in entry:
        return tell("yes") if entry["yes"] else tell("no")
    if "word" in entry:
        for one in choices if isinstance(choices, list) else []:
            if isinstance(one, dict) and one.get("word") == entry["word"]:
                return say(one.get("label"), lang) or str(entry["word"])
        return str(entry["word"]).replace("_", " ")
    return str(entry.get("text", ""))


Gone = dict[str, dict[str, Any]]
"""Plant's values that were withdrawn, by id: at, by, reason."""


def makers_shown(
    makers: dict[str, Any], program: dict[str, Any], lang: str = "en", gone: Gone | None = None
) -> list[tuple[str, str, str]]:
    """(sheet and line, value, document) of maker's values, by the sheets' own titles and labels."""
    sheets = program.get("sheets", {})
    out = []
    for key, made in makers.items():
        if not isinstance(made, dict):
            continue
        sheet, _, name = key.partition(".")
        lines = {line["name"]: line for line in named(sheets.get(sheet, {}).get("lines"))}
        title = say(sheets.get(sheet, {}).get("title"), lang) or sheet.replace("_", " ")
        label = say(lines.get(name, {}).get("label"), lang) or name.replace("_", " ")
        out.append((f"{title}: {label}", *document(made, program, gone, lang)))
    return out


ORIGIN = {"record": tell("for this record"), "bearing": tell("for this bearing"), "plant": tell("the plant's value")}


def document(made: dict[str, Any], program: dict[str, Any], gone: Gone | None = None, lang: str = "en") -> tuple[str, str]:
    """(value, where it stands and whose it is) of one maker's value; of a plant's, whether it was withdrawn since."""
    parts = [str(made[key]) for key in ("document", "revision") if made.get(key)]
    if made.get("page"):
        parts.append(tell("page %(page)s", page=made["page"]))
    said = listed(parts) or tell("no document named")
    if made.get("origin") in ORIGIN:
        said = tell("%(origin)s, from %(document)s", origin=ORIGIN[made["origin"]], document=said)
    if made.get("name") and made.get("at"):
        said = tell("%(document)s, set by %(name)s, %(at)s", document=said, name=made["name"], at=moment(made["at"], False))
    left = (gone or {}).get(str(made.get("plant_value")))
    if left:
        said = joined(said, ". ", tell("The plant's value was withdrawn since, %(at)s: %(reason)s", at=moment(left["at"], False), reason=left["reason"]))
    return entry_shown(made, units_of(program, lang), None, lang), said


def facts_shown(
    facts: dict[str, Any], bundle: dict[str, Any] | None, lang: str = "en"
) -> list[tuple[str, str]]:
    """(label, value) of facts, by the handbook's labels and order; unknown ones last, by name."""
    made = {f["name"]: f for f in (bundle or {}).get("facts", []) if isinstance(f, dict) and "name" in f}
    units = units_of((bundle or {}).get("calc", {}), lang)
    order = [name for name in made if name in facts] + [name for name in facts if name not in made]
    return [
        (
            say(made.get(name, {}).get("label"), lang) or name.replace("_", " "),
            entry_shown(facts[name], units, made.get(name, {}).get("choices"), lang),
        )
        for name in order
    ]


def instrument_shown(held: Any, units: dict[str, Any]) -> str:
    if not isinstance(held, dict):
        return ""
    parts = [str(held["name"]) if held.get("name") else tell("instrument without a name")]
    if held.get("calibrated"):
        parts.append(tell("calibrated %(at)s", at=moment(held["calibrated"], False)))
    if held.get("resolution"):
        parts.append(tell("step %(resolution)s", resolution=entry_shown(held["resolution"], units)))
    return listed(parts)

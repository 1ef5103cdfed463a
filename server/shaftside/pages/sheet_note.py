"""The tech note of a sheet, made from the sheet: what a page needs to show it, set and in words. Phone twin: views/note.js."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any

from markupsafe import Markup

from shaftside.calc import marks, mathml
from shaftside.calc.showing import show, shown_unit, word_of
from shaftside.calc.workings import formula
from shaftside.pages import words
from shaftside.review.record import say
from shaftside.sentence import joined, tell

GROUPS = {
    "choose": tell("Choose the method"),
    "shaft": tell("Shaft"),
    "mount": tell("Place and align"),
    "tighten": tell("Tighten"),
    "taper": tell("On a taper"),
    "after": tell("Grease, run in, look again"),
    "other": tell("More"),
}
LIMITS = {
    "value": tell("judged"),
    "low": tell("from"),
    "high": tell("to"),
    "never_below": tell("never below"),
    "never_above": tell("never above"),
    "resolution": tell("smallest step of the instrument"),
}
_PLACE = re.compile(r"\{(\w+)\}")


def grouped(sheets: Mapping[str, Any], find: str = "", put: Callable[[str], str] = str, lang: str = "en") -> list[tuple[str, list[dict[str, Any]]]]:
    """(title of the group, its sheets by title) in the order of a job; only sheets that hold every word of `find`.

    put: says a title of a group in the language; both languages are looked through.
    """
    wanted = find.casefold().split()
    out: dict[str, list[dict[str, Any]]] = {title: [] for title in GROUPS.values()}
    for name, sheet in sheets.items():
        group = GROUPS[sheet.get("group", "other")]
        said = [say(sheet[part], one) for part in ("title", "about") for one in dict.fromkeys((lang, "en"))]
        text = " ".join([name, *said, group, put(group)]).casefold()
        if all(word in text for word in wanted):
            title, about = say(sheet["title"], lang), say(sheet["about"], lang)
            out[group].append({"name": name, "title": title, "about": about, "version": sheet["version"]})
    return [(title, sorted(held, key=lambda one: str(one["title"]))) for title, held in out.items() if held]


def symbol(text: str | None) -> Markup:
    """A symbol set for a page; nothing where there is none."""
    return Markup(marks.write(marks.symbol(text or "")))


def set_formula(program: Mapping[str, Any], sheet: str, expr: Any, system: str, values: Mapping[str, Any] | None = None, lang: str = "en") -> tuple[str, Markup]:
    """(the formula as text, for who listens; the formula set)."""
    text = formula(program, sheet, expr, lang, system, values)
    return text, Markup(marks.write(mathml.typeset(program, sheet, expr, lang, system, values)))


def drawing(bundle: Mapping[str, Any], sheet: Mapping[str, Any], lang: str = "en") -> dict[str, Any] | None:
    """{svg, desc, legend: [(symbol, label)]} of the sheet's figure."""
    found = (bundle.get("drawings") or {}).get(sheet.get("figure"))
    if found is None:
        return None
    head, attributes, *shapes = found["tree"]
    shown = set(_symbols(found["tree"]))
    legend = [(symbol(one["symbol"]), say(one["label"], lang)) for one in _specs(sheet) if one.get("symbol") in shown]
    svg = Markup(marks.write([head, {**attributes, "aria-label": say(found["title"], lang)}, *shapes]))
    return {"svg": svg, "desc": say(found["desc"], lang), "legend": legend}


def _symbols(tree: Any) -> Iterator[str]:
    if not isinstance(tree, list):
        return
    if tree[0] == "text":
        yield "_".join(part[2] for part in tree[2:] if isinstance(part, list))
    for part in tree[1:]:
        yield from _symbols(part)


def _specs(sheet: Mapping[str, Any]) -> list[dict[str, Any]]:
    return [*sheet["inputs"], *sheet["lines"]]


def tables_of(tree: Any) -> set[str]:
    """Names of the tables that anything in a part of a sheet asks."""
    if isinstance(tree, list):
        own = {tree[1]} if tree and tree[0] in ("lookup", "has") else set()
        return own.union(*map(tables_of, tree)) if tree else own
    if isinstance(tree, dict):
        own = {tree["table"]} if isinstance(tree.get("table"), str) else set()
        return own.union(*map(tables_of, tree.values()))
    return set()


def note(bundle: Mapping[str, Any], name: str, system: str, lang: str = "en") -> dict[str, Any]:
    """Everything the page of a sheet shows. KeyError: no such sheet."""
    program = bundle["calc"]
    sheet = program["sheets"][name]
    over = sheet.get("over", [])
    lines = [*sheet["lines"], *(line for section in over for line in section["lines"])]
    labels = {one["name"]: say(one["label"], lang) for one in [*sheet["inputs"], *lines, *over, *(section["row"] for section in over)]}
    return {
        "name": name,
        "title": say(sheet["title"], lang),
        "about": say(sheet["about"], lang),
        "version": sheet["version"],
        "validity": say(sheet["validity"], lang),
        "cautions": [(one["signal"], one["text"]) for one in sheet["cautions"]],
        "figure": drawing(bundle, sheet, lang),
        "inputs": [_input(program, one, system, lang) for one in sheet["inputs"]],
        "lines": [_line(program, sheet, one, system, lang) for one in lines],
        "windows": [
            (say(one["label"], lang), [(said, labels.get(one[key], "")) for key, said in LIMITS.items() if one.get(key)])
            for one in sheet["windows"]
        ],
        "checks": [_check(program, name, one, labels, system, lang) for one in _checks(sheet)],
        "tables": [table_head(program, one, lang) for one in sorted(tables_of([sheet["lines"], sheet["checks"], over]))],
        "sequence": [(say(one["do"], lang), labels.get(one["at"], "") if one["at"] else "") for one in sheet["sequence"]],
    }


def _checks(sheet: Mapping[str, Any]) -> list[dict[str, Any]]:
    return [*sheet["checks"], *(check for over in sheet.get("over", []) for check in over["checks"])]


def _input(program: Mapping[str, Any], one: Mapping[str, Any], system: str, lang: str) -> dict[str, Any]:
    if one.get("choices"):
        takes = " · ".join(say(choice["label"], lang) for choice in one["choices"])
    elif one["kind"] == "yesno":
        takes = tell("yes or no")
    else:
        least, most = (show(program, one[end], one["unit"], system, lang=lang) if end in one else "" for end in ("least", "most"))
        takes = tell("%(low)s to %(high)s", low=least, high=most) if least and most else shown_unit(program, one["unit"], lang) or tell("a number")
        if "list" in one:
            takes = tell("%(least)s to %(most)s readings, each %(takes)s", least=one["list"]["least"], most=one["list"]["most"], takes=takes)
    return {
        "symbol": symbol(one.get("symbol")),
        "label": say(one["label"], lang),
        "help": say(one.get("help"), lang),
        "takes": takes,
        "optional": bool(one.get("optional")),
    }


def _line(program: Mapping[str, Any], sheet: Mapping[str, Any], one: Mapping[str, Any], system: str, lang: str) -> dict[str, Any]:
    source = sheet["sources"].get(one.get("source")) or {"text": "", "certainty": ""}
    text, made = set_formula(program, sheet["sheet"], one["expr"], system, lang=lang) if one.get("expr") else ("", Markup(""))
    unit = shown_unit(program, one["unit"], lang) if one.get("unit") in program["units"] else ""
    return {
        "symbol": symbol(one.get("symbol")),
        "label": say(one["label"], lang),
        "unit": unit,
        "text": text,
        "formula": made,
        "maker": "only" if one.get("maker") and not one.get("expr") else "may" if one.get("maker") else "",
        "note": say(one.get("note"), lang),
        "source": source["text"],
        "certainty": source["certainty"],
    }


def _check(program: Mapping[str, Any], name: str, one: Mapping[str, Any], labels: Mapping[str, str], system: str, lang: str) -> dict[str, Any]:
    text, made = set_formula(program, name, one["when"], system, lang=lang)
    return {
        "level": one["level"],
        "word": words.LEVELS[one["level"]],
        "message": _PLACE.sub(lambda found: f"[{labels.get(found[1], found[1].replace('_', ' '))}]", say(one["message"], lang)),
        "text": text,
        "when": made,
        "lead": bool(one.get("lead_accepts")),
    }


def table_head(program: Mapping[str, Any], name: str, lang: str = "en") -> dict[str, Any]:
    """Name, title, source and certainty of a table."""
    table = program["tables"][name]
    return {"name": name, "title": say(table["title"], lang), "source": table["source"]["text"], "certainty": table["source"]["certainty"]}


def table(program: Mapping[str, Any], name: str, system: str, lang: str = "en") -> dict[str, Any]:
    """A table whole: head, rule of the ends, columns, rows in words. KeyError: no such table."""
    made = program["tables"][name]
    ranged = next((one for one in made["keys"] if one["match"] == "range"), None)
    rule: str = ""
    if ranged is not None:
        rule = tell("A range runs over the first figure, up to and including the second")
        if ranged["includes"] == "lower":
            rule = tell("A range runs from the first figure on, up to but not including the second")
        elif ranged["lower_too"]:
            rule = joined(rule, tell("; the lowest figure belongs to it too"))
    based = any("basis" in row for row in made["rows"])
    asked = _asked(program, lang)
    columns = [asked[0].get(one, one.replace("_", " ")) for one in (*(key["name"] for key in made["keys"]), *made["values"])]
    return {
        **table_head(program, name, lang),
        "note": say(made.get("note"), lang),
        "note_untold": isinstance(made.get("note"), str),
        "based": based,
        "rule": rule,
        "columns": [*columns, *([tell("basis")] if based else [])],
        "keys": len(made["keys"]),
        "rows": [list(_cells(program, made, row, system, based, lang, asked[1])) for row in made["rows"]],
    }


def _asked(program: Mapping[str, Any], lang: str) -> tuple[dict[str, str], dict[str, str]]:
    """(column: how a sheet asks for it, word: how a sheet offers it), each as the first sheet says that has it."""
    labels: dict[str, str] = {}
    offered: dict[str, str] = {}
    for one in (one for sheet in program["sheets"].values() for one in sheet["inputs"]):
        labels.setdefault(one["name"], say(one.get("label"), lang))
        for choice in one.get("choices") or ():
            offered.setdefault(choice["word"], say(choice.get("label"), lang))
    return labels, offered


def _cells(program: Mapping[str, Any], made: Mapping[str, Any], row: Mapping[str, Any], system: str, based: bool, lang: str, offered: Mapping[str, str]) -> Iterable[str]:
    for spec, key in zip(made["keys"], row["keys"], strict=True):
        if spec["match"] == "word":
            yield offered.get(key) or word_of(spec, key, lang)
        else:
            yield " – ".join(show(program, end, spec["unit"], system, lang=lang) for end in key)
    for column, spec in made["values"].items():
        value = row["values"].get(column)
        if value is None:
            yield "–"
        elif isinstance(value, bool):
            yield tell("yes") if value else tell("no")
        else:
            yield value if isinstance(value, str) else show(program, value, spec["unit"], system, lang=lang)
    if based:
        yield row.get("basis", "")

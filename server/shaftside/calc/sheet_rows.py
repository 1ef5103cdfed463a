"""The `over` sections of a sheet: read, checked and compiled. A section runs its lines over the rows of one table."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from shaftside.calc.dimension import NONE, Num, Type, Word, YesNo
from shaftside.calc.reader import Reader
from shaftside.calc.units import KINDS

if TYPE_CHECKING:
    from shaftside.calc.sheet import SheetReader

LEVELS = ("stop", "caution", "note")
FIRST = {"yesno": ("yes", "no"), "number": ("most", "least")}
FIRST_LABEL = {"en": "First place"}
COUNT_LABEL = {"en": "How many"}


def choices_of(table: Mapping[str, Any], at: int) -> list[dict[str, Any]]:
    """The words of a table's key in their order, each once, with the labels of its passport; else the word itself."""
    labels = table["keys"][at].get("labels", {})
    words = dict.fromkeys(row["keys"][at] for row in table["rows"])
    return [{"word": word, "label": labels.get(word) or {"en": word}} for word in words]


def read_section(sheet: SheetReader, one: Reader) -> dict[str, Any]:
    """Compile one section. Its own names leave the sheet's scope again; `NAME_first` and `NAME_count` stay."""
    name = sheet.new_name(one)
    out: dict[str, Any] = {"name": name, "label": one.words("label"), "lines": [], "checks": [], "rank": [], "shows": []}
    before = dict(sheet.types)
    sheet.types[name] = Word(frozenset())  # taken, so that no line of the section can have it
    table = _table(sheet, one)
    out["table"] = table
    choices = choices_of(sheet.tables[table], 0) if table is not None else []
    words = frozenset(choice["word"] for choice in choices)
    row = one.name("row") or f"{name}_row"
    if row in sheet.types or row in sheet.taken or row == "pi":
        one.fault(f"{one.said}: the name {row!r} is taken", "row")
    out["row"] = {"name": row, "label": {"en": row.replace("_", " ")}, "kind": "word", "choices": choices}
    for suffix in ("first", "count"):
        if f"{name}_{suffix}" in sheet.types:
            one.fault(f"{one.said}: the name {name}_{suffix} is taken, and the section binds it", "name")
    del sheet.types[name]
    sheet.types[row] = Word(words)
    text = one.string("when", optional=True)
    if text is not None:
        expr, got = sheet.compile(one, "when", text)
        if expr is not None:
            if not isinstance(got, YesNo):
                one.fault(f"{one.said} ({name}): when: is not a yes/no condition", "when")
            out["when"] = expr
    sheet.taken |= {name, row, f"{name}_first", f"{name}_count"}
    for line in one.items("lines"):
        out["lines"].append(sheet.line(line, of_row=True))
    own = {line["name"]: line for line in out["lines"]}
    for check in one.items("checks", optional=True):
        out["checks"].append(_check(sheet, check))
    out["rank"] = [_criterion(sheet, item, own) for item in one.items("rank", optional=True)]
    out["shows"] = [shown for shown in one.strings("shows") if _own(one, "shows", shown, own)]
    if one.data.get("shows") == []:
        one.fault(f"{one.said}: shows: at least one line must be a column of the side-by-side view", "shows")
    bound = _bound(one, name, choices, ranked=bool(out["rank"]))
    out |= bound
    one.done()
    # the lines of a row are its own: only what the section binds is known after it
    sheet.taken |= set(own)
    sheet.types = before
    for spec in bound.values():
        sheet.types[spec["name"]] = Word(words) if spec["kind"] == "word" else Num(NONE, "count")
        sheet.specs[spec["name"]] = spec
    return out


def _table(sheet: SheetReader, one: Reader) -> str | None:
    table = one.choice("table", sheet.tables)
    if table is not None:
        keys = sheet.tables[table]["keys"]
        if len(keys) != 1 or keys[0]["match"] != "word":
            one.fault(f"{one.said}: table {table!r} has other keys than one word: its rows cannot be named", "table")
            return None
    return table


def _bound(one: Reader, name: str, choices: list[dict[str, Any]], ranked: bool) -> dict[str, dict[str, Any]]:
    """The specs of what the section binds. Nobody is first where nothing ranks."""
    out: dict[str, dict[str, Any]] = {}
    if ranked:
        label = one.words("first_label", optional=True) or FIRST_LABEL
        out["first"] = {"name": f"{name}_first", "label": label, "kind": "word", "choices": choices}
    elif one.has("first_label"):
        one.raw("first_label")
        one.fault(f"{one.said}: first_label: nobody is first without rank", "first_label")
    label = one.words("count_label", optional=True) or COUNT_LABEL
    out["count"] = {"name": f"{name}_count", "label": label, "kind": "count", "unit": "1"}
    return out


def _check(sheet: SheetReader, one: Reader) -> dict[str, Any]:
    spec: dict[str, Any] = {"name": one.name("name") or "", "level": one.choice("level", LEVELS) or "note", "message": one.words("message")}
    text = one.string("when")
    one.done()
    if text is not None:
        sheet.condition(one, spec, text)
    sheet.places(one, spec)
    return spec


def _criterion(sheet: SheetReader, one: Reader, own: Mapping[str, Any]) -> dict[str, Any]:
    """{by, first, per}: a line of the row, which end of it comes first, and the whole steps it is compared in."""
    out: dict[str, Any] = {"by": one.string("by") or "", "first": ""}
    first = one.raw("first")
    one.done()
    if not _own(one, "by", out["by"], own):
        return out
    got: Type = sheet.types[out["by"]]
    if not isinstance(got, YesNo | Num):
        one.fault(f"{one.said}: by: {out['by']!r} is neither a number nor yes/no", "by")
        return out
    allowed = FIRST["yesno" if isinstance(got, YesNo) else "number"]
    if first not in allowed:
        one.fault(f"{one.said}: first: {out['by']!r} takes {' or '.join(allowed)}, not {first!r}", "first")
    out["first"] = str(first)
    if isinstance(got, Num):
        out["per"] = KINDS[own[out["by"]]["kind"]].per
    return out


def _own(one: Reader, key: str, name: str, own: Mapping[str, Any]) -> bool:
    if name not in own:
        one.fault(f"{one.said}: {key}: {name!r} is no line of this section: it has {', '.join(own)}", key)
    return name in own

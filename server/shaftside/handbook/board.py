"""procedures/lockout.yaml: the lists of a job's control of energy, and the fields of their rows."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from shaftside import calc
from shaftside.calc.problems import ContentError, Problems
from shaftside.calc.reader import Reader
from shaftside.handbook.facts import quantity

# What the reducers know by name: what loses zero energy when it is added, and when it is ended.
LISTS = ("source", "lock", "hold", "test", "member", "handover", "test_run")


def load_board(path: Path, program: Mapping[str, Any], problems: Problems) -> dict[str, Any]:
    """`{source, lists: {list: {title, add, fields, of?, must_end?, end?, owner?, help?}}, exception: fields}`."""
    try:
        top = Reader(calc.strict_yaml.read(path, path.name), problems)
    except (ContentError, OSError) as error:
        problems.add(path.name, getattr(error, "line", 0), getattr(error, "reason", str(error)))
        return {"order": [], "lists": {}, "exception": []}
    lists: dict[str, Any] = {}
    for reader in top.items("lists"):
        name = reader.choice("list", LISTS)
        if name in lists:
            reader.fault(f"the list {name!r} stands twice", "list")
        lists[name or ""] = _list(reader, lists, program)
    out = {
        "source": top.source("source"),
        "order": list(lists),  # the canonical form sorts the keys of a mapping
        "lists": lists,
        "exception": [_field(one, program) for one in top.items("exception")],
    }
    for name in LISTS:
        if name not in lists:
            top.fault(f"the list {name!r} is missing", "lists")
    top.done()
    return out


def steps_fit(board: Mapping[str, Any], procedures: Mapping[str, Any], problems: Problems) -> None:
    """What steps say of rows is in the board: `kinds` of sources, `only` and a reading's `row` words of a field."""
    for procedure in procedures.values():
        for step in procedure["steps"]:
            wanted = [("source", "type", word) for word in step.get("kinds", ())]
            wanted += [(step.get("rows"), field, word) for field, words in step.get("only", {}).items() for word in words]
            wanted += [(one["row"]["list"], one["row"]["field"], one["row"]["word"]) for one in step["readings"] if "row" in one]
            for name, field, word in wanted:
                fields = {one["name"]: one for one in board["lists"].get(name or "", {"fields": ()})["fields"]}
                if word not in [one["word"] for one in fields.get(field, {}).get("choices", ())]:
                    problems.add(f"methods/{procedure['procedure']}.yaml", 0, f"{step['step']}: the list {name!r} has no {field} {word!r}")
            if ("kinds" in step and "covers" not in step) or ("only" in step and "rows" not in step):
                problems.add(f"methods/{procedure['procedure']}.yaml", 0, f"{step['step']}: kinds go with covers, only with rows")


def _list(reader: Reader, before: Mapping[str, Any], program: Mapping[str, Any]) -> dict[str, Any]:
    out: dict[str, Any] = {"title": reader.words("title"), "add": reader.words("add")}
    if (of := reader.choice("of", before, optional=True)) is not None:
        out["of"] = of
    out["fields"] = [_field(one, program) for one in reader.items("fields")]
    named = {one["name"]: one for one in out["fields"]}
    for key in ("help", "end", "end_help"):
        if (text := reader.words(key, optional=True)) is not None:
            out[key] = text
    must = reader.raw("must_end")
    if must is not None:
        out["must_end"] = must
        if must is not True and named.get(must, {}).get("kind") != "yesno":
            reader.fault(f"must_end is true or a yes/no field of the list, not {must!r}", "must_end")
        if "end" not in out:
            reader.fault("a row that must end says how: end", "must_end")
    if (owner := reader.choice("owner", named, optional=True)) is not None:
        out["owner"] = owner
    reader.done()
    return out


def _field(reader: Reader, program: Mapping[str, Any]) -> dict[str, Any]:
    out: dict[str, Any] = {"name": reader.name("field") or "", "label": reader.words("label") or {}}
    out |= quantity(reader, {}, program)
    if (help_text := reader.words("help", optional=True)) is not None:
        out["help"] = help_text
    if (take := reader.name("take", optional=True)) is not None:
        out["take"] = take  # said before in a row that this one is about
    if reader.yes("optional"):
        out["optional"] = True
    reader.done()
    return out

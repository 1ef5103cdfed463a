"""`shaftside compute` and `shaftside sheets`: the sheets in the terminal, with values as people type them."""

from __future__ import annotations

import argparse
import json
import shutil
import sys
import textwrap
from difflib import get_close_matches
from typing import Any

from shaftside.calc import terminal_rows

UNJUDGED = "no reading to judge"
CERTAINTY = {"common_practice": "common practice, no source", "memory": "from memory", "secondary": "secondary source", "maker": "maker's value"}


def add_parsers(verbs: Any) -> None:
    """Add the two verbs."""
    compute = verbs.add_parser("compute", help="evaluate a sheet: shaftside compute SHEET name=value ...")
    compute.add_argument("sheet")
    compute.add_argument("inputs", nargs="*", metavar="name=value", help="as typed: '1-15/16 in', '0,04 mm', '62 lbf.ft'")
    compute.add_argument("--units", choices=("metric", "inch"), default="metric")
    compute.add_argument("--lang", default="en", help="a language that the handbook is written in; en unless said")
    compute.add_argument("--rows", action="store_true", help="the working of every row too, where a sheet runs over a table")
    compute.add_argument("--json", action="store_true", help="for machines")
    compute.add_argument("--maker", action="append", default=[], metavar="line=value", help="the bearing maker's value for a line; may be repeated")
    compute.add_argument("--document", default="", help="the document that the maker's values stand in")
    sheets = verbs.add_parser("sheets", help="list the sheets, or one with its inputs")
    sheets.add_argument("sheet", nargs="?")


def run(said: argparse.Namespace, program: dict[str, Any]) -> int:
    """Do it; 0 done, 1 a stop or a refusal, 2 not understood."""
    lang = getattr(said, "lang", "en")
    if lang not in program["words"]:
        print(f"The handbook is not written in {lang}.", file=sys.stderr)
        return 2
    if said.sheet is not None and said.sheet not in program["sheets"]:
        near = get_close_matches(said.sheet, program["sheets"], 3)
        print(f"There is no sheet {said.sheet}. {'Did you mean' if near else 'There are'}: {', '.join(near or sorted(program['sheets']))}", file=sys.stderr)
        return 2
    return _sheets(program, said.sheet) if said.verb == "sheets" else _compute(program, said)


def _sheets(program: dict[str, Any], name: str | None) -> int:
    if name is None:
        for key, sheet in sorted(program["sheets"].items()):
            print(f"{key:<24} {sheet['title']['en']}")
        return 0
    sheet = program["sheets"][name]
    print(f"{sheet['title']['en']}\n{sheet['about']['en']}\n\nInputs:")
    for spec in sheet["inputs"]:
        words = " | ".join(one["word"] for one in spec.get("choices") or []) or spec.get("unit") or "yes | no"
        print(f"  {spec['name']:<22} {spec['label']['en']}{' (may be left out)' if spec.get('optional') else ''}: {words}")
    return 0


def _compute(program: dict[str, Any], said: argparse.Namespace) -> int:
    from shaftside import calc
    from shaftside.calc.showing import words_of

    name, sheet = said.sheet, program["sheets"][said.sheet]
    specs = {spec["name"]: spec for spec in sheet["inputs"]}
    entries: dict[str, Any] = {}
    for text in said.inputs:
        key, mark, value = text.partition("=")
        if not mark or key not in specs:
            print(f"{text!r}: write name=value, with one of {', '.join(get_close_matches(key, specs, 3) or specs)}", file=sys.stderr)
            return 2
        entries[key] = calc.entry_of(program, specs[key], value)
    makers: dict[str, Any] = {}
    for text in said.maker:
        key, mark, value = text.partition("=")
        if not mark:
            print(f"{text!r}: write --maker line=value", file=sys.stderr)
            return 2
        makers[key] = value
    if makers and not said.document:
        print("A maker's value needs the document it stands in: --document \"...\"", file=sys.stderr)
        return 2
    values, problems = calc.read_inputs(program, name, entries, said.lang, said.units)
    given, wrong = calc.read_makers(program, name, makers, said.lang, said.units)
    problems += wrong
    if problems:
        for one in problems:
            print(f"{one.input}: {one.message} It takes: {one.expects}", file=sys.stderr)
        return 2
    result = calc.evaluate(program, name, values, given)
    lines = {line["name"]: line for line in sheet["lines"]}
    maker_entries = {key: calc.entry_of(program, lines[key], text) for key, text in makers.items()}
    rows = calc.working(program, name, result, entries, said.lang, said.units)
    checks = [calc.say_check(program, name, one["name"], result, entries, said.lang, said.units) for one in result["checks"]]
    asks = calc.said_asks(program, name, calc.asks(program, name, entries, values, given, result, maker_entries), said.lang)
    over = calc.over_working(program, name, result, said.lang, said.units)
    refusal = calc.say_refusal(program, name, result, entries, said.lang, said.units) if result["refusal"] else None
    if said.json:
        print(json.dumps({"result": result, "document": said.document, "refusal": refusal, "checks": checks, "asks": asks, "working": rows, "over": over}, ensure_ascii=False))
    else:
        for one in sheet.get("cautions") or []:
            print(f"{one['signal']}: {words_of(one['text'], said.lang)}")
            if said.lang in one["text"].get("unreviewed", ()):
                print(f"  {one['text']['en']}")
        print(f"\n{words_of(sheet['title'], said.lang)}: {UNJUDGED if result['verdict'] == 'none' else result['verdict'].replace('_', ' ')}")
        for line in ([refusal] if refusal else []) + checks:
            print(f"- {line}")
        for ask in asks:
            print(f"? {ask['say']}")
        print()
        for label, shown in _heads(program, sheet, result, said.lang, said.units):
            print(f"  {label}: {shown}")
        told = over if result["status"] == "done" else []  # a sheet that refuses gives no advice
        for text in terminal_rows.show(told, _width(), said.rows, lambda row: _line(row, said.document)):
            print(text)
        print(f"\nWorking: sheet {name}, version {sheet['version']}, {said.units} units")
        for number, row in enumerate(rows, 1):
            print("\n".join(_line(row, said.document, number)))
    return 1 if result["verdict"] in ("refused", "stop") else 0


def _heads(program: dict[str, Any], sheet: dict[str, Any], result: dict[str, Any], lang: str, units: str) -> list[tuple[str, str]]:
    """The headline results that have a value: label, value."""
    from shaftside.calc.showing import say_value, spec_of, words_of

    found = [(spec_of(program, sheet["sheet"], name), result["values"].get(name)) for name in sheet["results"]]
    return [(words_of(spec["label"], lang), say_value(program, spec, value, lang, units)) for spec, value in found if spec is not None and value is not None]


def _line(row: dict[str, Any], document: str, number: int | None = None) -> list[str]:
    """One line of the working as an engineer writes it: its number, symbol = formula = numbers put in = result, source."""
    source = f"{row['source']}: {document}" if row["certainty"] == "maker" and document else row["source"]
    sure = CERTAINTY.get(row["certainty"], row["certainty"])
    said = [row["formula"]] if row["formula"] else []  # a maker's line has none of its own
    said += [row["put_in"]] if row["put_in"] and row["put_in"] not in (row["formula"], row["shown"]) else []
    said = [f"= {one}" for one in [*said, row["shown"]]]
    said[0] = f"{row['symbol']} {said[0]}".strip()
    kept = f"The sheet itself gives {row['default']}." if row["default"] else ""
    return [
        f"{'' if number is None else number:>4}  {row['label']}: {row['shown']}",
        *(_wrapped(one, "      ") for one in [*said, row["note"], kept] if one),
        _wrapped(f"[{source}]" if sure in source else f"[{source}; {sure}]", "      "),
    ]


def _width() -> int:
    return max(60, min(110, shutil.get_terminal_size((100, 24)).columns))


def _wrapped(text: str, indent: str) -> str:
    """A line of the working, no wider than the terminal."""
    return textwrap.fill(text, _width(), initial_indent=indent, subsequent_indent=f"{indent}  ", break_on_hyphens=False)

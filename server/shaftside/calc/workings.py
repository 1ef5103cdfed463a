"""Show the working, from the compiled tree itself: formula, the numbers put in, the result, its source; and the words
of checks and refusals. `web/working.js` is the same, from the same tree and the same sentences."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from shaftside.calc.functions import Refuse
from shaftside.calc.inputs import bad_input
from shaftside.calc.showing import marked, say_value, sentence, show, shown_unit, spec_of, word_of, words_of
from shaftside.calc.walking import build

_SIGNS = {"+": "+", "-": "−", "*": "×", "/": "/", "**": "^", "<": "<", "<=": "≤", ">": ">", ">=": "≥", "==": "=", "!=": "≠"}
_RANK = {"if": 0, "or": 1, "and": 2, "not": 3, "cmp": 4, "eq": 4, "ne": 4, "in": 4, "+": 5, "-": 5, "*": 6, "/": 6, "neg": 7, "**": 8}
_BELOW_ATOM = 9
NBSP = "\u00a0"


class _Writer:
    """Writes a tree as text: with names, or with numbers put in (then only the branch that was taken)."""

    def __init__(self, program: Mapping[str, Any], sheet: str, lang: str, system: str, values: Mapping[str, Any] | None) -> None:
        self.program, self.sheet, self.lang, self.system, self.values = program, sheet, lang, system, values

    def say(self, key: str) -> str:
        return sentence(self.program, key, self.lang)

    def inside(self, expr: list[Any], least: int) -> str:
        text = self.write(expr)
        return f"({text})" if _RANK.get(expr[0], _BELOW_ATOM) < least else text

    def name(self, name: str, unit: str | None = None) -> str:
        if self.values is None:
            return self.symbol(name)
        value = self.values.get(name)
        if unit is not None and value is not None:
            return show(self.program, value, unit, "as_is", lang=self.lang)
        text = say_value(self.program, spec_of(self.program, self.sheet, name), value, self.lang, self.system)
        return f"({text})" if text.startswith("−") else text

    def symbol(self, name: str) -> str:
        """What a formula calls a quantity: its symbol, else its name in words."""
        return (spec_of(self.program, self.sheet, name) or {}).get("symbol") or name.replace("_", " ")

    def write(self, expr: list[Any]) -> str:
        head = expr[0]
        if head == "num":
            if len(expr) == 4:
                shown = shown_unit(self.program, expr[2], self.lang) if expr[2] else ""
                return f"{marked(self.program, expr[3], self.lang)}{'' if shown in ('', '°') else NBSP}{shown}"
            return show(self.program, expr[1], "1", "as_is", lang=self.lang)
        if head == "word":
            return f"“{expr[1]}”"
        if head == "yes":
            return self.say("yes" if expr[1] else "no")
        if head == "none":
            return "—"
        if head == "get":
            return self.name(expr[1])
        if head == "get_in":
            return self.name(expr[1], expr[2])
        if head == "set_in":
            return self.inside(expr[1], 0)
        if head in ("given", "by_maker"):
            return f"{self.symbol(expr[1])} {self.say(head)}"
        if head in ("lookup", "has"):
            return self.look(expr)
        if head == "call":
            args = "; ".join(self.inside(one, 0) for one in expr[2:])
            return f"√({args})" if expr[1] == "sqrt" else f"{expr[1]}({args})"
        if head == "if":
            return f"{self.inside(expr[2], 1)} {self.say('if')} {self.inside(expr[1], 1)}, {self.say('else')} {self.inside(expr[3], 0)}"
        return self.operator(expr)

    def operator(self, expr: list[Any]) -> str:
        head = expr[0]
        rank = _RANK[head]
        if head == "neg":
            return "−" + self.inside(expr[1], rank)
        if head == "not":
            return f"{self.say('not')} {self.inside(expr[1], rank)}"
        if head == "cmp":
            return f"{self.inside(expr[2], rank + 1)} {_SIGNS[expr[1]]} {self.inside(expr[3], rank + 1)}"
        if head in ("eq", "ne"):
            return f"{self.inside(expr[1], rank + 1)} {'=' if head == 'eq' else '≠'} {self.inside(expr[2], rank + 1)}"
        if head == "in":
            return f"{self.inside(expr[1], rank + 1)} {self.say('in')} " + ", ".join(f"“{one}”" for one in expr[2])
        if head in ("and", "or"):
            return f"{self.inside(expr[1], rank)} {self.say(head)} {self.inside(expr[2], rank)}"
        # a - (b + c), a / (b * c) keep their brackets; powers bind to the right
        left, right = (rank + 1, rank) if head == "**" else (rank, rank + 1)
        gap = "" if head == "**" else " "
        return f"{self.inside(expr[1], left)}{gap}{_SIGNS[head]}{gap}{self.inside(expr[2], right)}"

    def look(self, expr: list[Any]) -> str:
        keys = ", ".join(self.inside(one, 0) for one in expr[3])
        title = words_of(self.program["tables"][expr[1]]["title"], self.lang)
        column = str(expr[2]).replace("_", " ")
        text = f"{column} [“{title}”: {keys}]"
        return f"{text} {self.say('in_table')}" if expr[0] == "has" else text


def taken(program: Mapping[str, Any], expr: Any, values: Mapping[str, Any]) -> Any:
    """The expression with every choice settled: only the branches that were taken."""
    if not isinstance(expr, list) or not expr:
        return expr
    while expr[0] == "if":
        try:
            chosen = build(expr[1], program)(dict(values))
        except Refuse:
            return expr
        if chosen is None:
            return expr
        expr = expr[2] if chosen else expr[3]
    return [taken(program, one, values) for one in expr]


def formula(program: Mapping[str, Any], sheet: str, expr: list[Any], lang: str = "en", system: str = "metric", values: Mapping[str, Any] | None = None) -> str:
    """A compiled expression as text; with `values`, the numbers put in."""
    if values is not None:
        expr = taken(program, expr, values)
    return _Writer(program, sheet, lang, system, values).inside(expr, 0)


def _tables_in(expr: Any, found: list[str]) -> list[str]:
    if isinstance(expr, list) and expr:
        if expr[0] == "lookup" and expr[1] not in found:
            found.append(expr[1])
        for one in expr:
            _tables_in(one, found)
    return found


def working(program: Mapping[str, Any], sheet: str, result: Mapping[str, Any], entries: Mapping[str, Any] | None = None, lang: str = "en", system: str = "metric") -> list[dict[str, Any]]:
    """Every line that has a value, in order.

    Rows: {name, label, symbol, formula, put_in, shown, source, certainty, note, default}. `default` is what the sheet itself
    gives where the maker's value stands, else "". `entries` is kept for callers that pass it; values come from result.
    """
    values = dict(result["values"])
    for name in result["defaults"]:
        values["by_maker:" + name] = True
    return [
        _line(program, sheet, line, values, result["defaults"], lang, system)
        for line in program["sheets"][sheet]["lines"]
        if values.get(line["name"]) is not None
    ]


def _line(program: Mapping[str, Any], sheet: str, line: Mapping[str, Any], values: Mapping[str, Any], defaults: Mapping[str, Any], lang: str, system: str) -> dict[str, Any]:
    """One row of the working: a line of the sheet, or of a table's row with that row's values put in."""
    name = line["name"]
    by_maker = name in defaults
    default = defaults.get(name)
    source = program["sheets"][sheet]["sources"].get(line["source"])
    text, certainty = (source["text"], source["certainty"]) if source else ("", "")
    expr = line.get("expr")
    if expr is not None:
        tables = [words_of(program["tables"][one]["title"], lang) for one in _tables_in(taken(program, expr, values), [])]
        text = "; ".join([text, *(sentence(program, "from_table", lang, table=one) for one in tables)])
    if by_maker:
        text, certainty = sentence(program, "maker_source", lang), "maker"
    return {
        "name": name,
        "label": words_of(line["label"], lang),
        "symbol": line.get("symbol", ""),
        "formula": formula(program, sheet, expr, lang, system) if expr is not None else "",
        "put_in": formula(program, sheet, expr, lang, system, values) if expr is not None and not (by_maker and default is None) else "",
        "shown": say_value(program, line, values[name], lang, system),
        "source": text,
        "certainty": certainty,
        "note": words_of(line.get("note"), lang),
        "default": say_value(program, line, default, lang, system) if by_maker and default is not None else "",
    }


def over_working(program: Mapping[str, Any], sheet: str, result: Mapping[str, Any], lang: str = "en", system: str = "metric") -> list[dict[str, Any]]:
    """The sections of a sheet that ran over a table, in words: one list of rows each, in ranked order.

    {name, label, columns, rows}; a row: {key, label, place (or None), cells (one a column), said ({level, message}),
    refusal (a sentence or ""), lines (rows as of `working`, with the row's own values put in)}.
    """
    told = {section["name"]: section["rows"] for section in result.get("over", ())}
    base = {**result["values"], **{"by_maker:" + name: True for name in result["defaults"]}}
    out = []
    for section in program["sheets"][sheet].get("over", ()):
        if section["name"] not in told:
            continue
        lines = {line["name"]: line for line in section["lines"]}
        rows = []
        for row in told[section["name"]]:
            values = {**base, section["row"]["name"]: row["key"], **row["values"]}
            messages = {check["name"]: check["message"] for check in section["checks"]}
            rows.append(
                {
                    "key": row["key"],
                    "label": say_value(program, section["row"], row["key"], lang, system),
                    "place": row["place"],
                    "cells": [say_value(program, lines[name], row["values"][name], lang, system) for name in section["shows"]],
                    "said": [
                        {"level": one["level"], "message": _filled(program, sheet, words_of(messages[one["name"]], lang), values, lang, system)}
                        for one in row["checks"]
                    ],
                    "refusal": _say_refused(program, sheet, row["refusal"], values, lang, system) if row["refusal"] else "",
                    "lines": [_line(program, sheet, line, values, {}, lang, system) for line in section["lines"] if row["values"][line["name"]] is not None],
                }
            )
        columns = [words_of(lines[name]["label"], lang) for name in section["shows"]]
        out.append({"name": section["name"], "label": words_of(section["label"], lang), "columns": columns, "rows": rows})
    return out


def say_check(program: Mapping[str, Any], sheet: str, name: str, result: Mapping[str, Any], entries: Mapping[str, Any] | None = None, lang: str = "en", system: str = "metric") -> str:
    """The message of a check, its {names} filled with values in the user's units. KeyError: no such check."""
    check = next((one for one in program["sheets"][sheet]["checks"] if one["name"] == name), None)
    if check is None:
        raise KeyError(name)
    text = _filled(program, sheet, words_of(check["message"], lang), result["values"], lang, system)
    return sentence(program, "plant_check", lang, text=text) if check.get("plant") else text


def _filled(program: Mapping[str, Any], sheet: str, text: str, values: Mapping[str, Any], lang: str, system: str) -> str:
    for key, value in values.items():
        if "{" + key + "}" in text:
            text = text.replace("{" + key + "}", say_value(program, spec_of(program, sheet, key), value, lang, system))
    return text


def say_refusal(program: Mapping[str, Any], sheet: str, result: Mapping[str, Any], entries: Mapping[str, Any] | None = None, lang: str = "en", system: str = "metric") -> str:
    """Why a sheet refused, in a sentence that says what it covers or needs."""
    refusal = result["refusal"]
    if refusal is None:
        return ""
    if any(one["name"] == refusal["where"] for one in program["sheets"][sheet]["checks"]):
        return say_check(program, sheet, refusal["where"], result, entries, lang, system)
    return _say_refused(program, sheet, refusal, result["values"], lang, system)


def _say_refused(program: Mapping[str, Any], sheet: str, refusal: Mapping[str, Any], values: Mapping[str, Any], lang: str, system: str) -> str:
    """Why an input, a line, or a line of a row was refused."""
    code, where, detail = refusal["code"], refusal["where"], refusal["detail"]
    spec = spec_of(program, sheet, where) or _section(program, sheet, where)
    label = words_of(spec["label"], lang) if spec else where
    if code == "bad_input":
        reason = detail["reason"]
        if reason in ("unknown", "no_maker") or spec is None:
            return sentence(program, f"bad_input.{'no_maker' if reason == 'no_maker' else 'unknown'}", lang, label=label)
        return bad_input(program, spec, "type", None, lang, system)
    if code == "cannot_compute":
        expr = (spec or {}).get("expr")
        put_in = formula(program, sheet, expr, lang, system, values) if expr else ""
        return sentence(program, "cannot_compute", lang, line=label, formula=put_in)
    if code in ("outside_table", "no_entry"):
        text = _table_refusal(program, code, label, detail, lang, system)
        return text + (sentence(program, "or_maker", lang) if detail.get("maker") else "")
    return sentence(program, code, lang, label=label)


def _section(program: Mapping[str, Any], sheet: str, name: str) -> dict[str, Any] | None:
    """A section as one that refuses: what asks which rows take part stands where a line has its expression."""
    found = next((one for one in program["sheets"][sheet].get("over", ()) if one["name"] == name), None)
    return {"label": found["label"], "expr": found.get("when")} if found else None


def _table_refusal(program: Mapping[str, Any], code: str, line: str, detail: Mapping[str, Any], lang: str, system: str) -> str:
    table = program["tables"][detail["table"]]
    title, keys = words_of(table["title"], lang), detail["keys"]
    said = [show(program, key, spec["unit"], system, lang=lang) if spec["match"] == "range" else word_of(spec, key, lang) for key, spec in zip(keys, table["keys"], strict=True)]
    if code == "no_entry":
        return sentence(program, "no_entry", lang, line=line, table=title, given=", ".join(said))
    rows = table["rows"]
    for at, spec in enumerate(table["keys"]):
        if spec["match"] != "word":
            continue
        listed = list(dict.fromkeys(row["keys"][at] for row in rows))
        if keys[at] not in listed:
            choices = ", ".join(word_of(spec, one, lang) for one in listed)
            return sentence(program, "outside_table.word", lang, line=line, table=title, given=said[at], choices=choices)
        rows = [row for row in rows if row["keys"][at] == keys[at]]
    at = next((n for n, spec in enumerate(table["keys"]) if spec["match"] == "range"), -1)
    if at < 0:
        return sentence(program, "outside_table.together", lang, line=line, table=title, given=", ".join(said))
    spec = table["keys"][at]
    least, most = rows[0]["keys"][at][0], rows[-1]["keys"][at][1]
    if least < keys[at] < most:
        return sentence(program, "outside_table.gap", lang, line=line, table=title, given=said[at])
    how = "range.below" if spec["includes"] == "lower" else "range.from" if spec["lower_too"] else "range.over"
    span = sentence(program, how, lang, least=show(program, least, spec["unit"], system, lang=lang), most=show(program, most, spec["unit"], system, lang=lang))
    return sentence(program, "outside_table.range", lang, line=line, table=title, given=", ".join(said), range=span)

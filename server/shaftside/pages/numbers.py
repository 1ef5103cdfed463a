"""The calculation room's answers in the shapes the desk's pages take."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from markupsafe import Markup

from shaftside import calc
from shaftside.calc import mathml
from shaftside.calc.typed import Fault, parse_number, split_entry
from shaftside.pages.entries import document as of_document
from shaftside.pages.sheet_note import set_formula, symbol
from shaftside.review.record import say
from shaftside.sentence import joined, tell

Entry = dict[str, Any]
CANNOT = tell("This cannot be worked out again here: its sheet or its inputs cannot be read.")

FAULTS = {
    "empty": tell("nothing was typed."),
    "not_a_number": tell("this is not a number."),
    "exponent": tell("write the number out, without an exponent."),
    "two_marks": tell("there is more than one decimal mark; leave out marks between thousands."),
    "thousands": tell("a comma before three figures can be read in two ways; write a point, or the number without a mark."),
    "two_numbers": tell("there are two numbers."),
    "zero_denominator": tell("a fraction over nought."),
    "improper": tell("the fraction is one or more; write it as whole and part."),
    "too_long": tell("too long for a number."),
    "unknown_unit": tell("the unit is not known."),
    "unit_needed": tell("say the unit."),
    "wrong_kind": tell("this unit does not fit."),
}


def number_reader(
    program: dict[str, Any],
) -> Callable[[str, dict[str, Any]], tuple[Entry | None, str | None]]:
    """A reader of typed numbers with their units, against a bundle's own list of units."""
    units = program.get("units", {})

    def read(text: str, fact: dict[str, Any]) -> tuple[Entry | None, str | None]:
        found = split_entry(units, text)
        if isinstance(found, Fault):
            return None, _because(FAULTS.get(found.code, _UNREAD), fact)
        value = parse_number(found["typed"])
        if isinstance(value, Fault):
            return None, _because(FAULTS.get(value.code, _UNREAD), fact)
        if not found["unit"]:
            if not fact.get("bare"):
                return None, _because(FAULTS["unit_needed"], fact)
            found["unit"] = str(fact["unit"])
        kinds = units.get(found["unit"], {}).get("kinds") or [units.get(found["unit"], {}).get("kind")]
        if fact.get("kind") and fact["kind"] not in kinds:
            return None, _because(tell("“%(unit)s” does not measure this.", unit=found["unit"]), fact)
        if value < 0:
            return None, tell("it cannot be under nought.")
        return dict(found), None

    return read


_UNREAD = tell("cannot be read.")


def _because(reason: str, fact: dict[str, Any]) -> str:
    """The reason, and what the fact takes instead."""
    if not fact.get("unit"):
        return reason
    return joined(reason, " ", tell("It takes a number with its unit, for example in %(unit)s.", unit=fact["unit"]))


def show(program: dict[str, Any], value: Any, unit: str, system: str, lang: str = "en") -> str:
    """An SI value with its unit in words; empty where the bundle does not know the unit."""
    if value is None or (unit not in program.get("units", {}) and unit != "1"):
        return "" if value is None else str(value)
    return str(calc.show(program, value, unit, system, lang=lang))


def said(
    program: dict[str, Any],
    sheet: str,
    check: str,
    result: dict[str, Any],
    entries: dict[str, Any],
    system: str,
    lang: str = "en",
) -> str:
    """A check's own sentence with its numbers put in, in a language the bundle has."""
    if sheet not in program.get("sheets", {}):
        return ""
    return str(calc.say_check(program, sheet, check, result, entries, lang, system))


def worked_out(program: dict[str, Any], body: dict[str, Any]) -> dict[str, Any] | None:
    """A reading's result worked out again from what was typed, by its own bundle; None where it cannot be."""
    sheet = str(body.get("sheet") or "")
    if sheet not in program.get("sheets", {}):
        return None
    entries, maker = body.get("entries") or {}, body.get("maker") or {}
    values, problems = calc.read_inputs(program, sheet, entries)
    makers, maker_problems = calc.read_makers(program, sheet, maker)
    if problems or maker_problems:
        return None
    result: dict[str, Any] = calc.evaluate(program, sheet, values, makers)
    return result


def asked(program: dict[str, Any], body: dict[str, Any], lang: str = "en") -> list[tuple[str, bool]]:
    """(question, whether it was answered "as typed") of every number of a reading that looks like a slip of its unit."""
    sheet = str(body.get("sheet") or "")
    if sheet not in program.get("sheets", {}):
        return []
    entries, maker = body.get("entries") or {}, body.get("maker") or {}
    values, problems = calc.read_inputs(program, sheet, entries)
    makers, maker_problems = calc.read_makers(program, sheet, maker)
    if problems or maker_problems:
        return []
    result = calc.evaluate(program, sheet, values, makers)
    answers = [
        {**one, "factor": None} for one in body.get("as_typed") or []
    ]  # a factor is the unit list's, not the person's
    found = calc.said_asks(program, sheet, calc.asks(program, sheet, entries, values, makers, result, maker), lang)
    out = []
    for one in found:
        same = {key: one[key] for key in ("input", "typed", "unit", "meant_unit")} | {"factor": None}
        out.append((str(one["say"]), same in answers))
    return out


def working(program: dict[str, Any], body: dict[str, Any], system: str, lang: str = "en") -> tuple[dict[str, Any], str]:
    """({title, version, lines} of one reading, each line set and in words; what is the matter or "")."""
    sheet = str(body.get("sheet") or "")
    result = worked_out(program, body)
    if result is None:
        return {"title": "", "version": None, "lines": [], "over": []}, CANNOT
    entries, shown_in = body.get("entries") or {}, "metric" if system == "typed" else system
    rows = calc.working(program, sheet, result, entries, lang, shown_in)
    trouble = ""
    if result.get("status") == "refused":
        trouble = str(calc.say_refusal(program, sheet, result, entries, lang, shown_in))
    made = program["sheets"][sheet]
    exprs = {line["name"]: line.get("expr") for line in made["lines"]}
    put = mathml.put_in(result)
    makers = body.get("maker") or {}
    return {
        "title": say(made.get("title"), lang),
        "version": made.get("version"),
        "lines": [_line(program, sheet, row, exprs[row["name"]], put, shown_in, makers.get(row["name"]), lang) for row in rows],
        "over": [] if trouble else _over(program, sheet, result, put, shown_in, lang),  # a sheet that refuses gives no advice
    }, trouble


def _over(program: dict[str, Any], sheet: str, result: dict[str, Any], put: dict[str, Any], system: str, lang: str) -> list[dict[str, Any]]:
    """The rows of a table that a sheet ran over, as `calc.over_working` has them, their lines set."""
    sections = {one["name"]: one for one in program["sheets"][sheet].get("over", ())}
    values = {(told["name"], row["key"]): row["values"] for told in result.get("over", ()) for row in told["rows"]}
    out = calc.over_working(program, sheet, result, lang, system)
    for section in out:
        made = sections[section["name"]]
        exprs = {line["name"]: line["expr"] for line in made["lines"]}
        section["ranked"] = any(row["place"] is not None for row in section["rows"])
        for row in section["rows"]:
            own = {**put, made["row"]["name"]: row["key"], **values[section["name"], row["key"]]}
            row["lines"] = [_line(program, sheet, line, exprs[line["name"]], own, system, None, lang) for line in row["lines"]]
    return out


def _line(
    program: dict[str, Any],
    sheet: str,
    row: dict[str, Any],
    expr: Any,
    put: dict[str, Any],
    system: str,
    maker: Any,
    lang: str,
) -> dict[str, Any]:
    """One line as the page of a calculation shows it; numbers put in only where they say more than the result."""
    text, made = set_formula(program, sheet, expr, system, lang=lang) if row["formula"] else ("", Markup(""))
    numbers = Markup("")
    if row["put_in"] and row["put_in"] not in (row["shown"], row["formula"]):
        _, numbers = set_formula(program, sheet, expr, system, put, lang)
    kept = ("label", "put_in", "shown", "default", "note", "source", "certainty")
    by_maker = isinstance(maker, dict) and row["certainty"] == "maker"
    said = of_document(maker, program, None, lang)[1] if by_maker else ""
    return {key: str(row.get(key) or "") for key in kept} | {
        "symbol": symbol(row.get("symbol")),
        "text": text,
        "formula": made,
        "numbers": numbers,
        "document": said,
    }

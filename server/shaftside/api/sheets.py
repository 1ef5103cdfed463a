"""Calculation sheets over HTTP: the same numbers, checks and working as in the terminal."""

from __future__ import annotations

import json
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Path, Request
from pydantic import Field

from shaftside import calc
from shaftside.api.shape import Strict
from shaftside.errors import ShaftsideError

router = APIRouter(prefix="/api/sheets", tags=["sheets"])
LANG = r"^[a-z]{2,3}(-[A-Za-z0-9]{2,8})*$"
Name = Annotated[str, Path(pattern=r"^[a-z][a-z0-9_]{0,63}$")]


class Ask(Strict):
    """Inputs as people type them (`"1-15/16 in"`) or as entries; maker's values by line."""

    inputs: dict[str, Any] = Field(default_factory=dict, max_length=60)
    maker: dict[str, Any] = Field(default_factory=dict, max_length=20)
    units: Literal["metric", "inch"] = "metric"
    lang: Annotated[str, Field(pattern=LANG)] = "en"


def _program(request: Request) -> dict[str, Any]:
    found: dict[str, Any] = request.app.state.handbooks.current.data["calc"]
    return found


def _sheet(request: Request, name: str) -> dict[str, Any]:
    sheets = _program(request)["sheets"]
    if name not in sheets:
        raise ShaftsideError(
            404, "no_such_sheet", f"There is no sheet {name}.", expects=", ".join(sorted(sheets))
        )
    found: dict[str, Any] = sheets[name]
    return found


@router.get("")
def listed(request: Request) -> list[dict[str, Any]]:
    """Every sheet: its name, title, what it is about, its inputs and headline results."""
    return [
        {
            "sheet": name,
            "title": one["title"],
            "about": one.get("about"),
            "inputs": one["inputs"],
            "results": one["results"],
        }
        for name, one in sorted(_program(request)["sheets"].items())
    ]


@router.get("/{name}")
def one(request: Request, name: Name) -> dict[str, Any]:
    """One sheet whole, as it is compiled."""
    return _sheet(request, name)


@router.post("/{name}")
def compute(request: Request, name: Name, ask: Ask) -> dict[str, Any]:
    """Evaluate a sheet. 422 says of each field what is wrong and what it expects."""
    handbooks = request.app.state.handbooks
    known = handbooks.current.data["languages"]
    if ask.lang not in known:
        raise ShaftsideError(422, "bad_input", f"The handbook is not written in {ask.lang}.", "lang", ", ".join(known))
    _sheet(request, name)
    program = handbooks.in_language(handbooks.current, ask.lang)["calc"]
    sheet = program["sheets"][name]
    return answer(program, sheet, name, ask.inputs, ask.maker, ask.lang, ask.units)


def answer(
    program: dict[str, Any],
    sheet: dict[str, Any],
    name: str,
    inputs: dict[str, Any],
    maker: dict[str, Any],
    lang: str,
    system: str,
) -> dict[str, Any]:
    """Read, evaluate, put in words. Raises ShaftsideError 422 bad_input."""
    specs = {spec["name"]: spec for spec in sheet["inputs"]}
    for key, given in [*inputs.items(), *maker.items()]:
        _readable(key, given)
    unknown = [key for key in inputs if key not in specs]
    if unknown:
        raise ShaftsideError(
            422, "unknown_input", f"The sheet has no input {unknown[0]}.", unknown[0], ", ".join(specs)
        )
    entries = {
        key: calc.entry_of(program, specs[key], given)
        if isinstance(given, str)
        else {"yes": given}
        if isinstance(given, bool)
        else given
        for key, given in inputs.items()
    }
    values, problems = calc.read_inputs(program, name, entries, lang, system)
    makers, maker_problems = calc.read_makers(program, name, maker, lang, system)
    wrong = [*problems, *maker_problems]
    if wrong:
        raise ShaftsideError(
            422,
            "bad_input",
            wrong[0].message,
            wrong[0].input,
            wrong[0].expects,
            [one.json() for one in wrong],
        )
    result = calc.evaluate(program, name, values, makers)
    lines = {line["name"]: line for line in sheet["lines"]}
    maker_entries = {
        key: calc.entry_of(program, lines[key], given) if isinstance(given, str) else given
        for key, given in maker.items()
    }
    asks = calc.asks(program, name, entries, values, makers, result, maker_entries)
    return {
        "result": result,
        "refusal": calc.say_refusal(program, name, result, entries, lang, system)
        if result["refusal"]
        else None,
        "checks": [
            {**check, "message": calc.say_check(program, name, check["name"], result, entries, lang, system)}
            for check in result["checks"]
        ],
        "asks": calc.said_asks(program, name, asks, lang),
        "working": calc.working(program, name, result, entries, lang, system),
        "over": calc.over_working(program, name, result, lang, system),
        "cautions": sheet.get("cautions", []),
    }


def _readable(key: str, given: Any) -> None:
    """JSON can smuggle in half a character, which no answer could ever repeat. Raises ShaftsideError 422."""
    try:
        json.dumps([key, given], ensure_ascii=False).encode()
    except UnicodeEncodeError as problem:
        name = key.encode("ascii", "replace").decode()
        raise ShaftsideError(
            422, "bad_input", f"{name}: half of a character was sent.", name, "whole characters"
        ) from problem

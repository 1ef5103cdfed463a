"""One table of typed values, read by the server and by the phone."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from shaftside import calc
from shaftside.calc import typed

TABLE = json.loads(Path(__file__).with_name("typed_cases.json").read_text(encoding="utf-8"))
CASES, ENTRIES = TABLE["numbers"], TABLE["entries"]


@pytest.mark.parametrize(("text", "want"), CASES)
def test_server_reads(text: str, want: float | str) -> None:
    got = typed.parse_number(text)
    assert (got.code if isinstance(got, typed.Fault) else got) == want


@pytest.mark.node
@pytest.mark.parametrize(("text", "want"), CASES)
def test_phone_reads(text: str, want: float | str, phone: Callable[..., Any]) -> None:
    got = phone("typed", text=text)
    assert (got["fault"] if isinstance(got, dict) else got) == want


@pytest.mark.parametrize(("text", "want"), ENTRIES)
def test_server_parts_number_and_unit(program: dict[str, Any], text: str, want: Any) -> None:
    got = typed.split_entry(program["units"], text)
    assert (got.code if isinstance(got, typed.Fault) else got) == want


@pytest.mark.node
@pytest.mark.parametrize(("text", "want"), ENTRIES)
def test_phone_parts_number_and_unit(text: str, want: Any, phone: Callable[..., Any]) -> None:
    got = phone("split", text=text)
    assert got.get("fault", got) == want


@pytest.mark.parametrize(
    ("text", "number", "unit"),
    [
        ("1-15/16 in", "1-15/16", "in"), ("0.0015in", "0.0015", "in"), ("45 N.m", "45", "N.m"), ("62 lbf.ft", "62", "lbf.ft"),
        ("0,04 mm", "0,04", "mm"), ('3/8"', "3/8", "in"), ("12 ft-lb", "12", "lbf.ft"), ("20°C", "20", "degC"), ("15µm", "15", "um"), ("7 rpm", "7", "r/min"),
    ],
)  # fmt: skip
def test_number_and_unit_apart(program: dict[str, Any], text: str, number: str, unit: str) -> None:
    assert typed.split_entry(program["units"], text) == {"typed": number, "unit": unit}


@pytest.mark.parametrize(
    ("text", "code"),
    [("5 furlong", "unknown_unit"), ("mm", "not_a_number"), ("1 234 mm", "two_numbers"), ("", "empty"), ("5 mPa", "unknown_unit"), ("5 nm", "unknown_unit")],
)
def test_no_guess_at_a_unit(program: dict[str, Any], text: str, code: str) -> None:
    got = typed.split_entry(program["units"], text)
    assert isinstance(got, typed.Fault)
    assert got.code == code


def read(program: dict[str, Any], text: str, system: str) -> list[dict[str, str]]:
    return [one.json() for one in calc.read_inputs(program, "taper_drive_up", {"bore": text}, "en", system)[1]]


def say(phone: Callable[..., Any], program: dict[str, Any], text: str, system: str) -> Any:
    spec = next(one for one in program["sheets"]["taper_drive_up"]["inputs"] if one["name"] == "bore")
    entries = {"bore": calc.entry_of(program, spec, text)}
    return phone("read", sheet="taper_drive_up", entries=entries, system=system)


SAID = [
    ("1,000 mm", "metric", "thousands", ["“1,000” can be read as 1.000 or as 1000"], "mm"),
    ("100 N", "metric", "wrong_kind", ["N is not a unit of length"], "mm"),
    ("100 N", "inch", "wrong_kind", ["N is not a unit of length"], "in"),
    ("5000 mm", "inch", "range", ["5000"], "mm"),  # typed in mm: answered in mm, whatever the setting
]


@pytest.mark.parametrize(("text", "system", "code", "parts", "unit"), SAID)
def test_server_says_what_is_wrong(program: dict[str, Any], text: str, system: str, code: str, parts: list[str], unit: str) -> None:
    (problem,) = read(program, text, system)
    assert problem["code"] == code
    assert all(part in problem["message"] for part in parts), problem
    assert "{" not in problem["message"]
    assert problem["expects"].endswith(unit)


@pytest.mark.node
@pytest.mark.parametrize(("text", "system"), [(one[0], one[1]) for one in SAID])
def test_phone_says_the_same(program: dict[str, Any], phone: Callable[..., Any], text: str, system: str) -> None:
    assert say(phone, program, text, system) == read(program, text, system)

"""Awkward files of positions: every row gets its own sentence and nothing is guessed."""

from __future__ import annotations

from typing import Any

import pytest

from shaftside.review.importing import Known, plan_import

FACTS = [
    {"name": "locking_method", "kind": "word", "choices": [("cam_collar", "Cam collar"), ("ring_set_screws", "Set screws")]},
    {"name": "shaft_d", "kind": "length", "unit": "mm"},
    {"name": "reversing", "kind": "yesno"},
    {"name": "remark", "kind": "text"},
]
HELD = [
    Known(
        "p-1",
        {"id": "F-2", "name": "Fan 2", "area": "Drying"},
        "drive end",
        {"locking_method": {"word": "cam_collar"}, "shaft_d": {"typed": "50", "unit": "mm"}},
    )
]


def number(text: str, fact: dict[str, Any]) -> tuple[dict[str, Any] | None, str | None]:
    """Stands in for the handbook's own parser: a number, a space, mm or in."""
    typed, _, unit = text.partition(" ")
    if unit not in ("mm", "in"):
        return None, f"“{unit}” is not a unit of length." if unit else "Say the unit."
    return {"typed": typed, "unit": unit}, None


def plan(text: str | bytes) -> Any:
    raw = text if isinstance(text, bytes) else text.encode()
    return plan_import(raw, FACTS, HELD, number, lambda fact: fact["choices"])


def test_new_changed_same() -> None:
    got = plan(
        "machine,machine_name,position,locking_method,shaft_d\n"
        "F-2,Fan 2,drive end,cam_collar,50 mm\n"
        "F-2,Fan 2,Drive End,cam_collar,55 mm\n".replace("Drive End,cam_collar,55", "free end,Set screws,1-15/16")
        .replace("1-15/16 mm", "1-15/16 in")
    )
    assert [row.change for row in got.rows] == ["same", "new"]
    assert got.rows[1].body["facts"] == {
        "locking_method": {"word": "ring_set_screws"},
        "shaft_d": {"typed": "1-15/16", "unit": "in"},
    }
    changed = plan("machine,position,shaft_d\nf-2,DRIVE END,55 mm\n").rows[0]
    assert changed.change == "changed"
    assert changed.known == "p-1"
    assert changed.changes == [("shaft_d", "50 mm", "55 mm")]
    assert changed.body["facts"]["locking_method"] == {"word": "cam_collar"}, "what the file does not name stays"
    assert changed.body["machine"] == {"id": "F-2", "name": "Fan 2", "area": "Drying"}


def test_semicolons_and_byte_order_mark_and_unit_in_the_column() -> None:
    got = plan(b"\xef\xbb\xbfMachine;Position;Shaft d [mm]\r\nF-9;drive end;50,5\r\n")
    assert not got.problems
    assert got.rows[0].body["facts"]["shaft_d"] == {"typed": "50,5", "unit": "mm"}


def test_utf16_from_a_spreadsheet() -> None:
    assert plan("machine\tposition\nÜ-1\tfree end\n".encode("utf-16")).rows[0].machine == "Ü-1"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "empty"),
        ("machine,shaft_d\nF-1,50 mm\n", "no column “position”"),
        ("machine,position,colour\nF-1,a,red\n", "“colour” is not known"),
        ("machine,position,position\nF-1,a,b\n", "twice"),
        ("machine,position\n", "no row"),
        ("machine,position\nF-1,\"open\n", "quote"),
        (b"machine,position\nM\xfcller,a\n", "UTF-8"),
        (b"PK\x03\x04\x00\x00", "not a text file"),
        (b"x" * 2_000_001, "Split"),
    ],
)
def test_a_file_that_cannot_be_read_says_why(text: Any, says: str) -> None:
    got = plan(text)
    assert any(says in problem for problem in got.problems)
    assert not got.ready


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("F-1,a,glue,50 mm,no", "“glue” is not one of: cam_collar"),
        ("F-1,a,cam_collar,50 furlong,no", "not a unit of length"),
        ("F-1,a,cam_collar,50,no", "Say the unit"),
        ("F-1,a,cam_collar,50 mm,perhaps", "neither yes nor no"),
        (",a,cam_collar,50 mm,no", "machine is empty"),
        ("F-1,,cam_collar,50 mm,no", "position is empty"),
        ("F-1,a,cam_collar,50,5 mm,no", "6 cells for 5 columns"),
    ],
)
def test_a_row_that_cannot_be_used_says_why(row: str, says: str) -> None:
    got = plan(f"machine,position,locking_method,shaft_d,reversing\nF-0,ok,cam_collar,40 mm,no\n{row}\n")
    assert [one.change for one in got.rows] == ["new", "wrong"]
    assert any(says in problem for problem in got.rows[1].problems), got.rows[1].problems
    assert got.rows[1].body is None
    assert got.rows[1].line == 3
    assert not got.ready, "one wrong row holds the whole file"


def test_the_same_position_twice_in_one_file() -> None:
    got = plan("machine,position\nF-1,a\n\nf-1, A \n")
    assert got.rows[1].problems == ["The same machine and position as line 2."]
    assert got.rows[1].line == 4, "blank lines count, as they do in an editor"

"""The working on the desk of a sheet that ran over a table's rows: places first, then why, then every line of each row."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from shaftside import calc
from shaftside.pages import numbers

from .desk_plant import Desk

# the sheet made up for tests/calc/test_over.py
MADE = Path(__file__).resolve().parents[1] / "calc/over"
BODY = {"sheet": "pick", "entries": {"wanted": {"typed": "12.5", "unit": "mm"}}}


@pytest.fixture(scope="module")
def made() -> dict[str, Any]:
    return calc.load(MADE).program


def test_each_row_with_its_lines_set(made: dict[str, Any]) -> None:
    page, trouble = numbers.working(made, BODY, "typed")
    assert trouble == ""
    ways, colours = page["over"]
    assert (ways["ranked"], colours["ranked"]) == (True, False)
    assert [(row["place"], row["label"]) for row in ways["rows"]][:3] == [(1, "First twin"), (1, "Second twin"), (3, "Long way")]
    spare = next(line for line in ways["rows"][2]["lines"] if line["label"] == "To spare")
    assert spare["put_in"] == "40\u00a0mm − 25\u00a0mm"
    assert "<mn>40</mn>" in spare["numbers"]  # the row's own value, not the sheet's


def test_a_sheet_that_refuses_gives_no_advice(made: dict[str, Any]) -> None:
    program = {**made, "tables": {**made["tables"], "ways": {**made["tables"]["ways"], "rows": made["tables"]["ways"]["rows"][:1]}}}
    body = {"sheet": "pick", "entries": {**BODY["entries"], "spoilt": {"word": "short"}}}  # type: ignore[dict-item]
    page, trouble = numbers.working(program, body, "typed")
    assert (page["over"], trouble) == ([], "Nothing takes part.")


def test_the_page(desk: Desk, made: dict[str, Any], monkeypatch: pytest.MonkeyPatch) -> None:
    work_out = numbers.working
    monkeypatch.setattr(numbers, "working", lambda program, body, system, lang: work_out(made, BODY, system, lang))
    page = desk.as_("maud").get(f"/desk/jobs/{desk.examples['near_limit']}/working")
    assert page.status_code == 200
    said = re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", page.text)))
    one = said[said.index("The ways side by side") :]
    at = [one.index(text) for text in ("Place", "1 First twin", "1 Second twin", "3 Long way", "Short way is short by its 10 mm", "Working of Long way", "Colours")]
    assert at == sorted(at)
    ids = re.findall(r' id="([^"]+)"', page.text)
    assert len(ids) == len(set(ids))

"""At least three values from at least two named published sources for each sheet, counted.

The values are data, in `published/*.yaml`, as typed at the machine; the other files of this folder hold many more, a file a source.
Memory is counted apart: it never makes up the three. A sheet whose rule is common practice, or its maker's alone, has no such
sources to show; it says so itself, in the source of the line that carries the rule, and that is held here too.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml
from test_card import Answer, si

SHEETS: dict[str, Any] = {
    name: told for path in sorted(Path(__file__).with_name("published").glob("*.yaml")) for name, told in yaml.safe_load(path.read_text(encoding="utf-8")).items()
}
VALUES = [(sheet, one) for sheet, told in SHEETS.items() for one in told["values"]]
LEAST_VALUES, LEAST_SOURCES = 3, 2


def whose(one: dict[str, Any]) -> str:
    """One book or standard is one source, whatever table or problem of it: `ISO 286-2` of `ISO 286-2, table 3`."""
    return str(one["of"]).split(",")[0].split(":")[0].split(" table")[0].strip()


@pytest.mark.parametrize(("sheet", "one"), VALUES, ids=[f"{sheet}-{one['line']}-{one['of']}" for sheet, one in VALUES])
def test_value(program: dict[str, Any], sheet: str, one: dict[str, Any]) -> None:
    answer = Answer(program, {"sheet": sheet, "inputs": one["inputs"], "makers": one.get("makers", {})})
    assert not answer.fields, answer.said
    # a refusal of what is missing for something else leaves the line itself
    got = answer.result["values"][one["line"]]
    assert got is not None, answer.said
    assert got == pytest.approx(si(program, one["is"]), abs=si(program, one["within"], difference=True), rel=0)


def test_every_sheet_is_counted(program: dict[str, Any]) -> None:
    assert set(SHEETS) == set(program["sheets"])


@pytest.mark.parametrize("sheet", SHEETS)
def test_enough_values_of_enough_sources_or_the_sheet_says_that_there_are_none(program: dict[str, Any], sheet: str) -> None:
    told, spec = SHEETS[sheet], program["sheets"][sheet]
    assert {one["how"] for one in told["values"]} <= {"standard", "secondary", "memory"}
    read = [one for one in told["values"] if one["how"] != "memory"]
    distinct = {(one["line"], str(one["inputs"])) for one in read}
    if "rule" in told:
        (line,) = [line for line in spec["lines"] if line["name"] == told["rule"]["line"]]
        assert spec["sources"][line["source"]]["certainty"] == told["rule"]["certainty"]
        return
    assert len(distinct) >= LEAST_VALUES, sheet
    named = {whose(one) for one in read if one["of"][0].isupper()}  # "a handbook" and "public articles" name nobody
    assert len(named) >= LEAST_SOURCES, (sheet, named)

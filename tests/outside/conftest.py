"""Checks of the real sheets against values from outside the project.

One file a source. Each check names its source beside it; `memory` means recalled by engineers and recomputed,
`secondary` means read in a public text that quotes the source. Tolerances cover the rounding in print, nothing more.
Values go in as SI floats through the same evaluator that server and phone use.
"""

import csv
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from running import Run

from shaftside import calc

PROCEDURES = Path(__file__).resolve().parents[2] / "procedures"


@pytest.fixture(scope="session")
def program() -> dict[str, Any]:
    """The compiled program of the project's own procedures."""
    found: dict[str, Any] = calc.load(PROCEDURES).program
    return found


@pytest.fixture(scope="session")
def run(program: dict[str, Any]) -> Run:
    """`run(sheet, makers={...}, **values in SI)` gives the evaluator's whole result."""

    def _run(sheet: str, makers: dict[str, Any] | None = None, **values: Any) -> dict[str, Any]:
        result: dict[str, Any] = calc.evaluate(program, sheet, values, makers or {})
        return result

    return _run


@pytest.fixture(scope="session")
def rows() -> Callable[[str], list[dict[str, str]]]:
    """`rows(table)` gives the rows of one of the project's CSV tables as printed."""

    def _rows(table: str) -> list[dict[str, str]]:
        with (PROCEDURES / "tables" / f"{table}.csv").open(newline="", encoding="utf-8") as file:
            return list(csv.DictReader(file))

    return _rows

"""A sheet's first run on a phone is cheap: a table is gone through once for all that look into it, and every sheet was run in idle time."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

pytestmark = pytest.mark.node


def test_warming_runs_every_line_of_every_sheet(program: dict[str, Any], phone: Callable[..., Any]) -> None:
    """Entries that a sheet does not take would end before its lines: nothing would be warm."""
    for sheet in program["sheets"]:
        assert phone("warm", sheet=sheet)["ran"] == 4, sheet


def test_a_table_is_gone_through_once_however_many_lines_look_into_it(program: dict[str, Any], phone: Callable[..., Any]) -> None:
    """Twenty look-ups into the 420 rows of the clearance classes took 30 ms of the first run, four times slowed."""
    sections = sum(len(sheet.get("over", [])) for sheet in program["sheets"].values())
    told = phone("tables")
    # grouping and the ends of the ranges read the rows once each; a section reads its own table once
    assert told["read"] <= 2 * told["tables"] + sections

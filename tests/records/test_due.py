"""When later work is due: 24 h of running begin when the machine runs (trade practice), not at hand-back.

The same cases go through web/due.js in tests/web/due.test.mjs.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from shaftside.records import due

CASES = json.loads((Path(__file__).parent / "due_cases.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", CASES, ids=[one["what"] for one in CASES])
def test_case(case: dict[str, Any]) -> None:
    state = {"completed": {"at": case["completed"]}, "steps": case["steps"], "machine_started": case["machine_started"]}
    one = {"after": case["after"]} | ({"counts_from": case["counts_from"]} if case["counts_from"] else {})
    assert due.clock_from(state, one) == case["from"]
    assert due.soonest(state, one) == case["soonest"]

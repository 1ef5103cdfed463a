"""Greasing comes due by the interval that this job worked out, in whole running hours, and only where it did."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path
from typing import Any

from shaftside import content, handbook

ROOT = Path(__file__).resolve().parents[2]
PROCEDURE = handbook.build(content.folder("procedures", None)).data["procedures"]["ring_set_screws_mount"]


def due(values: dict[str, Any] | None) -> dict[str, Any]:
    script = (
        f"import {{ outstanding }} from {json.dumps((ROOT / 'web' / 'outstanding.js').as_uri())};"
        f"const told = {json.dumps({'grease_plan/plan': values} if values is not None else {})};"
        f"const out = outstanding({json.dumps(PROCEDURE)}, (step, reading) => told[`${{step}}/${{reading}}`]);"
        "console.log(JSON.stringify(out));"
    )
    ran = subprocess.run(["node", "--input-type=module", "-e", script], capture_output=True, text=True, check=True)
    return {one["follow_up"]: one for one in json.loads(ran.stdout)}


def test_hours_are_those_of_the_plan_rounded_down() -> None:
    assert due({"interval": 3600 * 2187.9})["regrease"]["after"] == {"running_h": 2187}
    assert due({"interval": 3600 * 0.5})["regrease"]["after"] == {"running_h": 1}


def test_without_a_plan_nothing_comes_due_by_it_and_the_rest_stays() -> None:
    for values in (None, {}, {"interval": None}):
        found = due(values)
        assert list(found) == ["retorque_first", "retorque_24h", "look_1_week"]
        assert all(one["counts_from"] == "start" for one in found.values())

"""The desk's drawing of a window stands where the phone's does: both are asked for the same windows."""

from __future__ import annotations

import json
import random
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

from shaftside.pages.window import lay

ROOT = Path(__file__).resolve().parents[2]
ASK = """
import { layWindow } from "./web/views/geometry.js";
let text = "";
for await (const part of process.stdin) text += part;
console.log(JSON.stringify(JSON.parse(text).map((one) => layWindow(one))));
"""


def windows() -> list[dict[str, Any]]:
    """Windows of every sort: two limits, one, none, equal ones, readings far outside, a step, a never."""
    dice = random.Random(2026)
    out: list[dict[str, Any]] = [
        {"high": 0.05, "value": 0.02},
        {"low": 35e-6, "value": 35e-6},
        {"value": 1},
        {"low": 4, "high": 4, "value": 4},
    ]
    for _ in range(300):
        low = dice.uniform(-10, 100)
        one = {"low": low, "high": low + dice.uniform(0.001, 50), "value": low + dice.uniform(-60, 110)}
        for name in dice.sample(sorted(one), dice.randint(0, 2)):
            one[name] = None  # type: ignore[assignment]
        if dice.random() < 0.4:
            one["resolution"] = dice.uniform(0.001, 10)
        if dice.random() < 0.3:
            one["neverBelow"] = low - dice.uniform(0, 3)
        out.append(one)
    return out


@pytest.mark.node
@pytest.mark.skipif(shutil.which("node") is None, reason="needs node")
def test_desk_and_phone_lay_a_window_out_alike() -> None:
    asked = windows()
    said = subprocess.run(
        ["node", "--input-type=module", "-e", ASK],
        input=json.dumps(asked),
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
    )
    for one, phone in zip(asked, json.loads(said.stdout), strict=True):
        desk = lay(
            one.get("low"),
            one.get("high"),
            one.get("value"),
            one.get("neverBelow"),
            None,
            one.get("resolution"),
        )
        assert desk.beyond == phone["beyond"], one
        for name in ("low", "high", "value", "blur"):
            assert getattr(desk, name) == pytest.approx(phone[name], abs=1e-6), (name, one)
        assert [list(zone) for zone in desk.never] == [
            pytest.approx([zone["from"], zone["to"]]) for zone in phone["never"]
        ], one


@pytest.mark.parametrize(
    "one", [{"high": 0.05, "value": 0.0}, {"high": 13.0, "value": 7.0}, {"low": 35.0, "value": 900.0}]
)
def test_a_reading_on_the_good_side_of_one_limit_is_no_pointer(one: dict[str, float]) -> None:
    place = lay(one.get("low"), one.get("high"), one["value"])
    assert place.beyond is None
    assert place.value is not None
    assert place.value < place.high if place.high is not None else place.value > (place.low or 0)

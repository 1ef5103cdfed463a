"""On random entries no sheet shows a window whose lower end lies over its upper one: a fitter would be told to go from 140 to 80."""

from __future__ import annotations

import random
from typing import Any

from shaftside import calc

TRIES = 400


def entry(spec: dict[str, Any], dice: random.Random) -> Any:
    """Something the input takes; small figures more often than large ones."""
    if spec["kind"] == "word":
        return dice.choice(spec["choices"])["word"]
    if spec["kind"] == "yesno":
        return dice.random() < 0.5
    low = spec.get("least", 0.0)
    one = lambda: low + (spec.get("most", low + 1) - low) * dice.random() ** 4  # noqa: E731
    if "list" in spec:
        return [one() for _ in range(spec["list"]["least"])]
    return float(round(one())) if spec["kind"] == "count" else one()


def test_no_window_runs_backwards(program: dict[str, Any]) -> None:
    seed = 20261126
    dice = random.Random(seed)
    for name, sheet in program["sheets"].items():
        for _ in range(TRIES):
            values = {spec["name"]: entry(spec, dice) for spec in sheet["inputs"] if "optional" not in spec or dice.random() < 0.65}
            result = calc.evaluate(program, name, values)
            for window in result["windows"]:
                low, high = window.get("low"), window.get("high")
                assert low is None or high is None or low <= high + 1e-9, (seed, name, window["name"], values)

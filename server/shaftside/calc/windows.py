"""Judging: where a value stands against its limits, in whole steps of its kind. `web/windows.js` is the same."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from shaftside.calc.functions import steps

# where each position stands in the order of VERDICTS
WINDOW_RANK = {"cannot_tell": 2, "over": 3, "under": 4, "not_yet": 5, "inside": 7}


def judge_window(spec: Mapping[str, Any], v: Mapping[str, Any]) -> dict[str, Any] | None:
    """Where a value stands against its limits; None where a limit is not known. A value not given leaves it `open`.

    An instrument coarser than the window cannot tell, unless the reading stands a full step outside.
    """
    out: dict[str, Any] = {"name": spec["name"]}
    for key in ("value", "low", "high", "resolution", "never_below", "never_above"):
        out[key] = v.get(spec[key]) if key in spec else None
    if ("low" in spec and out["low"] is None) or ("high" in spec and out["high"] is None):
        return None
    if out["value"] is None:
        out["position"] = "open"
        return out
    per = spec["per"]
    value = steps(out["value"], per)
    low = steps(out["low"], per) if "low" in spec else None
    high = steps(out["high"], per) if "high" in spec else None
    step = steps(out["resolution"], per) if out["resolution"] is not None else 0
    if low is not None and high is not None and step > high - low and low - step < value < high + step:
        position = "cannot_tell"
    elif high is not None and value > high:
        position = "not_yet" if spec["approach"] == "falling" else "over"
    elif low is not None and value < low:
        position = "not_yet" if spec["approach"] == "rising" else "under"
    else:
        position = "inside"
    below = out["never_below"] is not None and value < steps(out["never_below"], per)
    above = out["never_above"] is not None and value > steps(out["never_above"], per)
    if below or above:
        position, out["never"] = "under" if below else "over", True
    out["position"] = position
    return out

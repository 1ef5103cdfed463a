"""Every edge of every range table, with one whole step to either side: for Python, Node and HTTP alike."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Edge:
    """A table, a value column, the keys to ask with, and whether a row must be found (boundary rule, by hand below)."""

    table: str
    column: str
    keys: tuple[Any, ...]
    row: int | None


def edges(program: dict[str, Any]) -> Iterator[Edge]:
    """All edges. Which row an edge belongs to is worked out here in integers, apart from the evaluators' code."""
    for name, table in program["tables"].items():
        at = next((n for n, key in enumerate(table["keys"]) if key["match"] == "range"), None)
        if at is None:
            continue
        spec = table["keys"][at]
        per, column = spec["per"], next(iter(table["values"]))
        groups: dict[tuple[Any, ...], list[int]] = {}
        for n, row in enumerate(table["rows"]):
            groups.setdefault(tuple(k for i, k in enumerate(row["keys"]) if i != at), []).append(n)
        for words, members in groups.items():
            spans = [(round(table["rows"][n]["keys"][at][0] * per), round(table["rows"][n]["keys"][at][1] * per), n) for n in members]
            for point in sorted({end + shift for low, high, _ in spans for end in (low, high) for shift in (-1, 0, 1)}):
                found = None
                for place, (low, high, n) in enumerate(spans):
                    above = point >= low if spec["includes"] == "lower" or (spec["lower_too"] and place == 0) else point > low
                    below = point < high if spec["includes"] == "lower" else point <= high
                    if found is None and above and below:
                        found = n
                keys = list(words)
                keys.insert(at, point / per)
                assert math.isclose(keys[at] * per, point, abs_tol=1e-3)
                yield Edge(name, column, tuple(keys), found)

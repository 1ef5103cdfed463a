"""Every table edge one step to either side, through Python and Node, against the rule worked out in whole steps."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from edges import edges

from shaftside.calc.evaluator import Refuse, build


def _expr(edge: Any) -> list[Any]:
    return ["lookup", edge.table, edge.column, [["word", key] if isinstance(key, str) else ["num", key] for key in edge.keys]]


def _want(program: dict[str, Any], edge: Any) -> dict[str, Any]:
    if edge.row is None:
        return {"refused": "outside_table"}
    value = program["tables"][edge.table]["rows"][edge.row]["values"].get(edge.column)
    return {"refused": "no_entry"} if value is None else {"got": value}


def test_python(program: dict[str, Any]) -> None:
    seen = 0
    for edge in edges(program):
        try:
            got = {"got": build(_expr(edge), program)({})}
        except Refuse as error:
            got = {"refused": error.code}
        assert got == _want(program, edge), edge
        seen += 1
    assert seen > 500


@pytest.mark.node
def test_node(program: dict[str, Any], phone: Callable[..., Any]) -> None:
    for edge in edges(program):
        assert phone("expr", expr=_expr(edge), values={}) == _want(program, edge), edge

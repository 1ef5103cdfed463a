"""A sheet run over the rows of a table, and the rows put in order: advice side by side. `web/rows.js` is the same.

Places are decided in whole steps, criterion by criterion; rows equal in all of them share a place and keep the table's
order. A criterion that is not given ranks after one that is. A row with no criterion given, or whose lines refuse, has
no place: it stands last with its reason, and the sheet goes on.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from shaftside.calc.functions import Refuse, steps
from shaftside.calc.walking import Walk, build, build_all, build_tuple

_PLACED, _OPEN, _REFUSED = 0, 1, 2


_FAULTS = (Refuse, ZeroDivisionError, OverflowError, ValueError)  # what `build` turns into a refusal


def _spoke(walk: Walk, scope: dict[str, Any]) -> bool | None:
    try:
        spoke: bool | None = walk(scope)
    except Refuse:
        return None
    return spoke


class Section:
    """One `over` section of a sheet, its expressions built."""

    def __init__(self, spec: Mapping[str, Any], program: Mapping[str, Any]) -> None:
        self.name = spec["name"]
        self.row = spec["row"]["name"]
        self.keys = [row["keys"][0] for row in program["tables"][spec["table"]]["rows"]]
        self.when = build(spec["when"], program, bound=True) if "when" in spec else None
        self.lines = [(line["name"], build(line["expr"], program, line=True, bound=True)) for line in spec["lines"]]
        self.checks = [(check["name"], check["level"], build(check["when"], program, bound=True)) for check in spec["checks"]]
        # the same at once, for rows in which nothing refuses: most of them
        self.lines_at_once = build_all([(line["name"], line["expr"]) for line in spec["lines"]], program)
        self.checks_at_once = build_tuple([check["when"] for check in spec["checks"]], program)
        self.rank = [(one["by"], one["first"], one.get("per")) for one in spec["rank"]]
        self.first = spec["first"]["name"] if "first" in spec else None
        self.count = spec["count"]["name"]

    def nothing(self, v: dict[str, Any]) -> None:
        """The section's own names, where the sheet refused before its rows."""
        if self.first is not None:
            v[self.first] = None
        v[self.count] = None

    def run(self, v: dict[str, Any]) -> dict[str, Any]:
        """{name, rows} in ranked order; binds `NAME_first` and `NAME_count` in `v`, and nothing else there."""
        found = [one for key in self.keys if (one := self._row(key, v)) is not None]
        found.sort(key=lambda one: one[0])
        rows: list[dict[str, Any]] = []
        for at, (order, row) in enumerate(found):
            if order[0] == _PLACED:
                row["place"] = rows[-1]["place"] if at and found[at - 1][0] == order else at + 1
            rows.append(row)
        if self.first is not None:
            v[self.first] = rows[0]["key"] if rows and rows[0]["place"] == 1 else None
        v[self.count] = float(len(rows))
        return {"name": self.name, "rows": rows}

    def _row(self, key: str, v: Mapping[str, Any]) -> tuple[tuple[Any, ...], dict[str, Any]] | None:
        """(what it is sorted by, the row), or None where it takes no part."""
        scope = dict(v)
        scope[self.row] = key
        values: dict[str, Any] = {}
        row: dict[str, Any] = {"key": key, "place": None, "values": values, "checks": [], "not_evaluated": [], "refusal": None}
        if self.when is not None:
            try:
                if self.when(scope) is False:
                    return None
            except Refuse as fault:
                row["refusal"] = {"code": fault.code, "where": self.name, "detail": dict(fault.detail)}
        try:
            self.lines_at_once(scope)
            for name, _ in self.lines:
                values[name] = scope[name]
        except _FAULTS:
            self._line_by_line(scope, row)
        try:
            spoken = self.checks_at_once(scope)
        except _FAULTS:
            spoken = [_spoke(walk, scope) for _, _, walk in self.checks]
        for (name, level, _), spoke in zip(self.checks, spoken, strict=True):
            if spoke is None:
                row["not_evaluated"].append(name)
            elif spoke:
                row["checks"].append({"name": name, "level": level})
        return self._order(row), row

    def _line_by_line(self, scope: dict[str, Any], row: dict[str, Any]) -> None:
        """Where a line refuses: it has no value, the first says why, the others go on."""
        for name, walk in self.lines:
            try:
                value = walk(scope)
            except Refuse as fault:
                value = None
                row["refusal"] = row["refusal"] or {"code": fault.code, "where": name, "detail": dict(fault.detail)}
            scope[name] = row["values"][name] = value

    def _order(self, row: dict[str, Any]) -> tuple[Any, ...]:
        if row["refusal"] is not None:
            return (_REFUSED,)
        parts = []
        for by, first, per in self.rank:
            value = row["values"][by]
            if value is None:
                parts.append((1, 0))
            elif per is None:
                parts.append((0, 0 if value is (first == "yes") else 1))
            else:
                try:
                    whole = steps(value, per)
                except Refuse as fault:
                    row["refusal"] = {"code": fault.code, "where": by, "detail": {}}
                    return (_REFUSED,)
                parts.append((0, whole if first == "least" else -whole))
        return (_PLACED, tuple(parts)) if any(part[0] == 0 for part in parts) else (_OPEN,)

"""Tables: a passport (YAML) and its rows (CSV), checked and turned into SI rows with exact boundary steps."""

from __future__ import annotations

import csv
import math
import re
from decimal import Decimal
from itertools import pairwise
from pathlib import Path
from typing import Any

from shaftside.calc import dimension as dim
from shaftside.calc import strict_yaml
from shaftside.calc.dimension import Num, Type, Word, YesNo
from shaftside.calc.expression import TableShape
from shaftside.calc.problems import Problems
from shaftside.calc.reader import Reader
from shaftside.calc.registry import measures
from shaftside.calc.units import KINDS, UNITS

_DECIMAL = re.compile(r"-?[0-9]+(\.[0-9]+)?\Z")
_QUANTITY_KINDS = tuple(KINDS)


def steps(value: float, per: float) -> int:
    """A value in whole steps of its kind: the only way limits are compared."""
    return math.floor(value * per + 0.5)


def load_table(passport: Path, problems: Problems, file: str, csv_file: str) -> dict[str, Any] | None:
    """Compile one table; None (with problems noted) when it cannot be used."""
    before = len(problems.found)
    document = strict_yaml.read(passport, file)
    top = Reader(document, problems)
    name = top.name("table")
    if name is not None and name != passport.stem:
        top.fault(f"the table is called {name!r} but its file {passport.name!r}", "table")
    table: dict[str, Any] = {
        "title": top.words("title") or {},
        "source": top.source("source") or {},
        "note": top.words("note", optional=True),
        "keys": [],
        "values": {},
    }
    keys = top.items("keys")
    table["keys"] = [_key(one) for one in keys]
    if not table["keys"]:
        top.fault("a table needs at least one key", "keys")
    values = top.inner("values")
    columns: dict[str, dict[str, Any]] = {}
    if values is not None:
        for column in values:
            inner = values.inner(column)
            if inner is not None:
                columns[column] = _column(inner)
    certainty = top.inner("certainty", optional=True)
    basis = certainty.string("column") if certainty else None
    if certainty:
        certainty.done()
    gaps = top.choice("gaps", ["allowed"], optional=True) is not None
    top.done()
    if len(problems.found) > before:
        return None
    table["values"] = {column: {k: v for k, v in one.items() if k != "csv"} for column, one in columns.items()}
    _rows(passport.with_suffix(".csv"), table, columns, basis, gaps, problems, csv_file)
    for at, one in enumerate(keys):
        if one.has("labels") and "rows" in table:
            _labels(one, table["keys"][at]["labels"], dict.fromkeys(row["keys"][at] for row in table["rows"]))
    return table if len(problems.found) == before else None


def _labels(one: Reader, labels: dict[str, Any], words: dict[str, None]) -> None:
    """Labels for every word of the key's column, and for no other."""
    strange, silent = [word for word in labels if word not in words], [word for word in words if word not in labels]
    if strange:
        one.fault(f"{one.said}: labels: the table has no {', '.join(strange)}", "labels")
    if silent:
        one.fault(f"{one.said}: labels: {', '.join(silent)} has none", "labels")


def _key(one: Reader) -> dict[str, Any]:
    match = one.choice("match", ["word", "range"])
    out: dict[str, Any] = {"match": match}
    if match == "word":
        out["column"] = out["name"] = one.string("column") or ""
        labels = one.inner("labels", optional=True)
        if labels is not None:
            out["labels"] = {word: labels.words(word) for word in labels}
    elif match == "range":
        out["over"], out["up_to"] = one.string("over") or "", one.string("up_to") or ""
        kind = one.choice("kind", _QUANTITY_KINDS) or "length"
        out["kind"], out["name"] = kind, kind
        out["unit"] = _unit(one, kind)
        out["includes"] = one.choice("includes", ["upper", "lower"]) or "upper"
        out["lower_too"] = one.yes("lower_too")
        out["per"] = KINDS[kind].per
    one.done()
    return out


def _unit(one: Reader, kind: str) -> str:
    unit = one.choice("unit", UNITS)
    if unit is not None and kind not in UNITS[unit].kinds:
        one.fault(f"{one.said}: {unit} is not a unit of {kind.replace('_', ' ')}", "unit")
    return unit or KINDS[kind].unit


def _column(one: Reader) -> dict[str, Any]:
    out: dict[str, Any] = {"csv": one.string("column") or ""}
    kind = one.choice("kind", [*_QUANTITY_KINDS, "word", "yesno"]) or "word"
    out["kind"] = kind
    if kind not in ("word", "yesno"):
        out["unit"] = _unit(one, kind)
    one.done()
    return out


def _rows(path: Path, table: dict[str, Any], columns: dict[str, dict[str, Any]], basis: str | None, gaps: bool, problems: Problems, file: str) -> None:
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        problems.add(file, 0, f"cannot be read: {error}")
        return
    reader = csv.reader(text.splitlines(), strict=True)
    try:
        header = next(reader, [])
        wanted = [k[part] for k in table["keys"] for part in (("column",) if k["match"] == "word" else ("over", "up_to"))]
        wanted += [one["csv"] for one in columns.values()] + ([basis] if basis else [])
        missing = [one for one in wanted if one not in header]
        if missing or len(set(header)) != len(header):
            problems.add(file, 1, f"the first row lacks {', '.join(missing)}" if missing else "a column stands twice in the first row")
            return
        rows: list[dict[str, Any]] = []
        for cells in reader:
            if not cells:
                continue
            if len(cells) != len(header):
                problems.add(file, reader.line_num, f"has {len(cells)} cells, not {len(header)}")
                continue
            row = _row(dict(zip(header, cells, strict=True)), table, columns, basis, problems, file, reader.line_num)
            if row is not None:
                rows.append(row)
    except csv.Error as error:
        problems.add(file, reader.line_num, f"is not CSV: {error}")
        return
    if not rows:
        problems.add(file, 1, "has no rows")
    _check_order(rows, table, gaps, problems, file)
    # the program carries the rows without their line numbers
    table["rows"] = [{k: v for k, v in row.items() if k != "line"} for row in rows]


def _row(cells: dict[str, str], table: dict[str, Any], columns: dict[str, dict[str, Any]], basis: str | None, problems: Problems, file: str, line: int) -> dict[str, Any] | None:
    keys: list[Any] = []
    ok = True
    for key in table["keys"]:
        if key["match"] == "word":
            word = cells[key["column"]].strip()
            if not word:
                problems.add(file, line, f"the key {key['column']!r} is empty")
                ok = False
            keys.append(word)
            continue
        ends = [_number(cells[key[part]], key["unit"], problems, file, line, key[part]) for part in ("over", "up_to")]
        if ends[0] is None or ends[1] is None:
            if not any(one.line == line for one in problems.found if one.file == file):
                problems.add(file, line, "both ends of a range must be given")
            ok = False
            continue
        if steps(ends[0], key["per"]) >= steps(ends[1], key["per"]):
            problems.add(file, line, f"the range runs from {cells[key['over']]} to {cells[key['up_to']]}: it is empty")
            ok = False
        keys.append([ends[0], ends[1]])
    values: dict[str, Any] = {}
    for name, column in columns.items():
        cell = cells[column["csv"]].strip()
        if cell == "":
            continue  # an empty cell is a figure the table does not have
        if column["kind"] == "word":
            values[name] = cell
        elif column["kind"] == "yesno":
            if cell not in ("yes", "no"):
                problems.add(file, line, f"{column['csv']}: {cell!r} is neither yes nor no")
            values[name] = cell == "yes"
        else:
            values[name] = _number(cell, column["unit"], problems, file, line, column["csv"])
    out: dict[str, Any] = {"keys": keys, "values": values, "line": line}
    if basis and cells[basis].strip():
        out["basis"] = cells[basis].strip()
    return out if ok else None


def _number(cell: str, unit: str, problems: Problems, file: str, line: int, column: str) -> float | None:
    text = cell.strip()
    if not _DECIMAL.match(text):
        problems.add(file, line, f"{column}: {text!r} is not a plain decimal number" if text else f"{column}: is empty")
        return None
    got = measures()[unit]
    # multiplied as decimals and rounded once: 15 um is 1.5e-05 m, not 1.4999999999999999e-05
    return float(Decimal(text) * Decimal(repr(got.factor)) + Decimal(repr(got.zero)))


def _check_order(rows: list[dict[str, Any]], table: dict[str, Any], gaps: bool, problems: Problems, file: str) -> None:
    ranged = [at for at, key in enumerate(table["keys"]) if key["match"] == "range"]
    groups: dict[tuple[str, ...], list[dict[str, Any]]] = {}
    for row in rows:
        groups.setdefault(tuple(k for k in row["keys"] if isinstance(k, str)), []).append(row)
    for words, members in groups.items():
        said = f" for {', '.join(words)}" if words else ""
        if not ranged:
            if len(members) > 1:
                problems.add(file, members[1]["line"], f"a second row{said}: the first is line {members[0]['line']}")
            continue
        if len(ranged) > 1:
            problems.add(file, members[0]["line"], "a table has one range key at most")
            return
        at, per = ranged[0], table["keys"][ranged[0]]["per"]
        for before, after in pairwise(members):
            end, start = steps(before["keys"][at][1], per), steps(after["keys"][at][0], per)
            if start < end:
                problems.add(file, after["line"], f"overlaps the row before it{said}, or stands out of order")
            elif start > end and not gaps:
                problems.add(file, after["line"], f"leaves a gap after the row before it{said} (write `gaps: allowed` in the passport if that is so)")


def shape(table: dict[str, Any]) -> TableShape:
    """What expressions may ask of a compiled table."""
    keys: list[tuple[str, Type]] = []
    for at, key in enumerate(table["keys"]):
        if key["match"] == "word":
            keys.append((key["name"], Word(frozenset(row["keys"][at] for row in table["rows"]))))
        else:
            keys.append((key["name"], dim.of_kind(key["kind"])))
    columns: dict[str, Type] = {}
    for name, column in table["values"].items():
        if column["kind"] == "word":
            columns[name] = Word(frozenset(row["values"][name] for row in table["rows"] if name in row["values"]))
        elif column["kind"] == "yesno":
            columns[name] = YesNo()
        else:
            made = dim.of_kind(column["kind"])
            columns[name] = Num(made.dim, made.kind)
    return TableShape(tuple(keys), columns)

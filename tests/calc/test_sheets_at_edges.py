"""Every sheet at every edge of every table it looks things up in by a measured size, one step to either side.

The same typed text goes through Python, Node and HTTP; all three give the same whole result, and lines that are a plain
look-up give the row worked out in whole steps by edges.py, or the refusal.
"""

from __future__ import annotations

import json
import math
import shutil
import subprocess
from collections import Counter
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from edges import Edge, edges
from fastapi.testclient import TestClient

from shaftside import calc
from shaftside.app import Rooms, create_app
from shaftside.settings import Settings

HTTP_EVERY = 9  # over HTTP the same evaluator answers: a share shows that nothing is lost on the way; 9 meets every table
TWIN = Path(__file__).resolve().parents[1] / "web" / "calc_twin.mjs"
# what a sheet needs beside the size and the words an edge brings with it
BESIDE: dict[str, dict[str, Any]] = {
    "shaft_fit": {"shaft_system": {"word": "metric"}, "locking_method": {"word": "ring_set_screws"}},
    "taper_drive_up": {
        "bearing_type": {"word": "spherical_roller"}, "taper": {"word": "one_in_12"}, "seat": {"word": "sleeve"},
        "clearance_class": {"word": "CN"},
    },
    "warming": {"greased": {"yes": False}, "shaft_temperature": {"typed": "20", "unit": "degC"}},
    "insert_sleeve_seating": {"maker_gives": {"word": "angle"}, "zero": {"word": "hand_tight"}},
    "taper_seat": {
        "bearing_type": {"word": "spherical_roller"}, "outer": {"typed": "4000", "unit": "mm"}, "taper": {"word": "one_in_12"},
        "seat": {"word": "sleeve"}, "finish": {"word": "ground"}, "travel": {"typed": "1", "unit": "mm"},
        "raceway_given": {"typed": "2900", "unit": "mm"},
    },
    "lock_washer": {"taper": {"word": "one_in_12"}, "tabs_counted": {"typed": "19", "unit": "1"}},
    "clearance_check": {
        "bearing": {"word": "spherical_roller"}, "bore_kind": {"word": "tapered"}, "clearance_class": {"word": "CN"},
    },
    "method_choice": {
        "shaft_system": {"word": "metric"}, "load": {"word": "light"}, "shock": {"yes": False}, "reversing": {"yes": False},
        "speed": {"typed": "900", "unit": "r/min"}, "grade": {"word": "G 6.3"}, "bearing_type": {"word": "insert_ball"}, "removed": {"word": "seldom"},
    },
    "offset_vibration": {
        "locking_method": {"word": "cam_collar"}, "speed": {"typed": "1500", "unit": "r/min"}, "grade": {"word": "G 6.3"},
        "tolerance_class": {"word": "h7"},
    },
}  # fmt: skip
def lookups(expr: Any) -> Iterator[list[Any]]:
    """Every look-up anywhere in an expression."""
    if isinstance(expr, list):
        if len(expr) == 4 and expr[0] in ("lookup", "has"):
            yield expr
        for one in expr:
            yield from lookups(one)


def cases(program: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any], Edge]]:
    """Sheet, entries, edge."""
    by_table: dict[str, list[Edge]] = {}
    for edge in edges(program):
        by_table.setdefault(edge.table, []).append(edge)
    for name, sheet in program["sheets"].items():
        inputs = {spec["name"]: spec for spec in sheet["inputs"]}
        asked = {json.dumps([e[1], e[3]]) for line in sheet["lines"] for e in lookups(line.get("expr"))}
        for table, keys in map(json.loads, sorted(asked)):
            if any(covers(table, keys, *json.loads(other)) for other in asked):
                continue
            for edge in by_table.get(table, []):
                entries = entries_of(program, inputs, keys, edge)
                if entries is not None:
                    yield name, BESIDE[name] | entries, edge


def covers(table: str, keys: list[Any], wider: str, by: list[Any]) -> bool:
    """Whether another look-up of the sheet asks the same with an input where this one has a fixed word."""
    same = all(k == b or (k[0] == "word" and b[0] == "get") for k, b in zip(keys, by, strict=False))
    return table == wider and keys != by and same


def entries_of(
    program: dict[str, Any], inputs: dict[str, Any], keys: list[Any], edge: Edge
) -> dict[str, Any] | None:
    """The entries that ask a table at an edge; None where this sheet cannot ask that."""
    out: dict[str, Any] = {"shaft_system": {"word": "inch"}} if edge.table == "shaft_limits_inch" else {}
    for part, key in zip(keys, edge.keys, strict=True):
        if part[0] == "word":
            if part[1] != key:
                return None
            continue
        spec = inputs.get(part[1])
        if spec is None:  # a line of the sheet: asked through the words that lead to it
            if part[1] != "tolerance_class":
                return None
            led = [
                row["keys"]
                for row in program["tables"]["shaft_class"]["rows"]
                if row["values"]["tolerance_class"] == key
            ]
            if not led:
                return None  # a class of the standard that no locking method asks for
            out |= {
                "locking_method": {"word": led[0][0]},
                "load": {"word": led[0][1]},
                "high_speed": {"yes": led[0][2] == "yes"},
            }
            continue
        if isinstance(key, str):
            if key not in [one["word"] for one in spec["choices"]]:
                return None
            out[spec["name"]] = {"word": key}
            continue
        per = round(program["kinds"][spec["kind"]]["per"])
        point = round(key * per)
        if not round(spec["least"] * per) <= point <= round(spec["most"] * per):
            return None  # bad input there, with its own range
        out[spec["name"]] = {"typed": f"{Decimal(point) * 1000 / per:f}", "unit": "mm"}
    return out


@pytest.fixture(scope="module")
def http(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    settings = Settings(data=tmp_path_factory.mktemp("edges"), database=None)
    rooms = Rooms(settings)
    with TestClient(create_app(settings, rooms), base_url="http://127.0.0.1") as client:
        yield client
    rooms.close()


def in_python(program: dict[str, Any], sheet: str, entries: dict[str, Any]) -> dict[str, Any]:
    values, problems = calc.read_inputs(program, sheet, entries)
    assert problems == [], (sheet, entries)
    out: dict[str, Any] = json.loads(json.dumps(calc.evaluate(program, sheet, values)))
    return out


def in_node(program: dict[str, Any], asked: list[tuple[str, dict[str, Any]]]) -> list[dict[str, Any]]:
    told = [
        {"sheet": sheet, "entries": entries, "makers": {}, "system": "metric"} for sheet, entries in asked
    ]
    run = subprocess.run(
        ["node", str(TWIN)], input=json.dumps({"program": program, "cases": told}),
        capture_output=True, text=True, encoding="utf-8", check=True,
    )  # fmt: skip
    return [one["result"] for one in json.loads(run.stdout)]


def over_http(http: TestClient, sheet: str, entries: dict[str, Any]) -> dict[str, Any]:
    said = http.post(f"/api/sheets/{sheet}", json={"inputs": entries})
    assert said.status_code == 200, (sheet, entries, said.text)
    out: dict[str, Any] = said.json()["result"]
    return out


def agree(
    program: dict[str, Any], http: TestClient, asked: list[tuple[str, dict[str, Any]]]
) -> list[dict[str, Any]]:
    """All three ways give one result; numbers to the last digits."""
    results = [in_python(program, *one) for one in asked]
    phones = in_node(program, asked) if shutil.which("node") else results
    for at, (one, python, phone) in enumerate(zip(asked, results, phones, strict=True)):
        if at % HTTP_EVERY == 0:
            assert over_http(http, *one) == python, one
        assert (phone["verdict"], phone["status"], phone["refusal"], phone["checks"]) == (
            python["verdict"], python["status"], python["refusal"], python["checks"],
        ), one  # fmt: skip
        assert close(phone["values"], python["values"]), one
    return results


def close(a: Any, b: Any) -> bool:
    """Equal, numbers to 1e-12 of each other."""
    if isinstance(a, dict):
        return a.keys() == b.keys() and all(close(a[key], b[key]) for key in a)
    if isinstance(a, list):
        return len(a) == len(b) and all(map(close, a, b))
    if isinstance(a, int | float) and not isinstance(a, bool):
        return isinstance(b, int | float) and math.isclose(a, b, rel_tol=1e-12)
    return bool(a == b)


def test_sizes(program: dict[str, Any], http: TestClient) -> None:
    found = list(cases(program))
    results = agree(program, http, [(sheet, entries) for sheet, entries, _ in found])
    seen: Counter[tuple[str, str]] = Counter()
    for (sheet, entries, edge), result in zip(found, results, strict=True):
        seen[sheet, edge.table] += 1
        for line in program["sheets"][sheet]["lines"]:
            expr = line.get("expr")
            if not expr or expr[0] != "lookup" or expr[1] != edge.table:
                continue
            if any(k[0] == "word" and k[1] != e for k, e in zip(expr[3], edge.keys, strict=True)):
                continue  # another word's row
            held = (
                None
                if edge.row is None
                else program["tables"][edge.table]["rows"][edge.row]["values"].get(expr[2])
            )
            assert result["values"][line["name"]] == held, (sheet, entries, line["name"])
            if held is None:
                assert result["status"] == "refused", (sheet, entries)
    ranged = {
        name
        for name, table in program["tables"].items()
        if any(key["match"] == "range" for key in table["keys"])
    }
    assert ranged - {table for _, table in seen} == {"screw_strength"}, (
        seen
    )  # asked through words: test_words
    assert min(seen.values()) >= 20, seen


def test_words(program: dict[str, Any], http: TestClient) -> None:
    """Tables asked by words alone (and strength by the thread's diameter): every word a sheet offers for a key."""
    asked: list[tuple[str, dict[str, Any]]] = []
    for name, keys in {
        "set_screw_torque": ("screw", "place"), "cam_collar_screw": ("screw",), "shaft_fit": ("locking_method", "load"),
        "clamp_collar_torque": ("cap_screw", "screw_class"), "housing_bolt_torque": ("bolt", "screw_class"),
        "set_screw_hold": ("thread", "point"), "screw_preload": ("thread", "head"),
    }.items():  # fmt: skip
        inputs = {spec["name"]: spec for spec in program["sheets"][name]["inputs"]}
        first = {
            one: {"word": spec["choices"][0]["word"]}
            for one, spec in inputs.items()
            if spec["kind"] == "word" and "optional" not in spec
        }
        if "shaft_d" in inputs:
            first["shaft_d"] = {"typed": "50", "unit": "mm"}
        combos: list[dict[str, Any]] = [first]
        for key in keys:
            combos = [
                one | {key: {"word": choice["word"]}} for one in combos for choice in inputs[key]["choices"]
            ]
        asked += [(name, one) for one in combos]
    results = agree(program, http, asked)
    for name in {one for one, _ in asked}:
        said = {
            json.dumps(result["values"], sort_keys=True)
            for (sheet, _), result in zip(asked, results, strict=True)
            if sheet == name
        }
        assert len(said) > 10, name  # the words make a difference

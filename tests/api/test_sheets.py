"""Calculation sheets over HTTP: the same as in Python, and as the table's own file says at every edge."""

from __future__ import annotations

import csv
import json
from decimal import Decimal
from typing import Any

import pytest
from api_plant import Plant
from fastapi.testclient import TestClient

from shaftside import calc, content

TABLES = content.folder("procedures") / "tables"
ASK = {"seat": "sleeve", "clearance_class": "CN", "taper": "one_in_12"}
STEP = Decimal("0.001")


def rows(table: str) -> list[dict[str, str]]:
    with (TABLES / f"{table}.csv").open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def edges() -> list[tuple[str, str]]:
    """Every bore at an edge of the drive-up table and one micrometre to either side."""
    found = set()
    for row in rows("taper_drive_up"):
        for edge in (row["over_mm"], row["up_to_mm"]):
            for bore in (Decimal(edge) - STEP, Decimal(edge), Decimal(edge) + STEP):
                if bore >= 5:  # smaller ones are bad input, not outside the table
                    found.add((row["bearing"], str(bore)))
    return sorted(found)


def test_the_drive_up_table_at_every_edge_as_its_file_says(plant: Plant, nobody: TestClient) -> None:
    """The file is read here by its rule (over, up to and including) with decimals, apart from the program."""
    program = plant.rooms.handbooks.current.data["calc"]
    assert len(edges()) > 60
    done = refused = 0
    for bearing, bore in edges():
        inputs = {**ASK, "bearing_type": bearing, "bore": f"{bore} mm"}
        said = nobody.post("/api/sheets/taper_drive_up", json={"inputs": inputs})
        assert said.status_code == 200, (inputs, said.text)
        result = said.json()["result"]
        specs = {one["name"]: one for one in program["sheets"]["taper_drive_up"]["inputs"]}
        entries = {name: calc.entry_of(program, specs[name], text) for name, text in inputs.items()}
        values, problems = calc.read_inputs(program, "taper_drive_up", entries)
        assert problems == []
        assert result == json.loads(json.dumps(calc.evaluate(program, "taper_drive_up", values)))
        held = [
            row
            for row in rows("taper_drive_up")
            if row["bearing"] == bearing
            and Decimal(row["over_mm"]) < Decimal(bore) <= Decimal(row["up_to_mm"])
        ]
        figure = held[0]["reduction_least_mm"] if held else ""
        if figure:
            assert result["values"]["reduction_least"] * 1000 == pytest.approx(float(figure), rel=1e-12), (
                bearing,
                bore,
            )
            done += 1
        else:
            assert result["status"] == "refused", (bearing, bore)
            assert "covers" in said.json()["refusal"] or "no " in said.json()["refusal"]
            refused += 1
    assert done > 40
    assert refused >= 4


def test_every_sheet_is_listed_and_shown(nobody: TestClient) -> None:
    listed = nobody.get("/api/sheets").json()
    names = {path.stem for path in (TABLES.parent / "sheets").glob("*.yaml")}
    assert {one["sheet"] for one in listed} == names
    for one in listed:
        assert one["title"]["en"]
        assert all(field["label"]["en"] for field in one["inputs"])
        assert nobody.get(f"/api/sheets/{one['sheet']}").json()["lines"]


@pytest.mark.parametrize(
    ("bore", "code", "part"),
    [
        ("1e3 mm", "bad_input", "exponent"),
        ("100", "bad_input", "unit"),
        ("1-15/0 in", "bad_input", ""),
        ("4 km", "bad_input", ""),
        ("", "bad_input", "Nothing"),
        ("5000 mm", "bad_input", "1000"),
        ({"typed": "abc", "unit": "mm"}, "bad_input", "abc"),
        ({"typed": 5, "unit": "mm"}, "bad_input", ""),
        ({"wrong": "shape"}, "bad_input", ""),
        ([1, 2], "bad_input", ""),
        (5, "bad_input", ""),
        ("\ud800 mm", "bad_input", ""),
        ("9" * 5000 + " mm", "bad_input", ""),
        ("1/" + "3" * 400 + " mm", "bad_input", ""),
    ],
)
def test_bad_input_is_a_sentence_by_its_field(nobody: TestClient, bore: Any, code: str, part: str) -> None:
    inputs = {**ASK, "bearing_type": "spherical_roller", "bore": bore}
    said = nobody.post(
        "/api/sheets/taper_drive_up",
        content=json.dumps({"inputs": inputs}),
        headers={"content-type": "application/json"},
    )
    assert said.status_code == 422, said.text
    error = said.json()["error"]
    assert (error["code"], error["field"]) == (code, "bore")
    assert part in error["message"]
    assert error["expects"]


def test_an_input_or_sheet_that_is_not_there(nobody: TestClient) -> None:
    said = nobody.post("/api/sheets/taper_drive_up", json={"inputs": {"color": "red"}})
    assert (said.status_code, said.json()["error"]["code"]) == (422, "unknown_input")
    assert "bearing_type" in said.json()["error"]["expects"]
    lost = nobody.get("/api/sheets/nothing")
    assert (lost.status_code, lost.json()["error"]["code"]) == (404, "no_such_sheet")


def test_the_working_names_a_source_on_every_row(nobody: TestClient) -> None:
    inputs = {**ASK, "bearing_type": "spherical_roller", "bore": "100 mm"}
    told = nobody.post("/api/sheets/taper_drive_up", json={"inputs": inputs}).json()
    assert told["cautions"]
    assert told["working"]
    for row in told["working"]:
        assert row["source"], row
        assert row["certainty"] in {
            "standard",
            "secondary",
            "memory",
            "common_practice",
            "derived",
            "maker",
        }, row


def test_the_handbook_is_the_very_bytes_its_hash_is_of(plant: Plant, nobody: TestClient) -> None:
    import hashlib

    said = nobody.get("/api/handbook")
    hash_ = hashlib.sha256(said.content).hexdigest()
    assert said.headers["x-handbook"] == hash_ == plant.rooms.handbooks.current.hash
    assert said.headers["content-encoding"] in ("br", "gzip")
    by_hash = nobody.get(f"/api/handbook/{hash_}")
    assert by_hash.content == said.content
    assert "immutable" in by_hash.headers["cache-control"]
    assert nobody.get("/api/handbook", headers={"if-none-match": said.headers["etag"]}).status_code == 304
    plain = nobody.get("/api/handbook", headers={"accept-encoding": "identity"})
    assert "content-encoding" not in plain.headers
    assert plain.content == said.content

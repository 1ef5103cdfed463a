"""Over HTTP: a number that looks like a slip of the unit is asked about, and out of range says what it would fit."""

from __future__ import annotations

from fastapi.testclient import TestClient

SCREW = {"screw": "M8", "place": "ring"}


def test_a_torque_twelve_times_off_asks(nobody: TestClient) -> None:
    # 120 lbf.in is 13.6 N.m, beside the 13.5 N.m that set-screw tables print for M8 (common practice, no source)
    said = nobody.post("/api/sheets/set_screw_torque", json={"inputs": {**SCREW, "set_to": "120 lbf.ft"}})
    assert said.status_code == 200
    (one,) = said.json()["asks"]
    assert (one["input"], one["typed"], one["unit"], one["meant_unit"], one["factor"]) == (
        "set_to",
        "120",
        "lbf.ft",
        "lbf.in",
        12.0,
    )
    assert "12 times" in one["say"]
    right = nobody.post("/api/sheets/set_screw_torque", json={"inputs": {**SCREW, "set_to": "120 lbf.in"}})
    assert right.json()["asks"] == []


def test_a_makers_value_in_the_wrong_unit_asks(nobody: TestClient) -> None:
    said = nobody.post(
        "/api/sheets/set_screw_torque", json={"inputs": SCREW, "maker": {"target": "120 lbf.ft"}}
    )
    assert [one["meant_unit"] for one in said.json()["asks"]] == ["lbf.in"]


def test_out_of_range_names_the_unit_it_would_fit(nobody: TestClient) -> None:
    said = nobody.post("/api/sheets/taper_drive_up", json={"inputs": {"bore": "50 in"}})
    assert said.status_code == 422
    error = said.json()["error"]
    assert error["message"].endswith("Did you mean 50\u00a0mm?")
    assert error["details"][0]["meant"] == "mm"

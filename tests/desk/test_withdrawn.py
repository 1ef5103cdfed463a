"""A record that used a plant's value says that it was withdrawn since; the record itself is not changed."""

from __future__ import annotations

from shaftside.pages.entries import document, makers_shown

USED = {
    "typed": "140", "unit": "N.m", "document": "an invented sheet", "origin": "plant", "plant_value": "v-1", "name": "Lena", "at": "2026-03-01T08:00:00Z",
}  # fmt: skip
PROGRAM = {"units": {"N.m": {"shown": "N·m"}}}
GONE = {"v-1": {"by": "lead", "at": "2026-05-02T09:00:00Z", "reason": "sheet 13 came"}}


def test_a_withdrawn_value_says_so_with_day_and_reason() -> None:
    _, said = document(USED, PROGRAM, GONE)
    assert said.endswith("set by Lena, 2026-03-01. The plant's value was withdrawn since, 2026-05-02: sheet 13 came")
    ((_, _, whole),) = makers_shown({"housing_bolt_torque.target": USED}, PROGRAM, gone=GONE)
    assert "withdrawn since" in whole


def test_what_still_holds_or_is_no_plants_value_says_nothing() -> None:
    assert "withdrawn" not in document(USED, PROGRAM, {})[1]
    assert "withdrawn" not in document(USED | {"plant_value": "v-2"}, PROGRAM, GONE)[1]
    own = {key: one for key, one in USED.items() if key != "plant_value"} | {"origin": "bearing"}
    assert "withdrawn" not in document(own, PROGRAM, GONE)[1]

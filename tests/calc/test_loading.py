"""Malformed content stops with file, line and reason; the real content loads."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from shaftside import calc
from shaftside.calc import strict_yaml

ROOT = Path(__file__).resolve().parents[2]

SHEET = """sheet: tiny
version: 1
title: {en: T}
about: {en: A}
validity: {en: V}
cautions: [{signal: WARNING, text: {en: C}}]
sources:
  s: {text: none, certainty: memory}
inputs:
  - {name: d, label: {en: D}, kind: length, unit: mm, least: 1 mm, most: 9 mm}
lines:
  - {name: area, label: {en: Area}, kind: area, unit: mm2, expr: "pi / 4 * d ** 2", source: s}
checks:
  - {name: big, when: "d > q(5, 'mm')", level: stop, message: {en: "Big: {d}"}}
windows: []
results: [area]
"""


def load(folder: Path, sheet: str) -> calc.Calc:
    (folder / "sheets").mkdir(exist_ok=True)
    (folder / "sheets" / "tiny.yaml").write_text(sheet, encoding="utf-8")
    return calc.load(folder)


def test_the_small_sheet_loads(tmp_path: Path) -> None:
    program = load(tmp_path, SHEET).program
    assert calc.evaluate(program, "tiny", {"d": 0.006})["verdict"] == "stop"
    assert calc.evaluate(program, "tiny", {"d": 0.005})["verdict"] == "none"


@pytest.mark.parametrize(
    ("old", "new", "line", "reason"),
    [
        ("kind: area, unit: mm2", "kind: length, unit: mm", 12, "declared length"),
        ("pi / 4 * d ** 2", "pi / 4 * dd ** 2", 12, "not known here"),
        ("pi / 4 * d ** 2", "d.__class__", 12, "attribute"),
        ("source: s}", "source: z}", 12, "cannot be 'z'"),
        ("unit: mm,", "unit: furlong,", 10, "furlong"),
        ("least: 1 mm", "least: 1 N", 10, "not a number with a unit"),
        ("least: 1 mm", "least: 10 mm", 10, "least is over most"),
        ("level: stop", "level: halt", 14, "cannot be 'halt'"),
        ("{d}", "{e}", 14, "no input or line 'e'"),
        ("d > q(5, 'mm')", "d > 5", 14, "do not go together"),
        ("results: [area]", "results: [aera]", 16, "did you mean 'area'"),
        ("windows: []", "windos: []", 15, "did you mean 'windows'"),
        ("version: 1", "version: 010", 2, "more than one way"),
        ("version: 1", "version: &a 1", 2, "anchors"),
        ("version: 1", "version: !!int 1", 2, "tags"),
        ("version: 1", "version: 1\nversion: 2", 3, "stands twice"),
        ("version: 1", "1: 1", 2, "not a string"),
        ("version: 1", "<<: {a: 1}", 2, "merge"),
        ("sheet: tiny", "sheet: other", 1, "its file"),
        ("cautions: [{signal: WARNING, ", "cautions: [{", 6, "'signal' is missing"),
        ("title: {en: T}", "title: {de: T}", 3, "with en"),
    ],
)
def test_a_malformed_sheet_says_where(tmp_path: Path, old: str, new: str, line: int, reason: str) -> None:
    assert old in SHEET
    with pytest.raises(calc.ContentError) as caught:
        load(tmp_path, SHEET.replace(old, new, 1))
    assert any(one.file == "sheets/tiny.yaml" and one.line == line and reason in one.reason for one in caught.value.problems), str(caught.value)


def test_every_problem_is_told(tmp_path: Path) -> None:
    with pytest.raises(calc.ContentError) as caught:
        load(tmp_path, SHEET.replace("level: stop", "level: halt").replace("[area]", "[aera]"))
    assert len(caught.value.problems) == 2


def test_words_are_words() -> None:
    assert strict_yaml.parse("a: no\nb: yes\nc: 1.5\nd: ''\ne: null\nf: true\n").data == {"a": "no", "b": "yes", "c": 1.5, "d": "", "e": None, "f": True}


@pytest.mark.parametrize("text", ["", "a: *x", "a: 12:30", "a: 0x1F", "a: .inf", "--- 1\n--- 2\n", "? [a]\n: 1", "%YAML 1.1\n---\na: 1", "a: [", "a: 1_000", "[" * 40])
def test_what_yaml_leaves_open_is_refused(text: str) -> None:
    with pytest.raises(calc.ContentError):
        strict_yaml.parse(text)


@pytest.mark.parametrize(
    ("find", "put", "reason"),
    [
        ("spherical_roller,30,40,", "spherical_roller,30,45,", "overlaps"),
        ("spherical_roller,30,40,", "spherical_roller,31,40,", "gap"),
        ("spherical_roller,30,40,", "spherical_roller,40,30,", "it is empty"),
        ("spherical_roller,30,40,0.02,", "spherical_roller,30,40,O.02,", "not a plain decimal"),
        ("spherical_roller,30,40,", "spherical_roller,30,", "cells"),
        ("over_mm", "ober_mm", "lacks over_mm"),
    ],
)
def test_a_malformed_table_says_where(tmp_path: Path, find: str, put: str, reason: str) -> None:
    (tmp_path / "tables").mkdir()
    for end in ("yaml", "csv"):
        shutil.copy(ROOT / f"procedures/tables/taper_drive_up.{end}", tmp_path / "tables")
    path = tmp_path / "tables/taper_drive_up.csv"
    text = path.read_text(encoding="utf-8")
    assert find in text
    path.write_text(text.replace(find, put, 1), encoding="utf-8")
    with pytest.raises(calc.ContentError) as caught:
        calc.load(tmp_path)
    line = 1 + text[: text.index(find)].count("\n")
    assert any(one.file.endswith(".csv") and reason in one.reason and one.line in (line, line + 1) for one in caught.value.problems), str(caught.value)

"""A sheet run over the rows of a table and ranked: by hand, on random programs in Python and Node, and what is refused.

`over/` holds a sheet and two tables made up for this. The order is worked out here a second time, in whole steps and in
integers, apart from the evaluators' code.
"""

from __future__ import annotations

import argparse
import copy
import json
import random
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from phone_process import phone_of

from shaftside import calc
from shaftside.api.sheets import answer
from shaftside.calc import terminal, terminal_rows

FOLDER = Path(__file__).with_name("over")


@pytest.fixture(scope="module")
def made() -> dict[str, Any]:
    return calc.load(FOLDER).program


def section(result: dict[str, Any], name: str = "ways") -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = next(one for one in result["over"] if one["name"] == name)["rows"]
    return found


def placed(result: dict[str, Any]) -> list[tuple[str, int | None]]:
    return [(row["key"], row["place"]) for row in section(result)]


def test_the_order_by_hand(made: dict[str, Any]) -> None:
    # 25 mm are wanted. Those that reach, least to spare first: 25 and 25.0000004 are one whole step of a length (1 nm)
    result = calc.evaluate(made, "pick", {"wanted": 0.0125})
    assert placed(result) == [("twin_a", 1), ("twin_b", 1), ("long", 3), ("short", 4), ("unknown", None), ("nil", None)]
    assert (result["values"]["ways_first"], result["values"]["ways_count"]) == ("twin_a", 6)


def test_a_row_that_refuses_keeps_its_reason_and_the_sheet_goes_on(made: dict[str, Any]) -> None:
    result = calc.evaluate(made, "pick", {"wanted": 0.0125})
    assert result["status"] == "done"
    rows = {row["key"]: row for row in section(result)}
    assert rows["unknown"]["refusal"] == {"code": "no_entry", "where": "reach", "detail": {"table": "ways", "column": "reach", "keys": ["unknown"]}}
    assert rows["unknown"]["not_evaluated"] == ["falls_short"]
    assert rows["nil"]["refusal"]["code"] == "cannot_compute"  # a share of nothing
    assert rows["nil"]["values"]["spare"] == -0.025  # what could be worked out is shown
    assert [one["name"] for one in rows["nil"]["checks"]] == ["falls_short", "hard"]


def test_which_rows_take_part(made: dict[str, Any]) -> None:
    easy = calc.evaluate(made, "pick", {"wanted": 0.0125, "gentle": True})
    assert placed(easy) == [("twin_a", 1), ("short", 2)]
    assert easy["values"]["ways_count"] == 2
    less = calc.evaluate(made, "pick", {"wanted": 0.0125, "gentle": True, "spoilt": "twin_a"})
    assert placed(less) == [("short", 1)]
    # a check of a row never judges the sheet: `short` falls short; the sheet's own check does
    assert easy["verdict"] == "inside"
    assert less["verdict"] == "under"
    assert [one["name"] for one in less["checks"]] == ["few"]


def test_what_a_section_binds_is_known_to_later_sections(made: dict[str, Any]) -> None:
    result = calc.evaluate(made, "pick", {"wanted": 0.0125, "gentle": True})
    assert [(row["key"], row["place"], row["values"]["depth"]) for row in section(result, "colours")] == [("red", None, 0.002), ("blue", None, 0.006)]


def test_nobody_is_first_where_nobody_can_be_ranked(made: dict[str, Any]) -> None:
    program = copy.deepcopy(made)
    for row in program["tables"]["ways"]["rows"]:
        row["values"].pop("reach", None)
    result = calc.evaluate(program, "pick", {"wanted": 0.0125})
    assert result["values"]["ways_first"] is None
    assert {row["place"] for row in section(result)} == {None}
    assert result["status"] == "done"


def test_a_sheet_that_refused_before_its_rows_ranks_nothing(made: dict[str, Any]) -> None:
    result = calc.evaluate(made, "pick", {"wanted": 5.0})
    assert result["refusal"]["code"] == "bad_input"
    assert result["over"] == []
    assert result["values"]["ways_first"] is None


def test_a_late_refusal_reads_the_rows(made: dict[str, Any]) -> None:
    program = copy.deepcopy(made)
    program["tables"]["ways"]["rows"] = program["tables"]["ways"]["rows"][:1]
    result = calc.evaluate(program, "pick", {"wanted": 0.01, "spoilt": "short"})
    assert result["refusal"] == {"code": "not_for_this", "where": "none_found", "detail": {}}
    assert section(result) == []


def test_a_sheet_without_rows_gives_what_it_gave(program: dict[str, Any]) -> None:
    for name, sheet in program["sheets"].items():
        if "over" not in sheet:
            assert "over" not in calc.evaluate(program, name, {}), name


# ---- random programs, both evaluators, and the order worked out a second time ---------------------------------------


def at_random(made: dict[str, Any], dice: random.Random) -> dict[str, Any]:
    """The same sheet over other rows, ranked by other criteria: close values, ties of one step, figures missing."""
    program = copy.deepcopy(made)
    for row in program["tables"]["ways"]["rows"]:
        near = dice.choice([0.025, 0.03, dice.uniform(0, 0.1)])
        row["values"]["reach"] = near + dice.choice([0, 0.4e-9, 0.5e-9, -0.5e-9, 1e-9, 1e-3])
        row["values"]["easy"] = dice.random() < 0.5
        for name in ("reach", "easy"):
            if dice.random() < 0.15:
                del row["values"][name]
    over = program["sheets"]["pick"]["over"][0]
    kinds = {line["name"]: line["kind"] for line in over["lines"]}
    # not given without a refusal: what is asked of an empty input
    over["lines"].append({"name": "maybe", "kind": "yesno", "label": {"en": "Maybe"}, "source": "s", "expr": ["and", ["get", "gentle"], ["get", "meets"]]})
    kinds["maybe"] = "yesno"
    over["rank"] = []
    for name in dice.sample(list(kinds), dice.randint(1, 4)):
        if kinds[name] == "yesno":
            over["rank"].append({"by": name, "first": dice.choice(["yes", "no"])})
        else:
            over["rank"].append({"by": name, "first": dice.choice(["most", "least"]), "per": program["kinds"][kinds[name]]["per"]})
    return program


def second_time(program: dict[str, Any], rows: list[dict[str, Any]]) -> list[tuple[str, int | None]]:
    """Keys and places of the rows, from their values alone. Selection sort over exact fractions, no floats."""
    rank = program["sheets"]["pick"]["over"][0]["rank"]
    order = [row["keys"][0] for row in program["tables"]["ways"]["rows"]]

    def whole(value: Any, one: dict[str, Any]) -> Any:
        if value is None or isinstance(value, bool):
            return value
        # the product and the half are floats in both evaluators; the floor and everything after it is exact here
        return Fraction(value * one["per"] + 0.5).__floor__()

    def beats(a: dict[str, Any], b: dict[str, Any]) -> int:
        for one in rank:
            x, y = whole(a["values"][one["by"]], one), whole(b["values"][one["by"]], one)
            if x == y and (x is None) == (y is None):
                continue
            if x is None or y is None:
                return -1 if x is None else 1
            better = {"yes": x is True, "no": x is False, "most": x > y, "least": x < y}[one["first"]]
            return 1 if better else -1
        return 0

    can = [row for row in rows if row["refusal"] is None and any(row["values"][one["by"]] is not None for one in rank)]
    can.sort(key=lambda row: order.index(row["key"]))
    out: list[tuple[str, int | None]] = []
    ahead = {row["key"]: sum(beats(other, row) > 0 for other in can) for row in can}
    for row in sorted(can, key=lambda row: (ahead[row["key"]], order.index(row["key"]))):
        out.append((row["key"], ahead[row["key"]] + 1))
    rest = [row for row in rows if row not in can]
    rest.sort(key=lambda row: (row["refusal"] is not None, order.index(row["key"])))
    return out + [(row["key"], None) for row in rest]


def test_random_orders_are_those_worked_out_a_second_time(made: dict[str, Any]) -> None:
    dice = random.Random(20261126)
    shared = unplaced = 0
    for _ in range(400):
        program = at_random(made, dice)
        result = calc.evaluate(program, "pick", values_of(dice))
        got = placed(result)
        assert got == second_time(program, section(result)), json.dumps(program["sheets"]["pick"]["over"][0]["rank"])
        numbers = [place for _, place in got if place is not None]
        shared += len(set(numbers)) < len(numbers)
        unplaced += len(numbers) < len(got)
    assert shared > 40
    assert unplaced > 40


def values_of(dice: random.Random) -> dict[str, Any]:
    return {
        "wanted": dice.choice([0.0125, 0.015, dice.uniform(0, 0.05)]),
        "gentle": dice.choice([None, False, True]),
        "spoilt": dice.choice([None, "long", "nil"]),
    }


@pytest.mark.node
def test_the_phone_ranks_alike_to_the_last_bit(made: dict[str, Any]) -> None:
    dice = random.Random(11)
    with phone_of(made) as ask:
        for _ in range(60):
            program = at_random(made, dice)
            ask("program", program=program)
            for _ in range(5):
                values = values_of(dice)
                assert ask("evaluate", sheet="pick", values=values) == calc.evaluate(program, "pick", values), values


# ---- the words of rows ----------------------------------------------------------------------------------------------


def test_a_row_and_a_choice_are_called_by_the_tables_label(made: dict[str, Any]) -> None:
    result = calc.evaluate(made, "pick", {"wanted": 0.02, "spoilt": "twin_b"})
    said = calc.say_check(made, "pick", "long_one", result)
    assert said == "The best is Long way."
    choices = next(one for one in made["sheets"]["pick"]["inputs"] if one["name"] == "spoilt")["choices"]
    assert choices[0] == {"word": "short", "label": {"en": "Short way"}}


def test_rows_in_words(made: dict[str, Any]) -> None:
    result = calc.evaluate(made, "pick", {"wanted": 0.0125})
    ways, colours = calc.over_working(made, "pick", result)
    assert (ways["label"], ways["columns"]) == ("The ways side by side", ["Reach", "To spare", "Reaches"])
    assert [(row["place"], row["label"]) for row in ways["rows"]][:4] == [(1, "First twin"), (1, "Second twin"), (3, "Long way"), (4, "Short way")]
    _, _, _, short, unknown, nil = ways["rows"]
    assert short["cells"] == ["10\u00a0mm", "−15\u00a0mm", "no"]
    assert short["said"] == [{"level": "caution", "message": "Short way is short by its 10\u00a0mm; 25\u00a0mm are wanted."}]
    spare = next(one for one in short["lines"] if one["name"] == "spare")
    assert (spare["formula"], spare["put_in"], spare["shown"]) == ("r − w_2", "10\u00a0mm − 25\u00a0mm", "−15\u00a0mm")
    reach = next(one for one in short["lines"] if one["name"] == "reach")
    assert "Ways to reach, made up for a test" in reach["source"]
    assert unknown["cells"] == ["not given"] * 3
    assert unknown["refusal"] == "Reach: the table “Ways to reach, made up for a test” has no figure for Unknown way."
    assert unknown["lines"] == []
    assert nil["refusal"] == "Share used cannot be computed from these numbers: 25\u00a0mm / 0\u00a0mm."
    assert [row["place"] for row in colours["rows"]] == [None, None]
    assert calc.over_working(made, "pick", calc.evaluate(made, "pick", {})) == []


def test_rows_over_http(made: dict[str, Any]) -> None:
    """The answer's body, made as the route makes it: the rows as they are computed, and in words."""
    said = answer(made, made["sheets"]["pick"], "pick", {"wanted": "12.5 mm"}, {}, "en", "metric")
    assert said["result"]["over"] == calc.evaluate(made, "pick", {"wanted": 0.0125})["over"]
    assert said["over"] == calc.over_working(made, "pick", said["result"])
    assert said["over"][0]["rows"][0]["label"] == "First twin"


def test_rows_in_inches(made: dict[str, Any]) -> None:
    ways = calc.over_working(made, "pick", calc.evaluate(made, "pick", {"wanted": 0.0127}), "en", "inch")[0]
    assert next(row["cells"] for row in ways["rows"] if row["key"] == "long")[1] == "0.5748\u00a0in"  # 40 mm less 2 x 12.7 mm = 14.6 mm = 0.5748 in


def in_terminal(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, width: int, *words: str) -> list[str]:
    monkeypatch.setenv("COLUMNS", str(width))
    parser = argparse.ArgumentParser()
    terminal.add_parsers(parser.add_subparsers(dest="verb"))
    terminal.run(parser.parse_args(["compute", "pick", *words]), calc.load(FOLDER).program)
    return capsys.readouterr().out.replace("\u00a0", " ").splitlines()


def test_the_terminal_shows_places_then_reasons_then_working(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    said = in_terminal(capsys, monkeypatch, 80, "wanted=12.5 mm")
    assert "  Best way: First twin" in said
    at = [said.index(one) for one in ("The ways side by side", "  1  First twin   25 mm      0 mm          yes", "  Short way", "Working: sheet pick, version 1, metric units")]
    assert at == sorted(at)
    assert "  - caution: Short way is short by its 10 mm; 25 mm are wanted." in said
    assert not any(one.startswith("Working of") for one in said)
    assert "  red   6 mm" in said  # a section that does not rank shows no places
    every = in_terminal(capsys, monkeypatch, 80, "wanted=12.5 mm", "--rows")
    at = every.index("Working of Long way")
    assert "      = 40 mm − 25 mm" in every[at : at + 12]


@pytest.mark.parametrize("width", [60, 72, 110])
def test_rows_fit_the_terminal(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, width: int) -> None:
    assert max(map(len, in_terminal(capsys, monkeypatch, width, "wanted=12.5 mm", "--rows"))) <= width
    wide = {"columns": ["A column with a long name"] * 6, "label": "", "rows": [{"label": "A row", "place": 1, "cells": ["0.0001234 mm"] * 6}]}
    said = terminal_rows.side_by_side(wide, width)
    assert max(map(len, said)) <= width
    assert " ".join(said).count("0.0001234") == 6


# ---- what does not load ---------------------------------------------------------------------------------------------

ROW_LINE = '      - {name: share, label: {en: "Share used"}, kind: ratio, unit: "1", expr: "twice / reach", source: s}\n'


@pytest.mark.parametrize(
    ("old", "new", "reason"),
    [
        ("  - name: ways\n", "  - name: twice\n", "the name 'twice' is taken"),
        ("    row: way\n", "    row: wanted\n", "the name 'wanted' is taken"),
        ("    row: way\n", "    row: ways\n", "the name 'ways' is taken"),
        ("    table: ways\n", "    table: way\n", "did you mean 'ways'"),
        ("    row: colour\n", "    row: way\n", "the name 'way' is taken"),
        ("    row: colour\n", "    row: colour\n    colour: red\n", "the key 'colour' is not known"),
        ("{name: depth,", "{name: share,", "the name 'share' is taken"),
        ("{name: depth,", "{name: ways_first,", "the name 'ways_first' is taken"),
        ("* ways_count\"", "* share\"", "the name 'share' is not known here"),
        ('kind: length, unit: mm, expr: "reach - twice"', 'kind: ratio, unit: "1", expr: "reach - twice"', "declared ratio"),
        (ROW_LINE, ROW_LINE.replace("source: s", "source: s, maker: true"), "the key 'maker' is not known"),
        (ROW_LINE, ROW_LINE.replace("twice / reach", "twice / way"), "needs a number, not a word"),
        ("level: note, message: {en: \"{way} is not", "level: refuse, message: {en: \"{way} is not", "cannot be 'refuse'"),
        ("{way} is not easy", "{ways} is not easy", "no input or line 'ways'"),
        ("when: \"not meets\"", "when: \"spare\"", "when: is not a yes/no condition"),
        ("when: \"not (gentle", "when: \"twice if (gentle", "cannot be read"),
        ("by: spare, first: least", "by: spare, first: yes", "takes most or least, not 'yes'"),
        ("by: meets, first: yes", "by: meets, first: most", "takes yes or no, not 'most'"),
        ("by: spare, first: least", "by: twice, first: least", "'twice' is no line of this section"),
        ("shows: [reach, spare, meets]", "shows: [reach, twice]", "'twice' is no line of this section"),
        ("shows: [depth]", "shows: []", "at least one line must be a column"),
        ("    table: colours\n", "    table: colours\n    first_label: {en: \"None\"}\n", "nobody is first without rank"),
        ("ways_first == 'long'", "colours_first == 'red'", "'colours_first' is not known"),
        ("ways_first == 'long'", "ways_first == 'lomg'", "can never be true"),
        ("ways_first == 'long'", "meets", "'meets' is not known here"),
        ("results: [ways_first", "results: [spare", "no input or line 'spare'"),
    ],
)
def test_a_malformed_section_says_where(tmp_path: Path, old: str, new: str, reason: str) -> None:
    text = (FOLDER / "sheets/pick.yaml").read_text(encoding="utf-8")
    assert old in text
    line = text[: text.index(old)].count("\n") + 1
    with pytest.raises(calc.ContentError) as caught:
        load(tmp_path, text.replace(old, new, 1))
    problems = caught.value.problems
    near = range(line - 1, line + new.count("\n") + 1)
    assert any(one.file == "sheets/pick.yaml" and one.line in near and reason in one.reason for one in problems), str(caught.value)


@pytest.mark.parametrize(
    ("old", "new", "line", "reason"),
    [
        ('      nil: {en: "No way"}\n', "", 7, "nil has none"),
        ("      nil: {en", "      nul: {en", 7, "the table has no nul"),
        ('      nil: {en: "No way"}', '      nil: {de: "No way"}', 13, "with en"),
    ],
)
def test_labels_are_for_every_word_of_a_table_and_no_other(tmp_path: Path, old: str, new: str, line: int, reason: str) -> None:
    passport = (FOLDER / "tables/ways.yaml").read_text(encoding="utf-8")
    assert old in passport
    with pytest.raises(calc.ContentError) as caught:
        load(tmp_path, (FOLDER / "sheets/pick.yaml").read_text(encoding="utf-8"), passport.replace(old, new))
    assert any(one.file == "tables/ways.yaml" and one.line == line and reason in one.reason for one in caught.value.problems), str(caught.value)


def test_a_table_of_two_keys_has_no_rows_to_name(tmp_path: Path) -> None:
    passport = (FOLDER / "tables/colours.yaml").read_text(encoding="utf-8") + "# two keys\n"
    passport = passport.replace("match: word}\n", "match: word}\n  - {column: shade, match: word}\n")
    sheet = (FOLDER / "sheets/pick.yaml").read_text(encoding="utf-8")
    with pytest.raises(calc.ContentError, match="other keys than one word"):
        load(tmp_path, sheet, None, {"colours.yaml": passport, "colours.csv": "colour,shade,depth_mm\nred,dark,1\n"})


def load(folder: Path, sheet: str, ways: str | None = None, more: dict[str, str] | None = None) -> calc.Calc:
    (folder / "sheets").mkdir()
    (folder / "tables").mkdir()
    (folder / "sheets/pick.yaml").write_text(sheet, encoding="utf-8")
    for path in (FOLDER / "tables").iterdir():
        (folder / "tables" / path.name).write_text(path.read_text(encoding="utf-8"), encoding="utf-8")
    if ways is not None:
        (folder / "tables/ways.yaml").write_text(ways, encoding="utf-8")
    for name, text in (more or {}).items():
        (folder / "tables" / name).write_text(text, encoding="utf-8")
    return calc.load(folder)

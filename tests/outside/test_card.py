"""The card: awkward cases a fitter brings, each with the answer or the refusal it deserves.

The cases are data, in `card/*.yaml`: the question in the fitter's words, the entries as typed, what must come out and why,
with its source. They go the way of `shaftside compute`: typed text, reading, evaluating, sentences. Beside the verdict the
sentence shown is held to name what to do: every entry of `says` stands in what the fitter reads.
"""

from __future__ import annotations

import json
import math
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
import yaml
from outside_units import fired

from shaftside import calc
from shaftside.calc import typed

CARD = Path(__file__).with_name("card")
TWIN = Path(__file__).resolve().parents[1] / "web" / "calc_twin.mjs"
CASES = [
    case for path in sorted(CARD.glob("*.yaml")) for case in yaml.safe_load(path.read_text(encoding="utf-8"))
]
KEYS = {"case", "asks", "sheet", "inputs", "makers", "units", "expect", "says", "why", "source"}
EXPECTED = {"verdict", "refusal", "checks", "silent", "fields", "asked", "values", "words"}
VERDICTS = {"refused", "stop", "cannot_tell", "over", "under", "not_yet", "caution", "inside", "none"}


class Answer:
    """What the fitter gets: fields that cannot be read, or the result with everything it says."""

    def __init__(self, program: dict[str, Any], case: dict[str, Any]) -> None:
        sheet, units = case["sheet"], case.get("units", "metric")
        specs = {spec["name"]: spec for spec in program["sheets"][sheet]["inputs"]}
        entries = self.entries = {
            name: calc.entry_of(program, specs[name], text) for name, text in case["inputs"].items()
        }
        lines = {line["name"]: line for line in program["sheets"][sheet]["lines"]}
        makers = self.makers = {
            name: calc.entry_of(program, lines[name], text) for name, text in case.get("makers", {}).items()
        }
        values, problems = calc.read_inputs(program, sheet, entries, "en", units)
        given, wrong = calc.read_makers(program, sheet, case.get("makers", {}), "en", units)
        self.fields = {one.input: one.code for one in problems + wrong}
        self.said = [f"{one.message} It takes: {one.expects}" for one in problems + wrong]
        self.asked: list[str] = []
        self.result: dict[str, Any] = {}
        if self.fields:
            return
        result = self.result = calc.evaluate(program, sheet, values, given)
        self.said += [
            calc.say_check(program, sheet, one["name"], result, entries, "en", units)
            for one in result["checks"]
        ]
        if result["refusal"]:
            self.said.append(calc.say_refusal(program, sheet, result, entries, "en", units))
        asks = calc.asks(program, sheet, entries, values, given, result, makers)
        self.asked = [ask["say"] for ask in calc.said_asks(program, sheet, asks)]
        self.said += self.asked


def si(program: dict[str, Any], text: str, difference: bool = False) -> float:
    """`8.5 N.m` -> SI; a tolerance is a difference, so a temperature's zero is left out."""
    split = typed.split_entry(program["units"], text)
    assert not isinstance(split, typed.Fault), text
    number = typed.parse_number(split["typed"])
    assert isinstance(number, float), text
    unit = program["units"][split["unit"]]
    return float(number * unit["factor"] + (0.0 if difference else unit["zero"]))


@pytest.mark.parametrize("case", CASES, ids=[case["case"] for case in CASES])
def test_case(program: dict[str, Any], case: dict[str, Any]) -> None:
    answer, expect = Answer(program, case), case["expect"]
    told = " | ".join(answer.said).replace("\u00a0", " ")
    assert answer.fields == expect.get("fields", {}), told
    if "verdict" in expect:
        assert answer.result["verdict"] == expect["verdict"], told
    refusal = answer.result.get("refusal")
    assert ([refusal["code"], refusal["where"]] if refusal else None) == expect.get("refusal"), told
    spoken = fired(answer.result) if answer.result else set()
    assert set(expect.get("checks", [])) <= spoken, (spoken, told)
    assert not set(expect.get("silent", [])) & spoken, told
    for name, (value, within) in expect.get("values", {}).items():
        wanted, margin = si(program, value), si(program, within, difference=True)
        assert answer.result["values"][name] == pytest.approx(wanted, abs=margin, rel=0), name
    for name, word in expect.get("words", {}).items():
        assert answer.result["values"][name] == word, name
    for piece in expect.get("asked", []):
        assert any(piece in one for one in answer.asked), (piece, answer.asked)
    for piece in case["says"]:
        assert piece in told, (piece, told)


def test_every_case_is_whole() -> None:
    """A case without a question, a reason, a source or an expectation is no case; none stands twice."""
    assert len({case["case"] for case in CASES}) == len(CASES) >= 40
    for case in CASES:
        assert set(case) <= KEYS, case["case"]
        assert KEYS - set(case) <= {"makers", "units"}, case["case"]
        assert set(case["expect"]) <= EXPECTED, case["case"]
        assert case["expect"], case["case"]
        assert case["expect"].get("verdict", "none") in VERDICTS, case["case"]
        assert len(case["why"]) > 10, case["case"]
        assert case["source"]["certainty"] in (
            "standard",
            "secondary",
            "memory",
            "common_practice",
            "derived",
            "maker",
        )


def test_what_stops_or_refuses_says_what_to_do() -> None:
    """A case that ends in a stop, a caution or a refusal holds the sentence to at least one instruction."""
    for case in CASES:
        if case["expect"].get("verdict") in ("stop", "caution", "refused") or "fields" in case["expect"]:
            assert case["says"] or case["expect"].get("silent"), case["case"]


def test_every_sheet_stands_on_the_card(program: dict[str, Any]) -> None:
    """A new sheet brings its awkward case along."""
    assert set(program["sheets"]) - {case["sheet"] for case in CASES} == set()


def alike(a: Any, b: Any) -> bool:
    """Equal, numbers to 1e-12 of each other."""
    if isinstance(a, dict):
        return a.keys() == b.keys() and all(alike(a[key], b[key]) for key in a)
    if isinstance(a, list):
        return len(a) == len(b) and all(map(alike, a, b))
    if isinstance(a, int | float) and not isinstance(a, bool):
        return isinstance(b, int | float) and math.isclose(a, b, rel_tol=1e-12, abs_tol=1e-15)
    return bool(a == b)


@pytest.mark.skipif(shutil.which("node") is None, reason="needs node")
def test_the_phone_gives_the_same_answers(program: dict[str, Any]) -> None:
    """The whole card through the phone's own code: verdict, numbers and every sentence."""
    answers = [Answer(program, case) for case in CASES]
    told = [
        {
            "sheet": case["sheet"],
            "entries": one.entries,
            "makers": one.makers,
            "system": case.get("units", "metric"),
        }
        for case, one in zip(CASES, answers, strict=True)
    ]
    ran = subprocess.run(
        ["node", str(TWIN)], input=json.dumps({"program": program, "cases": told}),
        capture_output=True, text=True, encoding="utf-8", check=True,
    )  # fmt: skip
    for case, one, phone in zip(CASES, answers, json.loads(ran.stdout), strict=True):
        assert {problem["input"]: problem["code"] for problem in phone["problems"]} == one.fields, case[
            "case"
        ]
        if one.fields:
            continue
        assert alike(json.loads(json.dumps(one.result)), phone["result"]), case["case"]
        said = [*phone["checks"], *([phone["refusal"]] if one.result["refusal"] else []), *one.asked]
        assert said == one.said, case["case"]

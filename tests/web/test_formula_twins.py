"""Set formulas: phone and desk make the same tree of every line of every sheet, with symbols and with numbers put in."""

from __future__ import annotations

import json
import random
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

from shaftside import calc
from shaftside.calc import marks, mathml

ROOT = Path(__file__).resolve().parents[2]
needs_node = pytest.mark.skipif(shutil.which("node") is None, reason="needs node")


def phone(program: dict[str, Any], cases: list[dict[str, Any]]) -> list[Any]:
    ran = subprocess.run(
        ["node", str(ROOT / "tests/web/formula_twin.mjs")],
        input=json.dumps({"program": program, "cases": cases}), capture_output=True, text=True, check=True,
    )  # fmt: skip
    found: list[Any] = json.loads(ran.stdout)
    return found


def value(spec: dict[str, Any], dice: random.Random) -> Any:
    """A value an input may have."""
    if spec["kind"] == "word":
        return dice.choice(spec["choices"])["word"]
    if spec["kind"] == "yesno":
        return dice.random() < 0.5
    low = spec.get("least", 0.0)
    if "list" in spec:
        return [dice.uniform(low, spec.get("most", low + 1.0)) for _ in range(spec["list"]["least"])]
    return low + dice.random() ** 3 * (spec.get("most", low + 1.0) - low)


def lines_of(sheet: dict[str, Any]) -> list[dict[str, Any]]:
    return [line for line in sheet["lines"] if line.get("expr")]


@pytest.mark.node
@needs_node
@pytest.mark.parametrize("seed", [20261126, 5])
def test_both_sides_set_the_same_formula(seed: int) -> None:
    program = calc.load(ROOT / "procedures").program
    dice = random.Random(seed)
    cases: list[dict[str, Any]] = []
    for name, sheet in program["sheets"].items():
        rows = [line for section in sheet.get("over", []) for line in lines_of(section)]
        asked = [*(line["expr"] for line in [*lines_of(sheet), *rows]), *(check["when"] for check in sheet["checks"])]
        cases += [{"sheet": name, "expr": expr, "system": "metric", "values": None} for expr in asked]
        for _ in range(12):
            values = {
                spec["name"]: value(spec, dice) if dice.random() < (0.7 if spec.get("optional") else 1) else None
                for spec in sheet["inputs"]
            }
            put = mathml.put_in(calc.evaluate(program, name, values, {}))
            system = dice.choice(["metric", "inch"])
            cases += [
                {"sheet": name, "expr": line["expr"], "system": system, "values": put} for line in lines_of(sheet)
            ]
    assert len(cases) > 2000
    for case, theirs in zip(cases, phone(program, cases), strict=True):
        ours = mathml.typeset(program, case["sheet"], case["expr"], "en", case["system"], case["values"])
        assert marks.write(ours) == marks.write(theirs), (case["sheet"], case["expr"])


PROGRAM: dict[str, Any] = {
    "units": {"mm": {"shown": "mm", "factor": 0.001, "zero": 0.0, "decimals": 2, "system": "both", "partner": None},
              "1": {"shown": "", "factor": 1.0, "zero": 0.0, "decimals": 3, "system": "both", "partner": None}},
    "words": {"en": {"if": "if", "else": "else", "and": "and", "or": "or", "not_given": "not given", "if_listed": "if the table has it"}},
    "tables": {},
    "sheets": {"s": {"inputs": [
        {"name": "a", "label": {"en": "A <b>"}, "kind": "length", "unit": "mm", "symbol": "F_M"},
        {"name": "b", "label": {"en": "B"}, "kind": "length", "unit": "mm", "symbol": "d_2"},
        {"name": "c", "label": {"en": "C < 3 & more"}, "kind": "length", "unit": "mm"},
    ], "lines": []}},
}  # fmt: skip
A, B, C = ["get", "a"], ["get", "b"], ["get", "c"]
F_M, D_2 = "<msub><mi>F</mi><mtext>M</mtext></msub>", "<msub><mi>d</mi><mn>2</mn></msub>"


def plain(expr: list[Any], values: dict[str, Any] | None = None) -> str:
    """The markup with what only the browser needs taken out, so that a test reads like the formula."""
    text = marks.write(mathml.typeset(PROGRAM, "s", expr, values=values))
    text = re.sub(r"<mrow class=\"root\"><mrow>(.*?)</mrow></mrow>", r"√(\1)", text)
    text = re.sub(r"</?(mrow|span)[^>]*>| form=\"\w+\"", "", text)
    return text.replace(F_M, "F").replace(D_2, "d").replace("\u00a0", "~")


@pytest.mark.parametrize(("expr", "said"), [
    (["-", A, ["+", B, B]], "<math>F</math> <math><mo>−</mo><mo>(</mo>d<mo>+</mo>d<mo>)</mo></math>"),
    (["-", ["-", A, B], B], "<math>F</math> <math><mo>−</mo>d</math> <math><mo>−</mo>d</math>"),
    (["*", ["+", A, B], B], "<math><mo>(</mo>F<mo>+</mo>d<mo>)</mo></math>".replace("</math>", "") + "<mo>·</mo>d</math>"),
    (["/", ["+", A, B], ["*", B, B]], "<math><mfrac>F<mo>+</mo>dd<mo>·</mo>d</mfrac></math>"),
    (["**", ["/", A, B], ["num", 2.0]], "<math><msup><mo>(</mo><mfrac>Fd</mfrac><mo>)</mo><mn>2</mn></msup></math>"),
    (["**", A, ["num", 2.0]], "<math><msup>F<mn>2</mn></msup></math>"),
    (["call", "sqrt", ["+", A, B]], "<math>√(F<mo>+</mo>d)</math>"),
    (["-", A, ["neg", B]], "<math>F</math> <math><mo>−</mo><mo>(</mo><mo>−</mo>d<mo>)</mo></math>"),
    (["num", 12e-6, "1", "12e-6"], "<math><mn>12</mn><mo>×</mo><msup><mn>10</mn><mn>−6</mn></msup></math>"),
    (["-", A, ["if", ["cmp", ">", A, B, 1e9], A, B]], "<math>F</math> <math><mo>−</mo></math><math>F</math>if <math>F</math><math><mo>&gt;</mo></math><math>d</math><math>d</math>else"),
    (["if", ["cmp", ">", A, B, 1e9], A, B], "<math>F</math>if <math>F</math><math><mo>&gt;</mo></math><math>d</math><math>d</math>else"),
])  # fmt: skip
def test_a_formula_reads_one_way_only(expr: list[Any], said: str) -> None:
    assert plain(expr) == said


def test_numbers_put_in_keep_their_units_and_their_signs() -> None:
    values = {"a": -0.002, "b": 0.003, "c": None}
    assert plain(["-", B, A], values) == "<math><mn>3</mn><mtext>~mm</mtext></math> <math><mo>−</mo><mo>(</mo><mn>−2</mn><mtext>~mm</mtext><mo>)</mo></math>"
    assert plain(["**", B, ["num", 2.0]], values) == "<math><msup><mo>(</mo><mn>3</mn><mtext>~mm</mtext><mo>)</mo><mn>2</mn></msup></math>"
    assert plain(["if", ["cmp", ">", A, B, 1e9], A, B], values) == "<math><mn>3</mn><mtext>~mm</mtext></math>", "only the branch taken"


def test_no_text_becomes_markup() -> None:
    assert "<math><mtext class=\"q\">C &lt; 3 &amp; more</mtext>" in marks.write(mathml.typeset(PROGRAM, "s", ["/", C, B])).replace("<mfrac>", "")

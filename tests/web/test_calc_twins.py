"""Phone and server judge alike: seeded random entries through every sheet, in Python and in Node, compared whole."""

from __future__ import annotations

import json
import math
import random
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from shaftside import calc

ROOT = Path(__file__).resolve().parents[2]
pytestmark = [pytest.mark.node, pytest.mark.skipif(shutil.which("node") is None, reason="needs node")]
# + - * / and square root agree to the last bit; ** and the functions to this share
CLOSE = 1e-12


def entry(spec: dict[str, Any], units: dict[str, Any], dice: random.Random) -> dict[str, Any]:
    """A random entry of a field: mostly sensible, sometimes outside its range, sometimes not a number."""
    if spec["kind"] == "word":
        return {"word": dice.choice([one["word"] for one in spec["choices"]])}
    if spec["kind"] == "yesno":
        return {"yes": dice.random() < 0.5}
    codes = [code for code, unit in units.items() if spec["kind"] in unit["kinds"]]
    code = spec["unit"] if dice.random() < 0.7 else dice.choice(codes)
    low = spec.get("least", 0.0)
    high = spec.get("most", low + 1.0)

    def one() -> str:
        if dice.random() < 0.03:
            return dice.choice(["", "1,2,3", "1,000", "1e3", "7/0", "3/2", "x", "1-5/4", "−2"])
        share = dice.random() ** 3 * 1.05 - 0.01
        if spec["kind"] == "count":
            return str(round(low + share * min(high - low, 8)))
        value = ((low + share * (high - low)) - units[code]["zero"]) / units[code]["factor"]
        text = f"{value:.{dice.randint(0, 6)}f}"
        return text.replace(".", ",") if dice.random() < 0.3 else text

    if "list" in spec:
        return {"typed": [one() for _ in range(dice.randint(spec["list"]["least"], spec["list"]["most"]))], "unit": code}
    return {"typed": one(), "unit": code}


def same(a: Any, b: Any, where: str) -> None:
    """Equal, numbers within CLOSE of each other."""
    if isinstance(a, int | float) and isinstance(b, int | float) and not isinstance(a, bool) and not isinstance(b, bool):
        assert math.isclose(a, b, rel_tol=CLOSE, abs_tol=1e-300), (where, a, b)
    elif isinstance(a, dict) and isinstance(b, dict):
        assert a.keys() == b.keys(), (where, a.keys() ^ b.keys())
        for key in a:
            same(a[key], b[key], f"{where}.{key}")
    elif isinstance(a, list) and isinstance(b, list):
        assert len(a) == len(b), (where, a, b)
        for at, (x, y) in enumerate(zip(a, b, strict=True)):
            same(x, y, f"{where}[{at}]")
    else:
        assert a == b, (where, a, b)
        assert isinstance(a, bool) == isinstance(b, bool), (where, a, b)


@pytest.mark.parametrize("seed", [20261125, 7])
def test_both_sides_say_the_same(seed: int) -> None:
    verdicts = both_sides("procedures", seed, 120)
    assert {"refused", "stop", "inside", "caution", "none"} <= verdicts, "the dice never reached some verdicts"


def test_both_sides_say_the_same_of_a_tables_rows() -> None:
    both_sides("tests/calc/over", 26, 300)


def test_both_sides_say_the_same_in_another_language(tmp_path: Path) -> None:
    """Working, checks and refusals out of a pack: labels, the calculation's own sentences, the decimal mark, units that are words."""
    sys.path.append(str(ROOT / "tests" / "handbook"))
    from tongue import CODE, content

    from shaftside import handbook

    bundle = handbook.build(content(tmp_path))
    program = handbook.languages.told(bundle.data, bundle.packs["figures"].data["figures"], bundle.packs[CODE].data)["calc"]
    said: list[str] = []
    both_sides(program, 20261126, 30, CODE, said)
    english = [one for one in said if re.search(r"(?<![‹\w])[A-Z][a-z]+ [a-z]+ [a-z]+ ", re.sub(r"‹.*›", "", one, flags=re.S))]
    assert not english, english[:5]
    measured = [one for one in said if re.search(r"\d[.,]\d+\u00a0", one)]  # a figure with its unit, not one in a sentence
    assert measured
    assert not [one for one in measured if re.search(r"\d\.\d+\u00a0", one)][:3]


def both_sides(folder: str | dict[str, Any], seed: int, tries: int, lang: str = "en", said: list[str] | None = None) -> set[str]:
    program = folder if isinstance(folder, dict) else calc.load(ROOT / folder).program
    dice = random.Random(seed)
    cases = []
    for name, sheet in program["sheets"].items():
        for _ in range(tries):
            entries = {
                spec["name"]: entry(spec, program["units"], dice)
                for spec in sheet["inputs"]
                if dice.random() < (0.6 if spec.get("optional") else 0.98)
            }
            lines = [line for line in sheet["lines"] if line.get("maker") and line["kind"] not in ("word", "yesno")]
            makers = {line["name"]: entry(line, program["units"], dice) for line in lines if dice.random() < 0.25}
            cases.append({"sheet": name, "entries": entries, "makers": makers, "system": dice.choice(["metric", "inch"])})
    ran = subprocess.run(
        ["node", str(ROOT / "tests/web/calc_twin.mjs")],
        input=json.dumps({"program": program, "cases": cases, "lang": lang}), capture_output=True, text=True, check=True,
    )  # fmt: skip
    phone = json.loads(ran.stdout)
    verdicts = set()
    for case, theirs in zip(cases, phone, strict=True):
        sheet, system = case["sheet"], case["system"]
        values, problems = calc.read_inputs(program, sheet, case["entries"], lang, system)
        makers, wrong = calc.read_makers(program, sheet, case["makers"], lang, system)
        result = calc.evaluate(program, sheet, values, makers)
        found = [] if problems else calc.asks(program, sheet, case["entries"], values, makers, result, case["makers"])
        ours = {
            "values": values,
            "problems": [one.json() for one in [*problems, *wrong]],
            "result": result,
            "refusal": calc.say_refusal(program, sheet, result, case["entries"], lang, system),
            "checks": [calc.say_check(program, sheet, one["name"], result, case["entries"], lang, system) for one in result["checks"]],
            "working": calc.working(program, sheet, result, case["entries"], lang, system),
            "over": calc.over_working(program, sheet, result, lang, system),
            "asks": [one["say"] for one in calc.said_asks(program, sheet, found, lang)],
        }
        if said is not None:
            said += [ours["refusal"] or "", *ours["checks"]]
        verdicts.add(result["verdict"])
        same(ours, theirs, f"seed {seed} {sheet} {case['entries']}")
    return verdicts

"""What a fitter would measure where all is well: entries that put a sheet inside its windows, found by working the sheet out.

Nothing here is a value of any one sheet. Each field is tried over values that the sheet itself shows (limits of windows,
lines of the same kind, what lies between two of them) and over round numbers in the unit on the screen, field after field,
until the sheet's verdict needs no lead. Where the sheet wants the maker's word, a value with its paper is given.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from shaftside import calc

VERDICT = {"inside": 0, "none": 0, "caution": 4, "not_yet": 30, "under": 40, "over": 40, "cannot_tell": 50, "stop": 60, "refused": 80}
GOOD = 1  # nothing is said against it
ALONE = 30  # a score from here on needs a lead, or another measurement
ROUND = sorted((one * 10.0**power for power in range(-2, 3) for one in (1, 1.5, 2, 3, 5, 7)), key=lambda one: abs(math.log10(one / 12)))
FINER = [one * 10.0**power for power in range(-4, 3) for one in (1, 2, 5)]  # what a scale is divided into
SWEEPS, STARTS = 4, 8
USUAL = ("M12", "8.8", "hex", "oil_or_grease", "cast_iron", "hardened_washer", "two", "click")  # what a fitter meets most, where a list has it
FINE = 20  # a scale is this many times finer than what is read on it
LAST = ("unknown", "not_known", "none", "other", "flame")  # words that a fitter gives only where the rest will not do
PAPER = "Assembly sheet 7"


@dataclass
class Answer:
    """Entries as they are typed, by input; maker's values by line; what the sheet makes of them."""

    entries: dict[str, dict[str, Any]]
    maker: dict[str, dict[str, Any]] = field(default_factory=dict)
    score: float = 1e9
    result: dict[str, Any] | None = None


class Fitter:
    """Finds answers for the sheets of one handbook."""

    def __init__(self, program: Mapping[str, Any]) -> None:
        self.program = program

    def answer(
        self, sheet: str, given: Mapping[str, Any], asked: Mapping[str, str], may: Mapping[str, str] | None = None, held: Mapping[str, Any] | None = None
    ) -> Answer:
        """given: entries taken from elsewhere; asked, may: unit on the screen ("" for none) by input that must or may be given;
        held: maker's values by line that the job has already.

        Raises where nothing will do without a lead.
        """
        best = Answer({})
        for start in range(STARTS):
            climb = _Climb(self.program, sheet, given, random.Random(start), held or {})
            best = min(best, climb.read_finely(climb.up(asked, may or {})), key=lambda one: one.score)
            if best.score < GOOD:
                break
        assert best.score < ALONE, (sheet, dict(given), best)
        return best


class _Climb:
    """One way up, from one start."""

    def __init__(self, program: Mapping[str, Any], sheet: str, given: Mapping[str, Any], dice: random.Random, held: Mapping[str, Any]) -> None:
        self.program, self.sheet, self.given, self.dice, self.held = program, sheet, given, dice, held
        self.made = program["sheets"][sheet]
        self.specs = {one["name"]: one for one in self.made["inputs"]}
        self.checks = {one["name"]: one for one in self.made["checks"]}
        self.kinds = {one["name"]: one["kind"] for part in ("inputs", "lines") for one in self.made[part]}
        self.order = [line["name"] for line in self.made["lines"]]
        self.scales = {one["resolution"]: one["value"] for one in self.made["windows"] if one.get("resolution")}
        self.makers = [one for one in self.made["lines"] if one.get("maker") and one["kind"] not in ("word", "yesno") and one["name"] not in held]

    def up(self, asked: Mapping[str, str], may: Mapping[str, str]) -> Answer:
        entries = {name: self.start(self.specs[name], unit) for name, unit in asked.items()}
        now = self.scored(Answer(entries | self.finely(entries)))
        for sweep in range(SWEEPS):
            before = now.score
            # fields of one kind are first moved together: three planes of one shaft have one size
            for names in [*_alike(self.specs, asked), *([name] for name in asked), *([name] for name in may if sweep)]:
                unit = {**asked, **may}[names[0]]
                for entry in self.tries(self.specs[names[0]], unit, now):
                    now = self.better(now, now.entries | dict.fromkeys(names, entry), now.maker)
                    if now.score < GOOD:
                        return now
            for spec in self.makers if sweep or self.wants_maker(now) else ():
                for text in self.numbers(spec, spec["unit"], now, own=spec["name"]):
                    value = {"typed": text, "unit": spec["unit"], "document": PAPER}
                    now = self.better(now, now.entries, now.maker | {spec["name"]: value})
                    if now.score < GOOD:
                        return now
            if now.score == before and sweep:
                break
        return now

    def finely(self, entries: Mapping[str, dict[str, Any]]) -> dict[str, dict[str, Any]]:
        """Scales coarser than what is read on them asks for, as a fine one would have it."""
        out = {}
        for scale, of in self.scales.items():
            read, step = (entries.get(name, {}).get("typed") for name in (of, scale))
            if isinstance(read, str) and isinstance(step, str) and float(step) > abs(float(read)) / FINE:
                told = max((one for one in FINER if one <= abs(float(read)) / FINE), default=FINER[0])
                out[scale] = entries[scale] | {"typed": f"{told:g}"}
        return out

    def read_finely(self, now: Answer) -> Answer:
        """The same at the end, where the sheet takes that as well."""
        finer = self.scored(Answer(now.entries | self.finely(now.entries), now.maker))
        return finer if finer.score <= max(now.score, GOOD) else now

    @staticmethod
    def wants_maker(now: Answer) -> bool:
        return ((now.result or {}).get("refusal") or {}).get("code") == "maker_value_needed"

    def better(self, now: Answer, entries: dict[str, dict[str, Any]], maker: dict[str, dict[str, Any]]) -> Answer:
        return min(now, self.scored(Answer(entries, maker)), key=lambda one: one.score)

    def scored(self, one: Answer) -> Answer:
        values, problems = calc.read_inputs(self.program, self.sheet, {**self.given, **one.entries})
        makers, wrong = calc.read_makers(self.program, self.sheet, {**self.held, **one.maker})
        if problems or wrong:
            one.score = 200 + len(problems) + len(wrong)
            return one
        one.result = result = calc.evaluate(self.program, self.sheet, values, makers)
        one.score = VERDICT[result["verdict"]]
        if result["verdict"] == "refused":
            where = result["refusal"]["where"]
            one.score += 20 - (20 * self.order.index(where) / len(self.order) if where in self.order else 0)
            return one
        for said in result["checks"]:
            check = self.checks[said["name"]]
            one.score += {"note": 0.01, "caution": 1, "stop": 5}.get(check["level"], 0) + (ALONE if check.get("lead_accepts") else 0)
        one.score += min(0.9, 0.1 * len(result["not_evaluated"])) + 0.03 * len(one.maker)
        if one.score < GOOD:  # a number that looks like a slip of its unit would be asked about
            one.score += 10 * len(calc.asks(self.program, self.sheet, {**self.given, **one.entries}, values, makers, result, {**self.held, **one.maker}))
        return one

    def start(self, spec: Mapping[str, Any], unit: str) -> dict[str, Any]:
        if spec["kind"] == "yesno":
            return {"yes": self.dice.random() < 0.5}
        if spec["kind"] == "word":
            words = [one["word"] for one in spec["choices"]]
            if usual := [one for one in words if one in USUAL]:
                return {"word": usual[0]}
            return {"word": self.dice.choice([one for one in words if one not in LAST] or words)}
        if spec["kind"] == "temperature":
            return self.typed(spec, f"{(293.15 - self.program['units'][unit]['zero']) / self.program['units'][unit]['factor']:g}", unit)
        same = [one["typed"] for name, one in self.given.items() if self.kinds[name] == spec["kind"] and one.get("unit") == unit and isinstance(one.get("typed"), str)]
        return self.typed(spec, next((text for text in [*same, *_said(ROUND)] if self.takes(spec, text, unit)), "1"), unit)

    def takes(self, spec: Mapping[str, Any], text: str, unit: str) -> bool:
        made = self.program["units"][unit]
        value = float(text.replace(",", ".")) * made["factor"] + made["zero"]
        return bool(spec.get("least", value) <= value <= spec.get("most", value))

    def typed(self, spec: Mapping[str, Any], text: str, unit: str) -> dict[str, Any]:
        return {"typed": [text] * spec["list"]["least"] if "list" in spec else text, "unit": unit}

    def tries(self, spec: Mapping[str, Any], unit: str, now: Answer) -> Iterator[dict[str, Any]]:
        if spec["kind"] == "yesno":
            yield from ({"yes": True}, {"yes": False})
        elif spec["kind"] == "word":
            yield from ({"word": word} for word in sorted((one["word"] for one in spec["choices"]), key=lambda word: word in LAST))
        else:
            yield from (self.typed(spec, text, unit) for text in self.numbers(spec, unit, now) if self.takes(spec, text, unit))

    def numbers(self, spec: Mapping[str, Any], unit: str, now: Answer, own: str = "") -> Iterable[str]:
        """Typed texts: the line's own value, what the sheet shows of this kind, what lies between two of them, round numbers."""
        made = self.program["units"][unit]
        result = now.result or {"values": {}, "windows": []}
        shown = [value for name, value in result["values"].items() if self.kinds.get(name) == spec["kind"]]
        shown += [window.get(edge) for window in result["windows"] for edge in ("low", "high")]
        flat = sorted({float(one) for value in shown for one in (value if isinstance(value, list) else [value]) if _number(one)})
        between = [(one + other) / 2 for one, other in pairwise(flat)]
        stands = result["values"].get("ceiling")  # a maker's torque lies under what the screw stands
        first = [result["values"][own]] if _number(result["values"].get(own)) else [0.7 * stands] if own and spec["kind"] == "torque" and _number(stands) else []
        exact = [(one - made["zero"]) / made["factor"] for one in [*first, *between, *flat]]
        short = [float(f"{one:.{figures}g}") for one in exact[: len(first) + len(between)] for figures in (2, 3)]  # as a scale is read
        return dict.fromkeys(_said([*short, *(round(one, max(made["decimals"] + 1, 3)) for one in exact), *ROUND]))


def _alike(specs: Mapping[str, Any], asked: Mapping[str, str]) -> list[list[str]]:
    """Names of fields that differ in nothing but their name and words, two at least."""
    groups: dict[tuple[Any, ...], list[str]] = {}
    for name in asked:
        spec = specs[name]
        if spec["kind"] not in ("word", "yesno"):
            groups.setdefault((spec["kind"], spec.get("least"), spec.get("most"), str(spec.get("list"))), []).append(name)
    return [names for names in groups.values() if len(names) > 1]


def _said(numbers: Iterable[float]) -> list[str]:
    return [text for text in (f"{one:.10g}" for one in numbers) if "e" not in text]


def _number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)

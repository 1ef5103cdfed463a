"""Entries as typed -> SI values, or what is wrong with each field in the user's own unit. Nothing typed is lost."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from shaftside.calc import typed
from shaftside.calc.evaluator import runner
from shaftside.calc.showing import label_of, sentence, show, words_of
from shaftside.calc.slips import given, meant_unit


@dataclass(frozen=True)
class FieldProblem:
    """What is wrong with one field: `message` says it, `expects` what the field takes, `meant` the unit it would fit in."""

    input: str
    code: str
    message: str
    expects: str
    meant: str = ""

    def json(self) -> dict[str, str]:
        """As JSON; `meant` only where there is one."""
        said = {"input": self.input, "code": self.code, "message": self.message, "expects": self.expects}
        return said | {"meant": self.meant} if self.meant else said


def entry_of(program: Mapping[str, Any], spec: Mapping[str, Any], text: str) -> dict[str, Any]:
    """One string as people type it (`1-15/16 in`, `49.98; 49.97 mm`, `M8`, `yes`) -> an Entry; faults show on reading."""
    kind = spec["kind"]
    plain = typed.tidy(text)
    if kind == "word":
        return {"word": plain}
    if kind == "yesno":
        return {"yes": {"yes": True, "no": False, "true": True, "false": False}.get(plain.lower())} if plain else {}
    default = "1" if spec.get("unit") in ("1", "%") else ""
    if "list" in spec:
        pieces = [one.strip() for one in plain.split(";") if one.strip()]
        if not pieces:
            return {"typed": [], "unit": default}
        last = typed.split_entry(program["units"], pieces[-1])
        if isinstance(last, typed.Fault):
            return {"typed": pieces, "unit": default}
        numbers = []
        for one in pieces[:-1]:
            split = typed.split_entry(program["units"], one)
            numbers.append(split["typed"] if not isinstance(split, typed.Fault) and split["unit"] in ("", last["unit"]) else one)
        return {"typed": [*numbers, last["typed"]], "unit": last["unit"] or default}
    split = typed.split_entry(program["units"], plain)
    if isinstance(split, typed.Fault):
        return {"typed": plain, "unit": default, "fault": split.code}
    return {"typed": split["typed"], "unit": split["unit"] or default}


def expects(program: Mapping[str, Any], spec: Mapping[str, Any], lang: str, system: str, unit: str | None = None) -> str:
    """What a field takes, in words."""
    if spec["kind"] == "word":
        return sentence(program, "takes.word", lang, choices=_choices(spec, lang))
    if spec["kind"] == "yesno":
        return sentence(program, "takes.yesno", lang)
    span = _range(program, spec, lang, system, unit)
    if "list" in spec:
        listed = sentence(program, "takes.list", lang, least=spec["list"]["least"], most=spec["list"]["most"])
        return f"{listed}, {span}" if span else listed
    if span:
        return span
    shown = program["units"][spec["unit"]]["shown"]
    return sentence(program, "takes.number", lang, example=f"5\u00a0{shown}".strip())


def _choices(spec: Mapping[str, Any], lang: str) -> str:
    # what may be typed, with its meaning where that is another word
    said = [one["word"] if words_of(one["label"], lang) == one["word"] else f"{one['word']} ({words_of(one['label'], lang)})" for one in spec["choices"]]
    return ", ".join(said)


def _range(program: Mapping[str, Any], spec: Mapping[str, Any], lang: str, system: str, unit: str | None) -> str:
    def say(value: float) -> str:
        return show(program, value, unit, "as_is", lang=lang) if unit else show(program, value, spec["unit"], system, lang=lang)

    if "least" in spec and "most" in spec:
        return sentence(program, "range.both", lang, least=say(spec["least"]), most=say(spec["most"]))
    if "least" in spec:
        return sentence(program, "range.least", lang, least=say(spec["least"]))
    return sentence(program, "range.most", lang, most=say(spec["most"])) if "most" in spec else ""


class _Reading:
    def __init__(self, program: Mapping[str, Any], lang: str, system: str) -> None:
        self.program, self.lang, self.system = program, lang, system
        self.problems: list[FieldProblem] = []

    def fault(self, spec: Mapping[str, Any], code: str, message: str, unit: str | None = None, meant: str | None = None) -> None:
        self.problems.append(FieldProblem(spec["name"], code, message, expects(self.program, spec, self.lang, self.system, unit), meant or ""))

    def typed_fault(self, spec: Mapping[str, Any], code: str, given: str, in_unit: str | None = None, **parts: Any) -> None:
        label = words_of(spec["label"], self.lang)
        said = sentence(self.program, f"typed.{code}", self.lang, given=given, **parts)
        takes = expects(self.program, spec, self.lang, self.system, in_unit)
        self.problems.append(FieldProblem(spec["name"], code, f"{label}: {said}", takes))

    def value(self, spec: Mapping[str, Any], entry: Any) -> Any:
        """The value of an entry, None with a problem noted, or None where nothing was given."""
        if isinstance(entry, str):
            entry = entry_of(self.program, spec, entry)
        if entry is None or entry == {}:
            return None
        label = words_of(spec["label"], self.lang)
        wrong = sentence(self.program, "bad_input.type", self.lang, label=label, takes=expects(self.program, spec, self.lang, self.system))
        if not isinstance(entry, Mapping):
            return self.fault(spec, "type", wrong)
        if spec["kind"] == "word":
            word = entry.get("word")
            return word if isinstance(word, str) else self.fault(spec, "type", wrong)
        if spec["kind"] == "yesno":
            yes = entry.get("yes")
            return yes if isinstance(yes, bool) else self.fault(spec, "type", wrong)
        return self.number(spec, entry, wrong)

    def number(self, spec: Mapping[str, Any], entry: Mapping[str, Any], wrong: str) -> Any:
        texts = entry.get("typed")
        if "list" not in spec:
            texts = [texts]
        if not isinstance(texts, list) or not all(isinstance(one, str) for one in texts):
            return self.fault(spec, "type", wrong)
        if "fault" in entry:
            return self.typed_fault(spec, str(entry["fault"]), texts[0])
        code = entry.get("unit") or ("1" if spec["unit"] in ("1", "%") else "")
        if not isinstance(code, str):
            return self.fault(spec, "type", wrong)
        if code == "":
            return self.typed_fault(spec, "unit_needed", "; ".join(texts))
        unit = self.program["units"].get(code)
        if unit is None:
            return self.typed_fault(spec, "unknown_unit", code)
        if spec["kind"] not in unit["kinds"]:
            return self.typed_fault(spec, "wrong_kind", code, unit=unit["shown"] or code, kind=spec["kind"].replace("_", " "))
        zero = 0.0 if spec["kind"] == "temperature_difference" else unit["zero"]
        out = []
        for text in texts:
            got = typed.parse_number(text)
            if isinstance(got, typed.Fault):
                plain = typed.tidy(text)
                return self.typed_fault(spec, got.code, text, code, point=plain.replace(",", "."), whole=plain.replace(",", ""))
            out.append(got * unit["factor"] + zero)
        return out if "list" in spec else out[0]


def read_inputs(program: Mapping[str, Any], sheet: str, entries: Mapping[str, Any], lang: str = "en", system: str = "metric") -> tuple[dict[str, Any], list[FieldProblem]]:
    """Entries (Entry, or one string with its unit) -> SI values and what is wrong, field by field.

    A required field that is not given is no problem here: evaluating refuses with `missing_input`.
    """
    reading = _Reading(program, lang, system)
    specs = {spec["name"]: spec for spec in program["sheets"][sheet]["inputs"]}
    testers = {name: test for name, _, test in runner(program, sheet).inputs}
    values: dict[str, Any] = {}
    for name, entry in entries.items():
        spec = specs.get(name)
        if spec is None:
            reading.problems.append(FieldProblem(name, "unknown", sentence(program, "bad_input.unknown", lang, label=name), ", ".join(specs)))
            continue
        value = reading.value(spec, entry)
        if value is None:
            continue
        reason = testers[name](value)
        if reason is None:
            values[name] = value
            continue
        entry = entry if isinstance(entry, Mapping) else entry_of(program, spec, entry)
        unit = entry.get("unit")
        said = bad_input(program, spec, reason, value, lang, system, unit)
        meant = meant_unit(program, spec["kind"], entry, testers[name]) if reason == "range" else None
        if meant:
            said += " " + sentence(program, "bad_input.meant", lang, given=given(program, entry, meant))
        reading.fault(spec, reason, said, unit, meant)
    return values, reading.problems


def bad_input(program: Mapping[str, Any], spec: Mapping[str, Any], reason: str, value: Any, lang: str, system: str, unit: str | None = None) -> str:
    """Why a value is not what a field takes, in the unit it was typed in."""
    label = words_of(spec["label"], lang)
    if reason == "word":
        return sentence(program, "bad_input.word", lang, label=label, given=value, choices=_choices(spec, lang))
    if reason == "range":
        given = value
        if isinstance(value, list):
            least, most = spec.get("least"), spec.get("most")
            given = next((one for one in value if (least is not None and one < least) or (most is not None and one > most)), value[0])
        shown = show(program, given, unit, "as_is", lang=lang) if unit else show(program, given, spec["unit"], system, lang=lang)
        return sentence(program, "bad_input.range", lang, label=label, given=shown, range=_range(program, spec, lang, system, unit))
    if reason == "count":
        return sentence(program, "bad_input.count", lang, label=label, n=len(value), least=spec["list"]["least"], most=spec["list"]["most"])
    if reason == "whole":
        return sentence(program, "bad_input.whole", lang, label=label)
    return sentence(program, "bad_input.type", lang, label=label, takes=expects(program, spec, lang, system))


def read_makers(program: Mapping[str, Any], sheet: str, makers: Mapping[str, Any], lang: str = "en", system: str = "metric") -> tuple[dict[str, Any], list[FieldProblem]]:
    """The bearing maker's values, line -> Entry with document (or one string) -> SI values and problems."""
    reading = _Reading(program, lang, system)
    lines = {line["name"]: line for line in program["sheets"][sheet]["lines"] if line.get("maker")}
    values: dict[str, Any] = {}
    for name, entry in makers.items():
        spec = lines.get(name)
        if spec is None:
            said = sentence(program, "bad_input.no_maker", lang, label=label_of(program, sheet, name, lang))
            reading.problems.append(FieldProblem(name, "no_maker", said, ", ".join(lines)))
            continue
        value = reading.value(spec, entry)
        if value is not None:
            values[name] = value
    return values, reading.problems

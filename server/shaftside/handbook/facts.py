"""procedures/facts.yaml: what is known of a position before a job starts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from shaftside import calc
from shaftside.calc.dimension import Type
from shaftside.calc.inputs import read_inputs
from shaftside.calc.problems import ContentError, Problems
from shaftside.calc.reader import Reader

PLAIN = ("word", "yesno", "text")


@dataclass
class Facts:
    """Facts in order, word lists by name, and the type of each fact for conditions."""

    listed: list[dict[str, Any]] = field(default_factory=list)
    lists: dict[str, list[dict[str, Any]]] = field(default_factory=dict)
    symbols: dict[str, Type] = field(default_factory=dict)

    @property
    def by_name(self) -> dict[str, dict[str, Any]]:
        """Facts by name."""
        return {one["name"]: one for one in self.listed}

    @property
    def methods(self) -> list[str]:
        """The locking methods."""
        found = self.by_name.get("locking_method", {}).get("choices", [])
        return [one["word"] for one in found]


def load_facts(path: Path, program: Mapping[str, Any], problems: Problems) -> Facts:
    """Read the facts; every fault goes to `problems`."""
    facts = Facts()
    try:
        document = calc.strict_yaml.read(path, "facts.yaml")
    except (ContentError, OSError) as error:
        problems.add("facts.yaml", getattr(error, "line", 0), getattr(error, "reason", str(error)))
        return facts
    top = Reader(document, problems)
    lists = top.inner("lists", optional=True)
    for name in lists or ():
        assert lists is not None
        lists.used.add(name)
        facts.lists[name] = inline_choices(lists, name)
    readers = top.items("facts")
    for reader in readers:
        fact = _fact(reader, facts, program)
        if fact["name"] in facts.by_name:
            reader.fault(f"the fact {fact['name']!r} stands twice", "name")
        facts.listed.append(fact)
        words = frozenset(one["word"] for one in fact["choices"]) if fact.get("choices") else None
        if fact["kind"] != "text":
            facts.symbols[fact["name"]] = calc.symbol(fact["kind"], words)
    for reader, fact in zip(readers, facts.listed, strict=True):
        _wrong(reader, fact, facts)  # once every fact's type is known
    every = facts.methods
    if not every:
        problems.add("facts.yaml", 0, "there is no fact locking_method with its choices")
    for reader, fact in zip(readers, facts.listed, strict=True):
        asked = fact["asked_for"]
        for method in asked:
            if method not in every:
                reader.fault(f"asked_for: there is no locking method {method!r}", "asked_for")
        fact["asked_for"] = asked or every
    top.done()
    return facts


def _fact(reader: Reader, facts: Facts, program: Mapping[str, Any]) -> dict[str, Any]:
    out: dict[str, Any] = {"name": reader.name("name") or "", "label": reader.words("label") or {}}
    out |= quantity(reader, facts.lists, program)
    if (help_text := reader.words("help", optional=True)) is not None:
        out["help"] = help_text
    if reader.yes("optional"):
        out["optional"] = True
    out["asked_for"] = reader.strings("asked_for", optional=True)
    return out


def _wrong(reader: Reader, fact: dict[str, Any], facts: Facts) -> None:
    """`wrong: {when, message}`: what cannot be so beside the other facts, compiled, and the sentence for it."""
    if (inner := reader.inner("wrong", optional=True)) is not None:
        when, message = inner.string("when"), inner.words("message")
        try:
            fact["wrong"] = {"when": calc.compile_condition(when or "", facts.symbols), "message": message or {}}
        except calc.ExpressionFault as fault:
            inner.fault(f"'when' {fault}", "when")
        inner.done()
    reader.done()


def quantity(reader: Reader, lists: Mapping[str, Any], program: Mapping[str, Any]) -> dict[str, Any]:
    """kind, choices, unit, least, most of a fact or of a reading no sheet judges."""
    kinds = [*PLAIN, *program["kinds"]]
    kind = reader.choice("kind", kinds) or "text"
    out: dict[str, Any] = {"kind": kind}
    if kind == "word":
        out["choices"] = choices(reader, lists, program)
    elif kind not in PLAIN:
        unit = reader.choice("unit", program["units"])
        out["unit"] = unit
        for key in ("least", "most"):
            if (text := reader.string(key, optional=True)) is not None and unit:
                value = _bound(program, kind, unit, text)
                if value is None:
                    reader.fault(f"{key!r} must be a number with its unit, not {text!r}", key)
                else:
                    out[key] = value
    return out


def _bound(program: Mapping[str, Any], kind: str, unit: str, text: str) -> float | None:
    spec = {"name": "x", "label": {"en": "x"}, "kind": kind, "unit": unit}
    loose = {
        **program,
        "sheets": {"loose": {"sheet": "loose", "inputs": [spec], "lines": [], "checks": [], "windows": []}},
    }
    values, faults = read_inputs(loose, "loose", {"x": calc.entry_of(program, spec, text)})
    return None if faults else values.get("x")


def choices(reader: Reader, lists: Mapping[str, Any], program: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Inline, a named list of facts.yaml, or those of a sheet's input."""
    given = reader.raw("choices")
    if isinstance(given, list):
        return inline_choices(reader, "choices")
    inner = reader.inner("choices")
    if inner is None:
        return []
    if inner.has("list"):
        name = inner.choice("list", lists)
        inner.done()
        return list(lists.get(name or "", []))
    sheet, wanted = inner.choice("sheet", program["sheets"]), inner.string("input")
    inner.done()
    for spec in program["sheets"].get(sheet or "", {}).get("inputs", []):
        if spec["name"] == wanted and spec.get("choices"):
            return list(spec["choices"])
    reader.fault(f"the sheet {sheet!r} has no input {wanted!r} with choices", "choices")
    return []


def inline_choices(reader: Reader, key: str) -> list[dict[str, Any]]:
    """`[{word, label}]`."""
    out = []
    for one in reader.items(key):
        out.append({"word": one.string("word") or "", "label": one.words("label") or {}})
        one.done()
    if len({one["word"] for one in out}) != len(out):
        reader.fault(f"{key!r}: a word stands twice", key)
    return out

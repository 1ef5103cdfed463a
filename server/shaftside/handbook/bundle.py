"""From a folder of content to one document whose hash is its name."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import rfc8785

from shaftside import calc
from shaftside.calc.content import PREFIX
from shaftside.calc.problems import Problems
from shaftside.handbook import languages, plant
from shaftside.handbook.board import load_board, steps_fit
from shaftside.handbook.drawing import load_drawings
from shaftside.handbook.facts import Facts, load_facts
from shaftside.handbook.procedure import WORKS, Placed, load_part, load_procedure
from shaftside.handbook.texts import texts_of

FORMAT = 1
SOURCE = "en"


@dataclass(frozen=True)
class Bundle:
    """hash: SHA-256 hex of `bytes`, the canonical JSON (RFC 8785) of `data`.

    packs: the documents that `data["packs"]` names by hash, kept beside it: `figures`, and one for each language but English.
    """

    hash: str
    bytes: bytes
    data: dict[str, Any]
    packs: Mapping[str, Bundle] = field(default_factory=dict)


def bind(data: dict[str, Any], packs: Mapping[str, Bundle] | None = None) -> Bundle:
    """Write the document canonically and name it by its hash."""
    held = packs or {}
    whole = data | ({"packs": {name: pack.hash for name, pack in held.items()}} if held else {})
    content = rfc8785.dumps(whole)
    return Bundle(hashlib.sha256(content).hexdigest(), content, whole, held)


def build(folder: Path, own: Path | None = None, translated: bool = True) -> Bundle:
    """Load facts.yaml, sheets/, tables/, drawings/, shared/, methods/ and languages/ of `folder`, and on top a plant's `own` folder.

    translated: with a pack for each complete language. Raises calc.ContentError with every problem.
    """
    program = calc.load(folder, own).program
    problems = Problems()
    facts = load_facts(folder / "facts.yaml", program, problems)
    board = load_board(folder / "lockout.yaml", program, problems)
    parts: dict[str, dict[str, Any]] = {}
    for path in sorted((folder / "shared").glob("*.yaml")):
        part = load_part(path, f"shared/{path.name}", facts, program, problems)
        if part is not None:
            parts[path.stem] = part
    used: set[str] = set()
    procedures: dict[str, Any] = {}
    ours: dict[str, tuple[dict[str, Any], list[Placed]]] = {}
    held = plant.load_plant(own, facts, program, problems) if own else plant.Own({})

    def lay_in(steps: list[Placed], procedure: str) -> list[Placed]:
        return plant.lay_in(steps, procedure, held.additions)

    for path in sorted((folder / "methods").glob("*.yaml")):
        procedure = load_procedure(path, f"methods/{path.name}", facts, parts, program, problems, used, lay_in=lay_in, ours=ours)
        if procedure is not None:
            procedures[path.stem] = procedure
    for path in sorted((own / "procedures").glob("*.yaml")) if own else []:
        file = f"plant/procedures/{path.name}"
        if not path.stem.startswith(PREFIX):
            problems.add(file, 0, f"a plant's own procedure begins with {PREFIX!r}: {PREFIX}{path.name}")
            continue
        procedure = load_procedure(path, file, facts, parts, program, problems, used, True, lay_in, ours)
        if procedure is not None:
            procedures[path.stem] = procedure
    plant.nowhere(held.additions, procedures)
    must = {name: one["must_end"] for name, one in board["lists"].items() if "must_end" in one}
    for procedure in procedures.values():
        if any("rows" in step for step in procedure["steps"]):
            procedure["must_end"] = must
    for name in sorted(set(parts) - used):
        problems.add(f"shared/{name}.yaml", 0, "no procedure uses this part: take it out, or use it")
    steps_fit(board, procedures, problems)
    _complete(facts, procedures, problems)
    drawings = load_drawings(folder, program["sheets"], (SOURCE,), problems)
    problems.raise_any()
    methods = {one["word"]: {"title": one["label"]} for one in facts.by_name["locking_method"]["choices"]}
    data = {
        "format": FORMAT,
        "board": board,
        "calc": program,
        "facts": facts.listed,
        "methods": methods,
        "procedures": procedures,
    } | ({"plant": {"title": held.title}} if own else {})
    packs = {"figures": bind({"format": FORMAT, "figures": drawings})}
    if translated:
        packs |= _translated(folder, own, data, drawings, problems)
    problems.raise_any()
    return bind(data | {"languages": [SOURCE, *(name for name in packs if name != "figures")]}, packs)


def _translated(folder: Path, own: Path | None, data: dict[str, Any], drawings: dict[str, Any], problems: Problems) -> dict[str, Bundle]:
    """A pack for each language whose file calls itself complete. A plant's own texts stand in its own files, or stay English."""
    whole = [one for one in languages.files(folder) if languages.says_complete(one[0])]
    if not whole:
        return {}
    texts = texts_of(data, drawings)
    out = {}
    for path, file in whole:
        language = languages.read(path, file, problems)
        if language is None:
            continue
        languages.check(language, [one for one in texts if one.ours], problems)
        said = dict(language.said)
        for its, name in languages.files(own, "plant/") if own else []:
            theirs = languages.read(its, name, problems) if its.stem == path.stem else None
            if theirs is not None:
                languages.check(theirs, [one for one in texts if not one.ours], problems)
                said |= theirs.said
        out[path.stem] = bind(languages.pack(path.stem, texts, said))
    return out


def _complete(facts: Facts, procedures: dict[str, Any], problems: Problems) -> None:
    """Each locking method can be mounted, removed and checked after a run."""
    for method in facts.methods:
        for work in WORKS:
            if f"{method}_{work}" not in procedures:
                problems.add(
                    f"methods/{method}_{work}.yaml",
                    0,
                    "is missing: every locking method is mounted, removed and checked",
                )

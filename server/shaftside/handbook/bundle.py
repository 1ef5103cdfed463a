"""From a folder of content to one document whose hash is its name."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import rfc8785

from shaftside import calc
from shaftside.calc.content import PREFIX
from shaftside.calc.problems import Problems
from shaftside.handbook import plant
from shaftside.handbook.board import load_board
from shaftside.handbook.drawing import load_drawings
from shaftside.handbook.facts import Facts, load_facts
from shaftside.handbook.procedure import Placed, load_part, load_procedure

FORMAT = 1
LANGUAGES = ("en",)
WORKS = ("mount", "remove")


@dataclass(frozen=True)
class Bundle:
    """hash: SHA-256 hex of `bytes`, the canonical JSON (RFC 8785) of `data`."""

    hash: str
    bytes: bytes
    data: dict[str, Any]


def bind(data: dict[str, Any]) -> Bundle:
    """Write the document canonically and name it by its hash."""
    content = rfc8785.dumps(data)
    return Bundle(hashlib.sha256(content).hexdigest(), content, data)


def build(folder: Path, own: Path | None = None) -> Bundle:
    """Load facts.yaml, sheets/, tables/, drawings/, shared/ and methods/ of `folder`, and on top a plant's `own` folder.

    Raises calc.ContentError with every problem.
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
    _complete(facts, procedures, problems)
    drawings = load_drawings(folder, program["sheets"], LANGUAGES, problems)
    problems.raise_any()
    methods = {one["word"]: {"title": one["label"]} for one in facts.by_name["locking_method"]["choices"]}
    return bind(
        {
            "format": FORMAT,
            "languages": list(LANGUAGES),
            "board": board,
            "calc": program,
            "drawings": drawings,
            "facts": facts.listed,
            "methods": methods,
            "procedures": procedures,
        }
        | ({"plant": {"title": held.title}} if own else {})
    )


def _complete(facts: Facts, procedures: dict[str, Any], problems: Problems) -> None:
    """Each locking method can be mounted and removed."""
    for method in facts.methods:
        for work in WORKS:
            if f"{method}_{work}" not in procedures:
                problems.add(
                    f"methods/{method}_{work}.yaml",
                    0,
                    "is missing: every locking method is mounted and removed",
                )

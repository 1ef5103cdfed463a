"""A folder of sheets and tables -> one program, or every reason why not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from shaftside.calc import strict_yaml
from shaftside.calc.dimension import Type, Word, YesNo, of_kind
from shaftside.calc.evaluator import EVALUATOR
from shaftside.calc.expression import Expr, ExpressionFault, TableShape, compile_expression
from shaftside.calc.problems import ContentError, Problems
from shaftside.calc.reader import Reader
from shaftside.calc.registry import program_kinds, program_units
from shaftside.calc.sheet import load_sheet
from shaftside.calc.table import load_table, shape


@dataclass(frozen=True)
class Calc:
    """Loaded content. `program` is plain JSON data: what both evaluators walk and what a bundle carries."""

    program: dict[str, Any]
    shapes: dict[str, TableShape] = field(repr=False, default_factory=dict)


PREFIX = "plant_"
"""How everything of a plant's own is named, so that no later sheet or table of ours can collide with it."""


def load(folder: Path, own: Path | None = None) -> Calc:
    """Load `folder`/sheets/*.yaml and `folder`/tables/*.yaml + *.csv, and on top those and limits/*.yaml of a plant's `own`.

    Raises ContentError with all problems.
    """
    from shaftside.calc.words import WORDS

    problems = Problems()
    limits = plant_limits(own, problems) if own else {}
    tables: dict[str, Any] = {}
    for path, file in _files(folder, own, "tables", problems):
        try:
            table = load_table(path, problems, file, file.replace(".yaml", ".csv"))
        except ContentError as error:
            problems.take(error)
            continue
        if table is not None:
            tables[path.stem] = table
    for place in (folder, own) if own else (folder,):
        for path in sorted((place / "tables").glob("*.csv")):
            if not path.with_suffix(".yaml").exists():
                problems.add(f"{'' if place == folder else 'plant/'}tables/{path.name}", 0, "has no passport: write its .yaml beside it")
    shapes = {name: shape(table) for name, table in tables.items()}
    sheets: dict[str, Any] = {}
    for path, file in _files(folder, own, "sheets", problems):
        try:
            sheet = load_sheet(path, problems, file, tables, shapes, limits.get(path.stem, ()))
        except ContentError as error:
            problems.take(error)
            continue
        if sheet is not None:
            sheets[path.stem] = sheet | {"plant": True} if file.startswith("plant/") else sheet
    for name, found in limits.items():
        if not (folder / "sheets" / f"{name}.yaml").exists():
            found[0].fault(f"there is no sheet {name!r}")
    problems.raise_any()
    return Calc({"evaluator": EVALUATOR, "units": program_units(), "kinds": program_kinds(), "words": WORDS, "tables": tables, "sheets": sheets}, shapes)


def _files(folder: Path, own: Path | None, kind: str, problems: Problems) -> list[tuple[Path, str]]:
    """The YAML files of a kind, ours first, each with the name it goes by in a fault."""
    out = [(path, f"{kind}/{path.name}") for path in sorted((folder / kind).glob("*.yaml"))]
    for path in sorted((own / kind).glob("*.yaml")) if own else []:
        file = f"plant/{kind}/{path.name}"
        if path.stem.startswith(PREFIX):
            out.append((path, file))
        else:
            problems.add(file, 0, f"a plant's own {kind[:-1]} begins with {PREFIX!r}: {PREFIX}{path.name}")
    return out


def plant_limits(own: Path, problems: Problems) -> dict[str, list[Reader]]:
    """A plant's own checks by the sheet of ours that they tighten, from limits/SHEET.yaml; faults go to `problems`."""
    out: dict[str, list[Reader]] = {}
    for path in sorted((own / "limits").glob("*.yaml")):
        file = f"plant/limits/{path.name}"
        try:
            top = Reader(strict_yaml.read(path, file), problems)
        except ContentError as error:
            problems.take(error)
            continue
        if top.name("sheet") != path.stem:
            top.fault(f"'sheet' must be {path.stem!r}, like the file", "sheet")
        out[path.stem] = top.items("checks")
        for one in out[path.stem]:
            name = one.data.get("name")
            if not isinstance(name, str) or not name.startswith(PREFIX):
                one.fault(f"a plant's own check begins with {PREFIX!r}: {PREFIX}{name}", "name")
            if one.data.get("level") == "refuse":
                one.fault("a plant's own check says stop, caution or note; only the sheet itself refuses", "level")
        if not out[path.stem]:
            top.fault("limits without a check", "checks")
            del out[path.stem]
        top.done()
    return out


def symbol(kind: str, words: frozenset[str] | None = None) -> Type:
    """The type of a fact: kind `word` (with its closed list), `yesno`, or a kind of quantity."""
    if kind == "word":
        return Word(words)
    return YesNo() if kind == "yesno" else of_kind(kind)


def compile_condition(text: str, symbols: Mapping[str, Type]) -> Expr:
    """Compile a yes/no condition over facts. Raises ExpressionFault with the reason."""
    expr, got = compile_expression(text, symbols)
    if not isinstance(got, YesNo):
        raise ExpressionFault("is not a yes/no condition")
    return expr

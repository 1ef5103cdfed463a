"""A folder of sheets and tables -> one program, or every reason why not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from shaftside.calc.dimension import Type, Word, YesNo, of_kind
from shaftside.calc.evaluator import EVALUATOR
from shaftside.calc.expression import Expr, ExpressionFault, TableShape, compile_expression
from shaftside.calc.problems import ContentError, Problems
from shaftside.calc.registry import program_kinds, program_units
from shaftside.calc.sheet import load_sheet
from shaftside.calc.table import load_table, shape


@dataclass(frozen=True)
class Calc:
    """Loaded content. `program` is plain JSON data: what both evaluators walk and what a bundle carries."""

    program: dict[str, Any]
    shapes: dict[str, TableShape] = field(repr=False, default_factory=dict)


def load(folder: Path) -> Calc:
    """Load `folder`/sheets/*.yaml and `folder`/tables/*.yaml + *.csv. Raises ContentError with all problems."""
    from shaftside.calc.words import WORDS

    problems = Problems()
    tables: dict[str, Any] = {}
    for path in sorted((folder / "tables").glob("*.yaml")):
        try:
            table = load_table(path, problems, f"tables/{path.name}", f"tables/{path.stem}.csv")
        except ContentError as error:
            problems.take(error)
            continue
        if table is not None:
            tables[path.stem] = table
    for path in sorted((folder / "tables").glob("*.csv")):
        if not path.with_suffix(".yaml").exists():
            problems.add(f"tables/{path.name}", 0, "has no passport: write its .yaml beside it")
    shapes = {name: shape(table) for name, table in tables.items()}
    sheets: dict[str, Any] = {}
    for path in sorted((folder / "sheets").glob("*.yaml")):
        try:
            sheet = load_sheet(path, problems, f"sheets/{path.name}", tables, shapes)
        except ContentError as error:
            problems.take(error)
            continue
        if sheet is not None:
            sheets[path.stem] = sheet
    problems.raise_any()
    return Calc({"evaluator": EVALUATOR, "units": program_units(), "kinds": program_kinds(), "words": WORDS, "tables": tables, "sheets": sheets}, shapes)


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

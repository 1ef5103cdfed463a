"""Calculation sheets: load, compile, prove dimensions, evaluate, show the working.

The public face of the room. Values are SI floats, words, yes/no, lists of floats, or None (not given). Names are
fetched when first used, so that importing this package costs nothing.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from shaftside.calc import strict_yaml
    from shaftside.calc.content import Calc, compile_condition, load, symbol
    from shaftside.calc.evaluator import EVALUATOR, VERDICTS, evaluate, truth
    from shaftside.calc.expression import ExpressionFault
    from shaftside.calc.inputs import FieldProblem, entry_of, read_inputs, read_makers
    from shaftside.calc.problems import ContentError, Problem, Problems
    from shaftside.calc.reader import Reader
    from shaftside.calc.showing import say_value, show
    from shaftside.calc.slips import asks, fact_asks, said_asks, say_ask
    from shaftside.calc.workings import over_working, say_check, say_refusal, working

_HOMES = {
    "content": ("Calc", "compile_condition", "load", "symbol"),
    "evaluator": ("EVALUATOR", "VERDICTS", "evaluate", "truth"),
    "expression": ("ExpressionFault",),
    "inputs": ("FieldProblem", "entry_of", "read_inputs", "read_makers"),
    "problems": ("ContentError", "Problem", "Problems"),
    "reader": ("Reader",),
    "showing": ("say_value", "show"),
    "slips": ("asks", "fact_asks", "said_asks", "say_ask"),
    "workings": ("over_working", "say_check", "say_refusal", "working"),
}

__all__ = [
    "EVALUATOR", "VERDICTS", "Calc", "ContentError", "ExpressionFault", "FieldProblem", "Problem", "Problems", "Reader",
    "asks", "compile_condition", "entry_of", "evaluate", "fact_asks", "load", "over_working", "read_inputs", "read_makers", "said_asks",
    "say_ask", "say_check", "say_refusal", "say_value", "show", "strict_yaml", "symbol", "truth", "working",
]  # fmt: skip


def __getattr__(name: str) -> Any:
    if name == "strict_yaml":  # a module that others use whole
        return import_module("shaftside.calc.strict_yaml")
    for home, names in _HOMES.items():
        if name in names:
            found = getattr(import_module(f"shaftside.calc.{home}"), name)
            globals()[name] = found
            return found
    raise AttributeError(name)

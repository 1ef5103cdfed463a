"""Calculation sheets: load, compile, prove dimensions, evaluate, show the working.

The public face of the room. Values are SI floats, words, yes/no, lists of floats, or None (not given).
"""

from shaftside.calc import strict_yaml
from shaftside.calc.content import Calc, compile_condition, load, symbol
from shaftside.calc.expression import ExpressionFault
from shaftside.calc.problems import ContentError, Problem, Problems

__all__ = ["Calc", "ContentError", "ExpressionFault", "Problem", "Problems", "compile_condition", "load", "symbol"]

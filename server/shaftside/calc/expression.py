"""Expressions: a small part of Python's own expression grammar, read by `ast`, turned into nested JSON arrays.

The arrays are the only thing the evaluators walk; there is nothing in them but numbers, names, a closed list of
operators and a closed list of functions. While reading, every node is given its type, so a wrong dimension, an
unknown name or a word that no list has never loads.
"""

from __future__ import annotations

import ast
import math
import re
import warnings
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from shaftside.calc import dimension as dim
from shaftside.calc.dimension import Nothing, Num, Numbers, Type, TypeFault, Word, YesNo
from shaftside.calc.registry import measures
from shaftside.calc.units import UNITS

MOST_LENGTH = 1000
MOST_DEPTH = 30
MOST_EXPONENT = 12

Expr = list[Any]

_OPERATORS: dict[type[ast.AST], str] = {ast.Add: "+", ast.Sub: "-", ast.Mult: "*", ast.Div: "/", ast.Pow: "**"}
_COMPARE: dict[type[ast.AST], str] = {ast.Lt: "<", ast.LtE: "<=", ast.Gt: ">", ast.GtE: ">=", ast.Eq: "==", ast.NotEq: "!="}
_NUMBER = re.compile(r"([0-9]+\.?[0-9]*|\.[0-9]+)([eE][-+]?[0-9]+)?\Z")
# name -> least and most number of arguments
FUNCTIONS: dict[str, tuple[int, int]] = {
    "sqrt": (1, 1), "abs": (1, 1), "min": (2, 8), "max": (2, 8), "floor": (1, 1), "ceil": (1, 1),
    "sin": (1, 1), "cos": (1, 1), "tan": (1, 1), "atan": (1, 1), "exp": (1, 1), "log": (1, 1),
    "mean": (1, 1), "least": (1, 1), "most": (1, 1), "count": (1, 1), "spread": (1, 1),
}  # fmt: skip
SPECIAL = ("given", "by_maker", "lookup", "has", "q")


@dataclass(frozen=True)
class TableShape:
    """What an expression needs to know of a table: its keys in order, its value columns' types."""

    keys: tuple[tuple[str, Type], ...]
    columns: Mapping[str, Type]


class ExpressionFault(Exception):
    """Why an expression is refused, without place."""


def compile_expression(
    text: str,
    symbols: Mapping[str, Type],
    tables: Mapping[str, TableShape] | None = None,
    maker_lines: frozenset[str] = frozenset(),
    empirical: Mapping[str, str] | None = None,
) -> tuple[Expr, Type]:
    """Compile an expression to arrays and its type. Raises ExpressionFault with the reason.

    `empirical`: unit of each symbol of a rule that is not dimensionally whole; the numbers are then plain.
    """
    if len(text) > MOST_LENGTH:
        raise ExpressionFault(f"longer than {MOST_LENGTH} characters")
    if not text.strip():
        raise ExpressionFault("is empty")
    bad = next((one for one in text if not (" " <= one <= "~")), None)
    if bad is not None or "\\" in text:
        raise ExpressionFault(f"the character {bad if bad is not None else chr(92)!r} is not allowed")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            tree = ast.parse(text.strip(), mode="eval")
    except (SyntaxError, ValueError, RecursionError, MemoryError, Warning) as error:
        raise ExpressionFault(f"cannot be read: {getattr(error, 'msg', None) or error}") from error
    compiler = _Compiler(text.strip(), symbols, tables or {}, maker_lines, empirical)
    try:
        return compiler.visit(tree.body, 0)
    except TypeFault as error:
        raise ExpressionFault(str(error)) from error


class _Compiler:
    def __init__(self, text: str, symbols: Mapping[str, Type], tables: Mapping[str, TableShape], maker_lines: frozenset[str], empirical: Mapping[str, str] | None) -> None:
        self.text = text
        self.symbols = symbols
        self.tables = tables
        self.maker_lines = maker_lines
        self.empirical = empirical

    def visit(self, node: ast.expr, depth: int) -> tuple[Expr, Type]:
        if depth > MOST_DEPTH:
            raise ExpressionFault(f"nested deeper than {MOST_DEPTH}")
        depth += 1
        if isinstance(node, ast.Constant):
            return self.constant(node)
        if isinstance(node, ast.Name):
            return self.name(node.id)
        if isinstance(node, ast.BinOp):
            return self.binary(node, depth)
        if isinstance(node, ast.UnaryOp):
            return self.unary(node, depth)
        if isinstance(node, ast.BoolOp):
            return self.logic(node, depth)
        if isinstance(node, ast.Compare):
            return self.compare(node, depth)
        if isinstance(node, ast.IfExp):
            condition = self.yesno(node.test, depth, "the condition of `if`")
            left, a = self.visit(node.body, depth)
            right, b = self.visit(node.orelse, depth)
            return ["if", condition, left, right], dim.join(a, b, "if/else")
        if isinstance(node, ast.Call):
            return self.call(node, depth)
        raise ExpressionFault(f"{_called(node)} is not allowed")

    def constant(self, node: ast.Constant) -> tuple[Expr, Type]:
        value = node.value
        if value is None:
            return ["none"], Nothing()
        if isinstance(value, bool):
            return ["yes", value], YesNo()
        if isinstance(value, str):
            if node.kind is not None:
                raise ExpressionFault("string prefixes are not allowed")
            return ["word", value], Word(frozenset([value]))
        if isinstance(value, int | float):
            written = ast.get_source_segment(self.text, node) or ""
            number = float(value) if abs(value) < 1e300 else math.inf
            if not _NUMBER.match(written) or not math.isfinite(number):
                raise ExpressionFault(f"{written[:30]!r} is not a plain decimal number")
            return ["num", number], Num(dim.NONE, None, number == 0, True)
        raise ExpressionFault(f"{type(value).__name__} constants are not allowed")

    def name(self, name: str) -> tuple[Expr, Type]:
        if name in self.symbols:
            found = self.symbols[name]
            if self.empirical is not None and isinstance(found, Num):
                return self.empirical_name(name, found)
            return ["get", name], found
        if name == "pi":
            return ["num", math.pi, "", "pi"], dim.PLAIN
        near = get_close_matches(name, [*self.symbols, "pi"], 1)
        raise ExpressionFault(f"the name {name!r} is not known here" + (f": did you mean {near[0]!r}?" if near else " (a line may use inputs and earlier lines)"))

    def empirical_name(self, name: str, found: Num) -> tuple[Expr, Type]:
        assert self.empirical is not None
        if name not in self.empirical:
            if found.dim == dim.NONE:
                return ["get", name], found
            raise ExpressionFault(f"an empirical line must state the unit of {name!r}")
        unit = UNITS[self.empirical[name]]
        if found.kind not in unit.kinds and found.dim != measures()[unit.code].dim:
            raise ExpressionFault(f"{name!r} is {dim.describe(found)}: it has no unit {unit.code}")
        return ["get_in", name, unit.code], dim.PLAIN

    def binary(self, node: ast.BinOp, depth: int) -> tuple[Expr, Type]:
        op = _OPERATORS.get(type(node.op))
        if op is None:
            raise ExpressionFault(f"the operator {_called(node.op)} is not allowed")
        left, a_ = self.visit(node.left, depth)
        right, b_ = self.visit(node.right, depth)
        a, b = dim.number(a_, op), dim.number(b_, op)
        if op == "**":
            exponent = _constant(right)
            if exponent is not None and abs(exponent) > MOST_EXPONENT:
                raise ExpressionFault(f"exponents go to {MOST_EXPONENT} at most")
            return [op, left, right], dim.power(a, exponent, b)
        rule = {"+": dim.add, "-": dim.subtract, "*": dim.multiply, "/": dim.divide}[op]
        return [op, left, right], rule(a, b)

    def unary(self, node: ast.UnaryOp, depth: int) -> tuple[Expr, Type]:
        if isinstance(node.op, ast.Not):
            return ["not", self.yesno(node.operand, depth, "`not`")], YesNo()
        if not isinstance(node.op, ast.USub):
            raise ExpressionFault(f"the operator {_called(node.op)} is not allowed")
        inner, kind = self.visit(node.operand, depth)
        got = dim.number(kind, "-")
        if got.kind == "temperature":
            raise ExpressionFault("a temperature cannot be negated")
        return ["neg", inner], Num(got.dim, got.kind, got.zero)

    def yesno(self, node: ast.expr, depth: int, where: str) -> Expr:
        expr, got = self.visit(node, depth)
        if not isinstance(got, YesNo | Nothing):
            raise ExpressionFault(f"{where} needs yes/no, not {dim.describe(got)}")
        return expr

    def logic(self, node: ast.BoolOp, depth: int) -> tuple[Expr, Type]:
        op = "and" if isinstance(node.op, ast.And) else "or"
        parts = [self.yesno(one, depth, f"`{op}`") for one in node.values]
        out = parts[0]
        for one in parts[1:]:
            out = [op, out, one]
        if len(parts) + depth > MOST_DEPTH:
            raise ExpressionFault(f"nested deeper than {MOST_DEPTH}")
        return out, YesNo()

    def compare(self, node: ast.Compare, depth: int) -> tuple[Expr, Type]:
        out: Expr | None = None
        left_node = node.left
        for op, right_node in zip(node.ops, node.comparators, strict=True):
            one = self.compare_two(left_node, op, right_node, depth)
            out = one if out is None else ["and", out, one]
            left_node = right_node
        assert out is not None
        return out, YesNo()

    def compare_two(self, left_node: ast.expr, op: ast.cmpop, right_node: ast.expr, depth: int) -> Expr:
        left, a = self.visit(left_node, depth)
        if isinstance(op, ast.In | ast.NotIn):
            if not isinstance(right_node, ast.Tuple) or not isinstance(a, Word):
                raise ExpressionFault("`in` asks whether a word is one of a list: x in ('a', 'b')")
            words = []
            for item in right_node.elts:
                if not isinstance(item, ast.Constant) or not isinstance(item.value, str):
                    raise ExpressionFault("the list after `in` holds words in quotes")
                words.append(item.value)
                self.known_word(a, Word(frozenset([item.value])))
            inside: Expr = ["in", left, words]
            return ["not", inside] if isinstance(op, ast.NotIn) else inside
        sign = _COMPARE.get(type(op))
        if sign is None:
            raise ExpressionFault("`is` is not allowed: use given(x)")
        right, b = self.visit(right_node, depth)
        if (isinstance(a, Word) and isinstance(b, Word)) or (isinstance(a, YesNo) and isinstance(b, YesNo)):
            if sign not in ("==", "!="):
                raise ExpressionFault(f"{sign} compares numbers only")
            if isinstance(a, Word) and isinstance(b, Word):
                self.known_word(a, b)
            return ["eq" if sign == "==" else "ne", left, right]
        per = dim.per_of(dim.same(dim.number(a, sign), dim.number(b, sign), sign))
        return ["cmp", sign, left, right, per]

    @staticmethod
    def known_word(a: Word, b: Word) -> None:
        if a.words is not None and b.words is not None and not a.words & b.words:
            raise ExpressionFault(f"can never be true: {', '.join(sorted(b.words)[:8])} is none of {', '.join(sorted(a.words)[:12])}")

    def call(self, node: ast.Call, depth: int) -> tuple[Expr, Type]:
        if not isinstance(node.func, ast.Name):
            raise ExpressionFault("only the listed functions can be called")
        name = node.func.id
        if node.keywords or any(isinstance(one, ast.Starred) for one in node.args):
            raise ExpressionFault(f"{name}() takes plain arguments only")
        if name in SPECIAL:
            return self.special(name, node.args, depth)
        if name not in FUNCTIONS:
            near = get_close_matches(name, [*FUNCTIONS, *SPECIAL], 1)
            raise ExpressionFault(f"there is no function {name!r}" + (f": did you mean {near[0]!r}?" if near else ""))
        least, most = FUNCTIONS[name]
        if not least <= len(node.args) <= most:
            raise ExpressionFault(f"{name}() takes {least if least == most else f'{least} to {most}'} arguments, not {len(node.args)}")
        done = [self.visit(one, depth) for one in node.args]
        return ["call", name, *(expr for expr, _ in done)], _returns(name, [kind for _, kind in done])

    def special(self, name: str, args: list[ast.expr], depth: int) -> tuple[Expr, Type]:
        if name == "q":
            return self.quantity(args)
        if name in ("given", "by_maker"):
            if len(args) != 1:
                raise ExpressionFault(f"{name}() takes one name")
            only = args[0]
            asked = only.id if isinstance(only, ast.Name) else only.value if isinstance(only, ast.Constant) and name == "by_maker" else None
            if name == "by_maker":
                if not isinstance(asked, str) or asked not in self.maker_lines:
                    raise ExpressionFault(f"by_maker() takes the name of a line with `maker`, not {asked!r}")
                return ["by_maker", asked], YesNo()
            if not isinstance(asked, str) or asked not in self.symbols:
                raise ExpressionFault(f"given() takes the name of an input or line, not {asked!r}")
            return ["given", asked], YesNo()
        return self.look(name, args, depth)

    def quantity(self, args: list[ast.expr]) -> tuple[Expr, Type]:
        if len(args) != 2 or not isinstance(args[1], ast.Constant) or not isinstance(args[1].value, str):
            raise ExpressionFault("q() takes a number and a unit: q(5, 'mm')")
        number = args[0].operand if isinstance(args[0], ast.UnaryOp) and isinstance(args[0].op, ast.USub) else args[0]
        if not isinstance(number, ast.Constant):
            raise ExpressionFault("q() takes a number and a unit: q(5, 'mm')")
        expr, kind = self.constant(number)
        if not isinstance(kind, Num):
            raise ExpressionFault("q() takes a number and a unit: q(5, 'mm')")
        code = args[1].value
        if code not in UNITS:
            raise ExpressionFault(f"the unit {code!r} is not in our list")
        value = -expr[1] if number is not args[0] else expr[1]
        got = measures()[code]
        written = ast.get_source_segment(self.text, args[0]) or repr(value)
        return ["num", value * got.factor + got.zero, code, written.replace(" ", "")], Num(got.dim, UNITS[code].kinds[0] if code != "1" else None)

    def look(self, name: str, args: list[ast.expr], depth: int) -> tuple[Expr, Type]:
        if len(args) < 3 or not all(isinstance(one, ast.Constant) and isinstance(one.value, str) for one in args[:2]):
            raise ExpressionFault(f"{name}() takes a table and a column in quotes, then the keys")
        table, column = (one.value for one in args[:2] if isinstance(one, ast.Constant))
        shape = self.tables.get(str(table))
        if shape is None:
            near = get_close_matches(str(table), list(self.tables), 1)
            raise ExpressionFault(f"there is no table {table!r}" + (f": did you mean {near[0]!r}?" if near else ""))
        if column not in shape.columns:
            raise ExpressionFault(f"table {table!r} has no value {column!r}: it has {', '.join(sorted(shape.columns))}")
        if len(args) - 2 != len(shape.keys):
            raise ExpressionFault(f"table {table!r} takes {len(shape.keys)} keys: {', '.join(key for key, _ in shape.keys)}")
        keys = []
        for node, (key, want) in zip(args[2:], shape.keys, strict=True):
            expr, got = self.visit(node, depth)
            if isinstance(want, Word):
                if not isinstance(got, Word | Nothing):
                    raise ExpressionFault(f"key {key!r} of table {table!r} is a word, not {dim.describe(got)}")
                # a listed word that the table lacks is a refusal at run time, unless none can ever match
                if isinstance(got, Word):
                    self.known_word(want, got)
            elif isinstance(want, Num):
                dim.same(want, dim.number(got, f"key {key!r}"), f"key {key!r} of table {table!r}")
            keys.append(expr)
        return [name, table, column, keys], YesNo() if name == "has" else shape.columns[str(column)]


def _returns(name: str, args: list[Type]) -> Type:
    if name in ("mean", "least", "most", "count", "spread"):
        if not isinstance(args[0], Numbers):
            raise TypeFault(f"{name}() takes a list, not {dim.describe(args[0])}")
        if name == "count":
            return Num(dim.NONE, "count")
        if name == "spread":
            return dim.subtract(args[0].of, args[0].of)
        return args[0].of
    numbers = [dim.number(one, f"{name}()") for one in args]
    if name in ("min", "max"):
        out = numbers[0]
        for one in numbers[1:]:
            out = dim.same(out, one, f"{name}()")
        return Num(out.dim, out.kind)
    if name == "abs":
        if numbers[0].kind == "temperature":
            raise TypeFault("abs() of a temperature means nothing: take a difference first")
        return Num(numbers[0].dim, numbers[0].kind)
    if name == "sqrt":
        return dim.root(numbers[0])
    if name in ("sin", "cos", "tan"):
        if numbers[0].dim != dim.kind_dim("angle"):
            raise TypeFault(f"{name}() takes an angle, not {dim.describe(numbers[0])}")
        return dim.PLAIN
    dim.plain(numbers[0], f"{name}()")
    return dim.of_kind("angle") if name == "atan" else dim.PLAIN


def _constant(expr: Expr) -> float | None:
    """Value of a constant exponent such as 2, -3 or 1/3."""
    if expr[0] == "num" and len(expr) == 2:
        return float(expr[1])
    if expr[0] == "neg":
        inner = _constant(expr[1])
        return None if inner is None else -inner
    if expr[0] == "/":
        a, b = _constant(expr[1]), _constant(expr[2])
        return None if a is None or not b else a / b
    return None


def _called(node: ast.AST) -> str:
    return {
        "Attribute": "an attribute (.)", "Subscript": "a subscript ([])", "Lambda": "lambda", "ListComp": "a comprehension",
        "GeneratorExp": "a comprehension", "SetComp": "a comprehension", "DictComp": "a comprehension", "List": "a list", "Tuple": "a tuple",
        "Dict": "a dictionary", "Set": "a set", "JoinedStr": "a formatted string", "NamedExpr": ":=", "Await": "await", "Starred": "*",
        "Mod": "%", "FloorDiv": "//", "MatMult": "@", "UAdd": "unary +", "Invert": "~",
    }.get(type(node).__name__, type(node).__name__)  # fmt: skip

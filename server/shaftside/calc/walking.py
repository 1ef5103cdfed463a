"""Arrays to functions: each compiled expression becomes one Python function, once per program.

The arrays are turned into Python's own syntax tree and compiled by Python: a call for every operator would cost four
times as much. No text of a sheet becomes source: names and words enter the tree as constants, everything else is ours.

`web/walking.js` walks the same arrays. The two agree to the last bit for + - * / and sqrt, to 1e-12 for the rest.
Anything on a value that is not given is not given; `and`/`or` decide where one side alone decides.
"""

from __future__ import annotations

import ast
import math
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from shaftside.calc.functions import ONE, Refuse, cannot, power, steps

Walk = Callable[[dict[str, Any]], Any]

_ARITHMETIC: dict[str, ast.operator] = {"+": ast.Add(), "-": ast.Sub(), "*": ast.Mult(), "/": ast.Div()}
_COMPARE: dict[str, ast.cmpop] = {"<": ast.Lt(), "<=": ast.LtE(), ">": ast.Gt(), ">=": ast.GtE(), "==": ast.Eq(), "!=": ast.NotEq()}
_NOTHING = ast.Constant(None)
_AS_LINE = ast.parse("""
if x.__class__ is float:
    if not isfinite(x):
        raise cannot()
    x += 0.0
""").body


def build(expr: list[Any], program: Mapping[str, Any], line: bool = False, bound: bool = False) -> Walk:
    """The function of one expression; its argument is the dictionary of values by name. It raises Refuse.

    As a line, it refuses a number that is not finite, and gives -0 as 0, as on the wire. `bound`: every name of it is in the
    dictionary, as inside a sheet, where what is not given is None: a fifth of the time of a long sheet is the asking.
    """
    writer = _Writer(program, bound)
    value = ast.NamedExpr(ast.Name("x", ast.Store()), writer.tree(expr))
    tried = ast.Try(
        body=[ast.Expr(value)],
        handlers=[
            # division by zero, and whole steps of what is not finite
            ast.ExceptHandler(
                type=ast.Tuple([_load(one) for one in ("ZeroDivisionError", "OverflowError", "ValueError")], ast.Load()),
                name=None,
                body=[ast.Raise(exc=ast.Call(_load("cannot"), [], []), cause=_NOTHING)],
            )
        ],
        orelse=[],
        finalbody=[],
    )
    return _function([tried, *(_AS_LINE if line else []), ast.Return(_load("x"))], writer.known)


def build_all(named: Sequence[tuple[str, list[Any]]], program: Mapping[str, Any]) -> Walk:
    """The lines of a row as one function, for speed: it sets each in its dictionary in turn, or raises at the first that refuses.

    A hundred small functions a row cost more in being called than in what they work out.
    """
    writer = _Writer(program, bound=True)
    body: list[ast.stmt] = []
    for name, expr in named:
        body.append(ast.Expr(ast.NamedExpr(ast.Name("x", ast.Store()), writer.tree(expr))))
        body += _AS_LINE
        body.append(ast.Assign([ast.Subscript(_load("v"), ast.Constant(name), ast.Store())], _load("x")))
    return _function([*body, ast.Return(_NOTHING)], writer.known)


def build_tuple(exprs: Sequence[list[Any]], program: Mapping[str, Any]) -> Walk:
    """The values of several expressions at once, as a tuple; raises if one of them does."""
    writer = _Writer(program, bound=True)
    return _function([ast.Return(ast.Tuple([writer.tree(expr) for expr in exprs], ast.Load()))], writer.known)


def _function(body: list[ast.stmt], known: dict[str, Any]) -> Walk:
    arguments = ast.arguments(posonlyargs=[], args=[ast.arg("v")], kwonlyargs=[], kw_defaults=[], defaults=[])
    whole = ast.Module([ast.FunctionDef("walk", arguments, body, [])], [])
    exec(compile(ast.fix_missing_locations(whole), "<sheet>", "exec"), known)
    made: Walk = known["walk"]
    return made


def _load(name: str) -> ast.Name:
    return ast.Name(name, ast.Load())


class _Writer:
    """Writes one expression as Python's syntax tree; `known` holds the functions it calls."""

    def __init__(self, program: Mapping[str, Any], bound: bool) -> None:
        self.program = program
        self.bound = bound
        self.known: dict[str, Any] = {"cannot": cannot, "floor": math.floor, "isfinite": math.isfinite, "power": power}
        self.made = 0

    def tree(self, e: list[Any]) -> ast.expr:
        head = e[0]
        if head in ("num", "word", "yes"):
            return ast.Constant(e[1])
        if head == "none":
            return _NOTHING
        if head == "get":
            return self.of(e[1])
        if head == "given":
            return _is_not_none(self.of(e[1]))
        if head == "by_maker":
            return ast.Compare(ast.Constant("by_maker:" + e[1]), [ast.In()], [_load("v")])
        if head in ("lookup", "has"):
            return self.given(e[3], lambda keys: ast.Call(_load(self.keep(_looker(e, self.program))), keys, []))
        if head in ("and", "or"):
            return self.logic(e)
        if head == "if":
            return self.given([e[1]], lambda c: ast.IfExp(c[0], self.tree(e[2]), self.tree(e[3])))
        return self.on_values(head, e)

    def on_values(self, head: str, e: list[Any]) -> ast.expr:
        """What gives nothing where any of its parts is not given."""
        if head in _ARITHMETIC:
            return self.given(e[1:3], lambda x: ast.BinOp(x[0], _ARITHMETIC[head], x[1]))
        if head == "**":
            return self.given(e[1:3], lambda x: ast.Call(_load("power"), x, []))
        if head == "cmp":
            return self.given(e[2:4], lambda x: ast.Compare(_whole(x[0], e[4]), [_COMPARE[e[1]]], [_whole(x[1], e[4])]))
        if head in ("eq", "ne"):
            return self.given(e[1:3], lambda x: ast.Compare(x[0], [ast.Eq() if head == "eq" else ast.NotEq()], [x[1]]))
        if head == "neg":
            return self.given([e[1]], lambda x: ast.UnaryOp(ast.USub(), x[0]))
        if head == "not":
            return self.given([e[1]], lambda x: ast.UnaryOp(ast.Not(), x[0]))
        if head == "in":
            return self.given([e[1]], lambda x: ast.Compare(x[0], [ast.In()], [ast.Tuple([ast.Constant(one) for one in e[2]], ast.Load())]))
        if head == "call":
            return self.call(e)
        if head not in ("get_in", "set_in"):
            raise KeyError(head)
        unit = self.program["units"][e[2]]
        factor, zero = ast.Constant(unit["factor"]), ast.Constant(unit["zero"])
        if head == "get_in":
            return self.given([["get", e[1]]], lambda x: ast.BinOp(ast.BinOp(x[0], ast.Sub(), zero), ast.Div(), factor))
        if head == "set_in":
            return self.given([e[1]], lambda x: ast.BinOp(ast.BinOp(x[0], ast.Mult(), factor), ast.Add(), zero))
        raise KeyError(head)

    def call(self, e: list[Any]) -> ast.expr:
        name = e[1]
        if name not in ("min", "max"):
            return self.given([e[2]], lambda x: ast.Call(_load(self.keep(ONE[name])), x, []))
        # Python's own min and max keep the first of equals, as `x < out` one after another does
        self.known[name] = {"min": min, "max": max}[name]
        return self.given(e[2:], lambda x: ast.Call(_load(name), x, []) if len(x) > 1 else x[0])

    def given(self, parts: list[list[Any]], then: Callable[[list[ast.expr]], ast.expr]) -> ast.expr:
        """`then` of the parts' values, or None at the first that is not given; what stands after it is not worked out."""
        values: list[ast.expr] = []
        missing: list[ast.expr] = []
        for part in parts:
            written = self.tree(part)
            if isinstance(written, ast.Constant) and written.value is not None:
                values.append(written)
                continue
            name = self.name()
            missing.append(_is(ast.NamedExpr(ast.Name(name, ast.Store()), written), None))
            values.append(_load(name))
        if not missing:
            return then(values)
        test = missing[0] if len(missing) == 1 else ast.BoolOp(ast.Or(), missing)
        return ast.IfExp(test, _NOTHING, then(values))

    def logic(self, e: list[Any]) -> ast.expr:
        decides = e[0] == "or"
        a, b = self.name(), self.name()
        first, second = (ast.NamedExpr(ast.Name(name, ast.Store()), self.tree(part)) for name, part in ((a, e[1]), (b, e[2])))
        one_alone = ast.BoolOp(ast.Or(), [_is(first, decides), _is(second, decides)])
        open_ = ast.BoolOp(ast.Or(), [_is(_load(a), None), _is(_load(b), None)])
        return ast.IfExp(one_alone, ast.Constant(decides), ast.IfExp(open_, _NOTHING, ast.Constant(not decides)))

    def of(self, name: str) -> ast.expr:
        if self.bound:
            return ast.Subscript(_load("v"), ast.Constant(name), ast.Load())
        return ast.Call(ast.Attribute(_load("v"), "get", ast.Load()), [ast.Constant(name)], [])

    def name(self) -> str:
        self.made += 1
        return f"t{self.made}"

    def keep(self, function: Any) -> str:
        name = f"k{len(self.known)}"
        self.known[name] = function
        return name


def _is(value: ast.expr, what: bool | None) -> ast.expr:
    return ast.Compare(value, [ast.Is()], [ast.Constant(what)])


def _is_not_none(value: ast.expr) -> ast.expr:
    return ast.Compare(value, [ast.IsNot()], [_NOTHING])


def _whole(value: ast.expr, per: float) -> ast.expr:
    """Whole steps, written out: `floor(x * per + 0.5)`; of a constant, now."""
    if isinstance(value, ast.Constant) and isinstance(value.value, int | float):
        try:
            return ast.Constant(steps(value.value, per))
        except Refuse:
            pass  # refused when it is walked
    scaled = ast.BinOp(value, ast.Mult(), ast.Constant(per))
    return ast.Call(_load("floor"), [ast.BinOp(scaled, ast.Add(), ast.Constant(0.5))], [])


def _looker(e: list[Any], program: Mapping[str, Any]) -> Callable[..., Any]:
    """A look-up of one column: the value by its keys, or whether there is one."""
    asks, table_name, column = e[0] == "has", e[1], e[2]
    find = finder(program["tables"][table_name])

    def look(*keys: Any) -> Any:
        row = find(keys)
        found = None if row is None else row["values"].get(column)
        if asks:
            return found is not None
        if row is None:
            raise Refuse("outside_table", {"table": table_name, "keys": list(keys)})
        if found is None:
            raise Refuse("no_entry", {"table": table_name, "column": column, "keys": list(keys)})
        return found

    return look


def finder(table: Mapping[str, Any]) -> Callable[[tuple[Any, ...]], dict[str, Any] | None]:
    """Row of a table by its keys, boundary rules in whole steps."""
    ranged = next((at for at, key in enumerate(table["keys"]) if key["match"] == "range"), None)
    if ranged is None:
        flat: dict[tuple[Any, ...], dict[str, Any]] = {tuple(row["keys"]): row for row in table["rows"]}
        return flat.get
    spec = table["keys"][ranged]
    per, upper, lower_too = spec["per"], spec["includes"] == "upper", spec["lower_too"]
    groups: dict[tuple[Any, ...], tuple[list[int], list[int], list[dict[str, Any]]]] = {}
    for row in table["rows"]:
        over, up_to = row["keys"][ranged]
        words = tuple(row["keys"][:ranged] + row["keys"][ranged + 1 :])
        starts, ends, rows = groups.setdefault(words, ([], [], []))
        starts.append(steps(over, per))
        ends.append(steps(up_to, per))
        rows.append(row)

    def find(keys: tuple[Any, ...]) -> dict[str, Any] | None:
        x = steps(keys[ranged], per)
        group = groups.get(keys[:ranged] + keys[ranged + 1 :])
        if group is None:
            return None
        starts, ends, rows = group  # in order and without overlap: the loader saw to that
        at = (bisect_left if upper else bisect_right)(starts, x) - 1
        if at < 0:
            return rows[0] if upper and lower_too and x == starts[0] else None
        return rows[at] if x < ends[at] or (upper and x == ends[at]) else None

    return find


_CONDITIONS: dict[int, tuple[list[Any], Walk]] = {}
_MOST_CONDITIONS = 4096
_PLAIN: dict[str, Any] = {"units": {}, "tables": {}}


def truth(expr: list[Any], values: Mapping[str, Any]) -> bool | None:
    """A compiled condition over values: True, False, or None where something it needs is not given."""
    kept = _CONDITIONS.get(id(expr))
    if kept is None or kept[0] is not expr:
        if len(_CONDITIONS) >= _MOST_CONDITIONS:
            _CONDITIONS.clear()
        kept = _CONDITIONS[id(expr)] = (expr, build(expr, _PLAIN))
    got = kept[1](values if isinstance(values, dict) else dict(values))
    return None if got is None else bool(got)


def speaks(walk: Walk, v: dict[str, Any]) -> bool:
    """Whether a condition holds; what cannot be worked out does not hold."""
    try:
        return bool(walk(v))
    except Refuse:
        return False

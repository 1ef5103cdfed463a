"""Arrays to closures: each compiled expression becomes one Python function, once per program.

`web/walking.js` walks the same arrays. The two agree to the last bit for + - * / and sqrt, to 1e-12 for the rest.
Anything on a value that is not given is not given; `and`/`or` decide where one side alone decides.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

from shaftside.calc.functions import ONE, Refuse, cannot, power, steps

Walk = Callable[[dict[str, Any]], Any]


def build(expr: list[Any], program: Mapping[str, Any]) -> Walk:
    """The closure of one expression; its argument is the dictionary of values by name."""
    return _BUILD[expr[0]](expr, program)


def _num(e: list[Any], _: Any) -> Walk:
    value = e[1]
    return lambda v: value


def _get(e: list[Any], _: Any) -> Walk:
    name = e[1]
    return lambda v: v.get(name)


def _get_in(e: list[Any], program: Mapping[str, Any]) -> Walk:
    name, unit = e[1], program["units"][e[2]]
    factor, zero = unit["factor"], unit["zero"]

    def walk(v: dict[str, Any]) -> Any:
        x = v.get(name)
        return None if x is None else (x - zero) / factor

    return walk


def _set_in(e: list[Any], program: Mapping[str, Any]) -> Walk:
    inner, unit = build(e[1], program), program["units"][e[2]]
    factor, zero = unit["factor"], unit["zero"]

    def walk(v: dict[str, Any]) -> Any:
        x = inner(v)
        return None if x is None else x * factor + zero

    return walk


def _arithmetic(e: list[Any], program: Mapping[str, Any]) -> Walk:
    op, f, g = e[0], build(e[1], program), build(e[2], program)
    if op == "+":

        def walk(v: dict[str, Any]) -> Any:
            a = f(v)
            if a is None:
                return None
            b = g(v)
            return None if b is None else a + b

    elif op == "-":

        def walk(v: dict[str, Any]) -> Any:
            a = f(v)
            if a is None:
                return None
            b = g(v)
            return None if b is None else a - b

    elif op == "*":

        def walk(v: dict[str, Any]) -> Any:
            a = f(v)
            if a is None:
                return None
            b = g(v)
            return None if b is None else a * b

    elif op == "/":

        def walk(v: dict[str, Any]) -> Any:
            a = f(v)
            if a is None:
                return None
            b = g(v)
            if b is None:
                return None
            if b == 0:
                raise cannot()
            return a / b

    else:

        def walk(v: dict[str, Any]) -> Any:
            a = f(v)
            if a is None:
                return None
            b = g(v)
            return None if b is None else power(a, b)

    return walk


def _neg(e: list[Any], program: Mapping[str, Any]) -> Walk:
    f = build(e[1], program)

    def walk(v: dict[str, Any]) -> Any:
        a = f(v)
        return None if a is None else -a

    return walk


def _cmp(e: list[Any], program: Mapping[str, Any]) -> Walk:
    op, f, g, per = e[1], build(e[2], program), build(e[3], program), e[4]
    compare: Callable[[int, int], bool] = {
        "<": int.__lt__, "<=": int.__le__, ">": int.__gt__, ">=": int.__ge__, "==": int.__eq__, "!=": int.__ne__,
    }[op]  # fmt: skip

    def walk(v: dict[str, Any]) -> Any:
        a = f(v)
        if a is None:
            return None
        b = g(v)
        return None if b is None else compare(steps(a, per), steps(b, per))

    return walk


def _eq(e: list[Any], program: Mapping[str, Any]) -> Walk:
    same, f, g = e[0] == "eq", build(e[1], program), build(e[2], program)

    def walk(v: dict[str, Any]) -> Any:
        a = f(v)
        if a is None:
            return None
        b = g(v)
        return None if b is None else (a == b) is same

    return walk


def _in(e: list[Any], program: Mapping[str, Any]) -> Walk:
    f, words = build(e[1], program), frozenset(e[2])

    def walk(v: dict[str, Any]) -> Any:
        a = f(v)
        return None if a is None else a in words

    return walk


def _logic(e: list[Any], program: Mapping[str, Any]) -> Walk:
    f, g, decides = build(e[1], program), build(e[2], program), e[0] == "or"

    def walk(v: dict[str, Any]) -> Any:
        a = f(v)
        if a is decides:
            return decides
        b = g(v)
        if b is decides:
            return decides
        return None if a is None or b is None else not decides

    return walk


def _not(e: list[Any], program: Mapping[str, Any]) -> Walk:
    f = build(e[1], program)

    def walk(v: dict[str, Any]) -> Any:
        a = f(v)
        return None if a is None else not a

    return walk


def _if(e: list[Any], program: Mapping[str, Any]) -> Walk:
    c, f, g = build(e[1], program), build(e[2], program), build(e[3], program)

    def walk(v: dict[str, Any]) -> Any:
        condition = c(v)
        return None if condition is None else f(v) if condition else g(v)

    return walk


def _call(e: list[Any], program: Mapping[str, Any]) -> Walk:
    name, parts = e[1], [build(one, program) for one in e[2:]]
    if name in ("min", "max"):
        lower = name == "min"

        def walk(v: dict[str, Any]) -> Any:
            out = parts[0](v)
            if out is None:
                return None
            for part in parts[1:]:
                x = part(v)
                if x is None:
                    return None
                if x < out if lower else x > out:
                    out = x
            return out

        return walk
    function, only = ONE[name], parts[0]

    def walk_one(v: dict[str, Any]) -> Any:
        x = only(v)
        return None if x is None else function(x)

    return walk_one


def _given(e: list[Any], _: Any) -> Walk:
    name = e[1]
    return lambda v: v.get(name) is not None


def _by_maker(e: list[Any], _: Any) -> Walk:
    name = "by_maker:" + e[1]
    return lambda v: name in v


def _look(e: list[Any], program: Mapping[str, Any]) -> Walk:
    asks, table_name, column = e[0] == "has", e[1], e[2]
    table, keys = program["tables"][table_name], [build(one, program) for one in e[3]]
    find = finder(table)

    def walk(v: dict[str, Any]) -> Any:
        got = []
        for one in keys:
            key = one(v)
            if key is None:
                return None
            got.append(key)
        row = find(got)
        found = None if row is None else row["values"].get(column)
        if asks:
            return found is not None
        if row is None:
            raise Refuse("outside_table", {"table": table_name, "keys": got})
        if found is None:
            raise Refuse("no_entry", {"table": table_name, "column": column, "keys": got})
        return found

    return walk


def finder(table: Mapping[str, Any]) -> Callable[[list[Any]], dict[str, Any] | None]:
    """Row of a table by its keys, boundary rules in whole steps."""
    ranged = next((at for at, key in enumerate(table["keys"]) if key["match"] == "range"), None)
    if ranged is None:
        flat = {tuple(row["keys"]): row for row in table["rows"]}
        return lambda keys: flat.get(tuple(keys))
    spec = table["keys"][ranged]
    per, upper, lower_too = spec["per"], spec["includes"] == "upper", spec["lower_too"]
    groups: dict[tuple[Any, ...], list[tuple[int, int, dict[str, Any]]]] = {}
    for row in table["rows"]:
        over, up_to = row["keys"][ranged]
        words = tuple(row["keys"][:ranged] + row["keys"][ranged + 1 :])
        groups.setdefault(words, []).append((steps(over, per), steps(up_to, per), row))

    def find(keys: list[Any]) -> dict[str, Any] | None:
        x = steps(keys[ranged], per)
        first = True
        for over, up_to, row in groups.get(tuple(keys[:ranged] + keys[ranged + 1 :]), ()):
            if upper and (over < x <= up_to or (lower_too and first and x == over)):
                return row
            if not upper and over <= x < up_to:
                return row
            first = False
        return None

    return find


_BUILD: dict[str, Callable[[list[Any], Mapping[str, Any]], Walk]] = {
    "num": _num, "word": _num, "yes": _num, "none": lambda e, _: lambda v: None, "get": _get, "get_in": _get_in, "set_in": _set_in,
    "+": _arithmetic, "-": _arithmetic, "*": _arithmetic, "/": _arithmetic, "**": _arithmetic, "neg": _neg, "cmp": _cmp,
    "eq": _eq, "ne": _eq, "in": _in, "and": _logic, "or": _logic, "not": _not, "if": _if, "call": _call,
    "given": _given, "by_maker": _by_maker, "lookup": _look, "has": _look,
}  # fmt: skip


def truth(expr: list[Any], values: Mapping[str, Any]) -> bool | None:
    """A compiled condition over values: True, False, or None where something it needs is not given."""
    got = build(expr, {"units": {}, "tables": {}})(dict(values))
    return None if got is None else bool(got)


def speaks(walk: Walk, v: dict[str, Any]) -> bool:
    """Whether a condition holds; what cannot be worked out does not hold."""
    try:
        return bool(walk(v))
    except Refuse:
        return False


def line_value(walk: Walk, v: dict[str, Any]) -> tuple[Any, Refuse | None]:
    """(value of a line, None), or (None, why it has none)."""
    try:
        value = walk(v)
        if value.__class__ is float:
            if not math.isfinite(value):
                return None, cannot()
            value += 0.0  # -0 is 0, as on the wire
    except Refuse as error:
        return None, error
    return value, None

"""What an expression may be; and that both evaluators agree on random ones."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shaftside.calc import symbol
from shaftside.calc.evaluator import Refuse, build
from shaftside.calc.expression import ExpressionFault, compile_expression

SYMBOLS = {"d": symbol("length"), "t": symbol("temperature"), "f": symbol("force"), "m": symbol("torque"), "e": symbol("energy"), "x": symbol("ratio"), "w": symbol("word", frozenset(["a", "b"])), "y": symbol("yesno")}

ESCAPES = [
    "__import__('os')", "().__class__", "d.__class__", "d.real", "(lambda: d)()", "[d for d in (1,2)]", "{1: 2}", "f'{d}'", "d[0]", "eval('1')", "open('x')",
    "getattr(d, 'real')", "d := 3", "(yield d)", "await d", "*d", "abs(*(d,))", "abs(x=d)", "b'x'", "1j", "...", "d if d else d", "print(d)", "globals()",
    "d @ d", "d // d", "d % 2", "d << 1", "d & d", "~d", "+d", "d is d", "d in d", "lookup(d, d, d)", "q(d, 'mm')", "q(1, d)", "__builtins__", "x**13",
    "0x10", "1_000", "1e999", "'\\x41'", "u'a'", "d; d", "d\nd", "", "(" * 90 + "d" + ")" * 90 + "+", "-" * 40 + "x", "given(1)", "given(d + d)", "by_maker('d')", "\u00b2", "d\x00",
]  # fmt: skip


@pytest.mark.parametrize("text", ESCAPES)
def test_outside_the_list_is_refused(text: str) -> None:
    with pytest.raises(ExpressionFault):
        compile_expression(text, SYMBOLS)


def test_a_tower_of_powers_is_refused_when_computed(program: dict[str, Any]) -> None:
    expr, _ = compile_expression("9**9**9", SYMBOLS)
    with pytest.raises(Refuse):
        build(expr, program)({})


@pytest.mark.parametrize(
    "text",
    ["d + f", "m + e", "t + t", "2 * t", "d > f", "min(d, f)", "sin(d)", "sqrt(d) + d", "d ** x", "exp(d)", "d if y else f", "w == 'c'", "w + 1", "not d", "-t", "floor(d)", "d + 1", "y > 1"],
)
def test_wrong_dimension_or_kind_is_refused(text: str) -> None:
    with pytest.raises(ExpressionFault):
        compile_expression(text, SYMBOLS)


@pytest.mark.parametrize("text", ["d + q(1, 'in')", "t - q(20, 'degC')", "t + (t - t)", "f * d", "d ** 2 / d", "sqrt(d ** 2)", "d > 0", "0 if y else d", "w in ('a', 'b') and given(d)", "atan(d / d)", "None if y else d"])
def test_whole_expressions_load(text: str) -> None:
    compile_expression(text, SYMBOLS)


@settings(max_examples=400, deadline=None)
@given(st.text(alphabet="dtfxwy0123456789.+-*/()<>=!,' _[]{}:&|~@%abcgiqrsn\n\\", max_size=60))
def test_any_text_loads_or_is_refused(text: str) -> None:
    try:
        expr, _ = compile_expression(text, SYMBOLS)
    except ExpressionFault:
        return
    assert isinstance(expr, list)


_number = st.floats(min_value=-1e9, max_value=1e9, allow_nan=False).map(lambda n: ["num", n])
_leaf = st.one_of(_number, st.sampled_from(["p", "q", "r"]).map(lambda n: ["get", n]))


def _grow(inner: st.SearchStrategy[list[Any]]) -> st.SearchStrategy[list[Any]]:
    compared = st.tuples(st.sampled_from(["<", "<=", ">", ">=", "==", "!="]), inner, inner, st.sampled_from([1e9, 1e6, 1.0])).map(lambda c: ["cmp", *c])
    logic = st.one_of(compared, st.tuples(st.sampled_from(["and", "or"]), compared, compared).map(list), compared.map(lambda c: ["not", c]))
    return st.one_of(
        st.tuples(st.sampled_from(["+", "-", "*", "/"]), inner, inner).map(list),
        inner.map(lambda a: ["neg", a]),
        st.tuples(st.sampled_from(["sqrt", "abs", "floor", "ceil"]), inner).map(lambda c: ["call", *c]),
        st.tuples(st.sampled_from(["min", "max"]), inner, inner, inner).map(lambda c: ["call", *c]),
        st.tuples(logic, inner, inner).map(lambda c: ["if", *c]),
    )


_exact = st.recursive(_leaf, _grow, max_leaves=12)
_loose = st.tuples(st.sampled_from(["sin", "cos", "atan", "exp", "log"]), st.floats(min_value=-700, max_value=700)).map(lambda c: ["call", c[0], ["num", c[1]]])
_power = st.tuples(st.floats(min_value=0, max_value=1e6), st.floats(min_value=-12, max_value=12)).map(lambda c: ["**", ["num", c[0]], ["num", c[1]]])
_values = st.fixed_dictionaries({name: st.one_of(st.none(), st.floats(min_value=-1e12, max_value=1e12)) for name in "pqr"})


def _ours(expr: list[Any], values: dict[str, Any], program: dict[str, Any]) -> dict[str, Any]:
    try:
        got = build(expr, program)(values)
    except Refuse as error:
        return {"refused": error.code}
    return {"refused": "not_finite"} if isinstance(got, float) and not math.isfinite(got) else {"got": got}


@pytest.mark.node
@settings(max_examples=600, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(expr=_exact, values=_values)
def test_both_agree_to_the_last_bit(expr: list[Any], values: dict[str, Any], program: dict[str, Any], phone: Callable[..., Any]) -> None:
    theirs = phone("expr", expr=expr, values=values)
    if isinstance(theirs.get("got"), int) and not isinstance(theirs["got"], bool):
        theirs["got"] = float(theirs["got"])  # JSON from JavaScript writes whole floats without a point
    assert theirs == _ours(expr, values, program)


@pytest.mark.node
@settings(max_examples=400, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(expr=st.one_of(_loose, _power))
def test_both_agree_on_the_rest(expr: list[Any], program: dict[str, Any], phone: Callable[..., Any]) -> None:
    ours, theirs = _ours(expr, {}, program), phone("expr", expr=expr, values={})
    assert ours.keys() == theirs.keys()
    if "got" in ours:
        assert theirs["got"] == pytest.approx(ours["got"], rel=1e-12, abs=1e-15)


def test_no_text_of_a_sheet_becomes_source() -> None:
    """Arrays are compiled as Python's own syntax tree; whatever a name or a word holds, it is looked up or compared."""
    odd = "t1) or __import__('os').abort() or (v"
    assert build(["get", odd], {})({odd: 5.0}) == 5.0
    assert build(["eq", ["get", odd], ["word", odd]], {})({odd: odd}) is True
    assert build(["in", ["word", odd], [odd, "\n'\"\\"]], {})({}) is True
    assert build(["by_maker", odd], {})({"by_maker:" + odd: True}) is True
    with pytest.raises(KeyError):
        build([odd, ["get", "a"], ["get", "b"]], {"units": {}})


def test_what_stands_after_a_value_not_given_is_not_worked_out() -> None:
    half = ["/", ["num", 1.0], ["get", "nought"]]
    assert build(["+", ["get", "absent"], half], {})({"nought": 0.0}) is None
    with pytest.raises(Refuse):
        build(["+", half, ["get", "absent"]], {})({"nought": 0.0})
    assert build(["and", ["given", "absent"], ["cmp", ">", half, ["num", 0.0], 1e9]], {})({"nought": 0.0}) is False

"""Evaluating a compiled sheet: the arrays become closures once per program; then arithmetic, windows, checks, verdict.

`web/calc.js` walks the same arrays. The two agree to the last bit for + - * / and sqrt, to 1e-12 for the rest, and on
every verdict. Anything on a value that is not given is not given; `and`/`or` decide where one side alone decides.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

EVALUATOR = 1
VERDICTS = ("refused", "stop", "cannot_tell", "over", "under", "not_yet", "caution", "inside", "none")
_WINDOW_RANK = {"cannot_tell": 2, "over": 3, "under": 4, "not_yet": 5, "inside": 7}

Value = Any
Walk = Callable[[dict[str, Any]], Any]


class Refuse(Exception):
    """A line that cannot have a value: code and detail."""

    def __init__(self, code: str, detail: dict[str, Any] | None = None) -> None:
        super().__init__(code)
        self.code = code
        self.detail = detail or {}


def _cannot() -> Refuse:
    return Refuse("cannot_compute")


def steps(value: float, per: float) -> int:
    """Whole steps of a kind; both sides of every comparison go through here."""
    try:
        return math.floor(value * per + 0.5)
    except (OverflowError, ValueError):
        raise _cannot() from None


# ---- functions: the closed list -----------------------------------------------------------------------------------


def _guard(function: Callable[[float], float]) -> Callable[[float], float]:
    def safe(x: float) -> float:
        try:
            out = function(x)
        except (ValueError, OverflowError):
            raise _cannot() from None
        if not math.isfinite(out):
            raise _cannot()
        return out

    return safe


def _power(a: float, b: float) -> float:
    try:
        out = math.pow(a, b)
    except (ValueError, OverflowError):
        raise _cannot() from None
    if not math.isfinite(out):
        raise _cannot()
    return out


def _mean(x: list[float]) -> float:
    total = 0.0
    for one in x:  # a plain sum: sum() of newer Pythons compensates, the phone does not
        total += one
    return total / len(x)


def _least(x: list[float]) -> float:
    out = x[0]
    for one in x:
        if one < out:
            out = one
    return out


def _most(x: list[float]) -> float:
    out = x[0]
    for one in x:
        if one > out:
            out = one
    return out


ONE: dict[str, Callable[[Any], float]] = {
    "sqrt": _guard(math.sqrt),
    "abs": math.fabs,
    "floor": _guard(lambda x: float(math.floor(x))),
    "ceil": _guard(lambda x: float(math.ceil(x))),
    "sin": _guard(math.sin),
    "cos": _guard(math.cos),
    "tan": _guard(math.tan),
    "atan": _guard(math.atan),
    "exp": _guard(math.exp),
    "log": _guard(math.log),
    "mean": _mean,
    "least": _least,
    "most": _most,
    "count": lambda x: float(len(x)),
    "spread": lambda x: _most(x) - _least(x),
}

# ---- arrays to closures -------------------------------------------------------------------------------------------


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
                raise _cannot()
            return a / b

    else:

        def walk(v: dict[str, Any]) -> Any:
            a = f(v)
            if a is None:
                return None
            b = g(v)
            return None if b is None else _power(a, b)

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


# ---- a whole sheet ------------------------------------------------------------------------------------------------


class _Runner:
    """A sheet of one program, its expressions built."""

    def __init__(self, program: Mapping[str, Any], sheet: Mapping[str, Any]) -> None:
        self.sheet = sheet
        self.inputs = [(spec["name"], spec, _tester(spec, program)) for spec in sheet["inputs"]]
        self.input_names = frozenset(spec["name"] for spec in sheet["inputs"])
        self.lines = [(line["name"], build(line["expr"], program) if "expr" in line else None, line.get("maker"), line["kind"]) for line in sheet["lines"]]
        self.makers = {line["name"]: line["kind"] for line in sheet["lines"] if line.get("maker")}
        built = [(check, build(check["when"], program)) for check in sheet["checks"]]
        self.early = [one for one in built if one[0].get("early")]
        self.late = [one for one in built if one[0]["level"] == "refuse" and not one[0].get("early")]
        self.checks = [one for one in built if one[0]["level"] != "refuse"]

    def run(self, values: Mapping[str, Any], makers: Mapping[str, Any]) -> dict[str, Any]:
        v: dict[str, Any] = {}
        result: dict[str, Any] = {
            "sheet": self.sheet["sheet"], "version": self.sheet["version"], "evaluator": EVALUATOR, "status": "done", "refusal": None,
            "values": v, "defaults": {}, "windows": [], "checks": [], "not_evaluated": [], "verdict": "none",
        }  # fmt: skip
        refusal = self._inputs(v, values, makers)
        if refusal is None:
            for check, walk in self.early:
                if _speaks(walk, v):
                    refusal = {"code": check["code"], "where": check["name"], "detail": {}}
                    break
        if refusal is None or refusal["code"] not in ("missing_input", "bad_input"):
            refusal = self._lines(v, makers, result["defaults"], refusal)
        if refusal is None:
            for check, walk in self.late:
                if _speaks(walk, v):
                    refusal = {"code": check["code"], "where": check["name"], "detail": {}}
                    break
        if refusal is None:
            self._judge(v, result)
        else:
            result["status"], result["refusal"], result["verdict"] = "refused", refusal, "refused"
        for name in makers:
            v.pop("by_maker:" + name, None)
        return result

    def _inputs(self, v: dict[str, Any], values: Mapping[str, Any], makers: Mapping[str, Any]) -> dict[str, Any] | None:
        refusal: dict[str, Any] | None = None
        for name, spec, test in self.inputs:
            value = values.get(name)
            if value is None:
                v[name] = None
                if "optional" not in spec and (refusal is None or refusal["code"] == "bad_input"):
                    refusal = {"code": "missing_input", "where": name, "detail": {}} if refusal is None else refusal
                continue
            reason = test(value)
            if reason is not None:
                v[name] = None
                refusal = refusal or {"code": "bad_input", "where": name, "detail": {"reason": reason}}
                continue
            v[name] = value
        for name in values:
            if name not in self.input_names:
                refusal = refusal or {"code": "bad_input", "where": name, "detail": {"reason": "unknown"}}
        for name, value in makers.items():
            kind = self.makers.get(name)
            if kind is None:
                refusal = refusal or {"code": "bad_input", "where": name, "detail": {"reason": "no_maker"}}
            elif not _maker_fits(kind, value):
                refusal = refusal or {"code": "bad_input", "where": name, "detail": {"reason": "type"}}
            else:
                v["by_maker:" + name] = True
        return refusal

    def _lines(self, v: dict[str, Any], makers: Mapping[str, Any], defaults: dict[str, Any], refusal: dict[str, Any] | None) -> dict[str, Any] | None:
        for name, walk, maker, kind in self.lines:
            value: Any = None
            fault: Refuse | None = None
            if walk is not None:
                try:
                    value = walk(v)
                    if value.__class__ is float:
                        if not math.isfinite(value):
                            raise _cannot()
                        value += 0.0  # -0 is 0, as on the wire
                except Refuse as error:
                    value, fault = None, error
            if maker and name in makers:
                defaults[name] = value  # None: there is no default to show beside the maker's value
                given = makers[name]
                v[name] = float(given) + 0.0 if kind not in ("word", "yesno") else given
                continue
            v[name] = value
            if fault is not None and refusal is None:
                detail = dict(fault.detail)
                if maker:
                    detail["maker"] = True
                refusal = {"code": fault.code, "where": name, "detail": detail}
            elif maker == "required" and value is None and refusal is None:
                refusal = {"code": "maker_value_needed", "where": name, "detail": {}}
        return refusal

    def _judge(self, v: dict[str, Any], result: dict[str, Any]) -> None:
        rank = 8
        silent: list[str] = result["not_evaluated"]
        for spec in self.sheet["windows"]:
            window = judge_window(spec, v)
            if window is None:
                silent.append(spec["name"])
                continue
            result["windows"].append(window)
            if window.get("never"):
                rank = min(rank, 1)
            rank = min(rank, _WINDOW_RANK.get(window["position"], 8))
        for check, walk in self.checks:
            try:
                spoke = walk(v)
            except Refuse:
                spoke = None
            if spoke is None:
                silent.append(check["name"])
            elif spoke:
                level = check["level"]
                result["checks"].append({"name": check["name"], "level": level, "lead_accepts": "lead_accepts" in check})
                if level != "note":
                    rank = min(rank, 1 if level == "stop" else 6)
        result["verdict"] = VERDICTS[rank]


def judge_window(spec: Mapping[str, Any], v: Mapping[str, Any]) -> dict[str, Any] | None:
    """Where a value stands against its limits; None where a limit is not known. A value not given leaves it `open`.

    An instrument coarser than the window cannot tell, unless the reading stands a full step outside.
    """
    out: dict[str, Any] = {"name": spec["name"]}
    for key in ("value", "low", "high", "resolution", "never_below", "never_above"):
        out[key] = v.get(spec[key]) if key in spec else None
    if ("low" in spec and out["low"] is None) or ("high" in spec and out["high"] is None):
        return None
    if out["value"] is None:
        out["position"] = "open"
        return out
    per = spec["per"]
    value = steps(out["value"], per)
    low = steps(out["low"], per) if "low" in spec else None
    high = steps(out["high"], per) if "high" in spec else None
    step = steps(out["resolution"], per) if out["resolution"] is not None else 0
    if low is not None and high is not None and step > high - low and low - step < value < high + step:
        position = "cannot_tell"
    elif high is not None and value > high:
        position = "not_yet" if spec["approach"] == "falling" else "over"
    elif low is not None and value < low:
        position = "not_yet" if spec["approach"] == "rising" else "under"
    else:
        position = "inside"
    below = out["never_below"] is not None and value < steps(out["never_below"], per)
    above = out["never_above"] is not None and value > steps(out["never_above"], per)
    if below or above:
        position, out["never"] = "under" if below else "over", True
    out["position"] = position
    return out


def _speaks(walk: Walk, v: dict[str, Any]) -> bool:
    try:
        return bool(walk(v))
    except Refuse:
        return False


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _maker_fits(kind: str, value: Any) -> bool:
    if kind == "word":
        return isinstance(value, str)
    return isinstance(value, bool) if kind == "yesno" else _is_number(value)


def _tester(spec: Mapping[str, Any], program: Mapping[str, Any]) -> Callable[[Any], str | None]:
    """Reason why a value is not what an input takes, or None."""
    kind = spec["kind"]
    if kind == "word":
        words = frozenset(one["word"] for one in spec["choices"])
        return lambda value: None if value.__class__ is str and value in words else "word" if isinstance(value, str) else "type"
    if kind == "yesno":
        return lambda value: None if isinstance(value, bool) else "type"
    per = program["kinds"][kind]["per"]
    least = steps(spec["least"], per) if "least" in spec else None
    most = steps(spec["most"], per) if "most" in spec else None
    whole = kind == "count"

    def one(value: Any) -> str | None:
        if value.__class__ is not float and not _is_number(value):
            return "type"
        if not math.isfinite(value):
            return "type"
        if whole and value != math.floor(value):
            return "whole"
        at = steps(value, per)
        return "range" if (least is not None and at < least) or (most is not None and at > most) else None

    if "list" not in spec:
        return one
    fewest, greatest = spec["list"]["least"], spec["list"]["most"]

    def many(value: Any) -> str | None:
        if not isinstance(value, list):
            return "type"
        if not fewest <= len(value) <= greatest:
            return "count"
        return next((reason for reason in map(one, value) if reason), None)

    return many


_RUNNERS: dict[int, tuple[Mapping[str, Any], dict[str, _Runner]]] = {}
_MOST_PROGRAMS = 32


def runner(program: Mapping[str, Any], sheet: str) -> _Runner:
    """The built sheet of a program, kept for the programs used of late. KeyError for an unknown sheet."""
    kept = _RUNNERS.get(id(program))
    if kept is None or kept[0] is not program:
        if len(_RUNNERS) >= _MOST_PROGRAMS:
            _RUNNERS.clear()
        kept = _RUNNERS[id(program)] = (program, {})
    found = kept[1].get(sheet)
    if found is None:
        found = kept[1][sheet] = _Runner(program, program["sheets"][sheet])
    return found


def evaluate(program: Mapping[str, Any], sheet: str, values: Mapping[str, Any], makers: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """Evaluate a sheet on SI values. Never raises on bad values: status `refused` says why. KeyError: unknown sheet.

    values: input -> SI float | word | yes/no | list | None. makers: line -> the bearing maker's value in SI.
    """
    return runner(program, sheet).run(values, makers or {})

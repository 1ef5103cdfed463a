"""Sheets: a YAML file read, checked and compiled to the form that both evaluators walk."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from shaftside.calc import dimension as dim
from shaftside.calc import strict_yaml, typed
from shaftside.calc.dimension import Num, Numbers, Type, Word, YesNo
from shaftside.calc.expression import Expr, ExpressionFault, TableShape, compile_expression
from shaftside.calc.problems import Problems
from shaftside.calc.reader import Reader
from shaftside.calc.registry import measures
from shaftside.calc.sheet_rows import choices_of, read_section
from shaftside.calc.units import KINDS, UNITS

LEVELS = ("stop", "caution", "note", "refuse")
GROUPS = ("choose", "shaft", "mount", "tighten", "taper", "after")  # when in a job a sheet is asked
SIGNALS = ("DANGER", "WARNING", "CAUTION", "NOTICE")
REFUSALS = ("not_for_this", "maker_value_needed", "missing_input", "cannot_compute", "outside_table")
_SYMBOL = re.compile(r"[^\W\d_][^\W_]{0,5}′?(_[^\W_]{1,8})?\Z")
_PLACE = re.compile(r"\{([^{}]*)\}")


def load_sheet(
    path: Path, problems: Problems, file: str, tables: Mapping[str, Any], shapes: Mapping[str, TableShape], limits: Sequence[Reader] = ()
) -> dict[str, Any] | None:
    """Compile one sheet; None (with problems noted) when it cannot be used. limits: a plant's own checks, after the sheet's."""
    before = len(problems.found)
    sheet = SheetReader(Reader(strict_yaml.read(path, file), problems), path, tables, shapes).read(limits)
    return sheet if len(problems.found) == before else None


class SheetReader:
    """One sheet while it is read: the names known so far, their types and specs."""

    def __init__(self, top: Reader, path: Path, tables: Mapping[str, Any], shapes: Mapping[str, TableShape]) -> None:
        self.top, self.path, self.tables, self.shapes = top, path, tables, shapes
        self.types: dict[str, Type] = {}
        self.specs: dict[str, dict[str, Any]] = {}
        self.sources: dict[str, Any] = {}
        self.taken: set[str] = set()  # names of rows and their lines: known in their section only, used once in a sheet

    def read(self, limits: Sequence[Reader] = ()) -> dict[str, Any]:
        top = self.top
        name = top.name("sheet")
        if name is not None and name != self.path.stem:
            top.fault(f"the sheet is called {name!r} but its file {self.path.name!r}", "sheet")
        out: dict[str, Any] = {"sheet": name or self.path.stem, "version": top.integer("version", 1, 100000)}
        for key in ("title", "about", "validity"):
            out[key] = top.words(key)
        figure = top.name("figure", optional=True)
        if figure is not None:  # the drawing itself belongs to the handbook
            out["figure"] = figure
        group = top.choice("group", GROUPS, optional=True)
        if group is not None:
            out["group"] = group
        out["cautions"] = [self.caution(one) for one in top.items("cautions")]
        sources = top.inner("sources")
        if sources is not None:
            self.sources = {key: sources.source(key) for key in sources}
        out["sources"] = self.sources
        out["inputs"] = [self.input(one) for one in top.items("inputs")]
        for one, spec in zip(top.items("inputs"), out["inputs"], strict=True):
            self.resolution(one, spec)
        readers = top.items("lines")
        self.maker_lines = frozenset(str(one.data.get("name")) for one in readers if one.data.get("maker"))
        out["lines"] = [self.line(one) for one in readers]
        if top.has("over"):
            out["over"] = [read_section(self, one) for one in top.items("over")]
        for one, spec in zip(top.items("inputs"), out["inputs"], strict=True):
            self.near(one, spec)
        inputs = {spec["name"] for spec in out["inputs"]}
        out["checks"] = [self.check(one, inputs) for one in top.items("checks", optional=True)]
        out["checks"] += [{**self.check(one, inputs), "plant": True} for one in limits]
        out["windows"] = [self.window(one) for one in top.items("windows", optional=True)]
        out["sequence"] = [self.move(one) for one in top.items("sequence", optional=True)]
        out["results"] = [one for one in top.strings("results") if self.known(top, "results", one)]
        if top.data.get("results") == []:
            top.fault("results: at least one line must be a headline result", "results")
        top.done()
        return out

    def known(self, one: Reader, key: str, name: str) -> bool:
        if name in self.types:
            return True
        near = get_close_matches(name, list(self.types), 1)
        one.fault(f"{one.said}: {key!r}: there is no input or line {name!r}" + (f": did you mean {near[0]!r}?" if near else ""), key)
        return False

    @staticmethod
    def caution(one: Reader) -> dict[str, Any]:
        out = {"signal": one.choice("signal", SIGNALS), "text": one.words("text")}
        one.done()
        return out

    def new_name(self, one: Reader) -> str:
        name = one.name("name") or f"unnamed_{len(self.types)}"
        if name in self.types or name in self.taken or name == "pi":
            one.fault(f"{one.said}: the name {name!r} is taken", "name")
        return name

    @staticmethod
    def symbol(one: Reader, spec: dict[str, Any]) -> None:
        """How a formula writes the quantity: a letter or word, with at most one subscript: F_M, mu_t as μ_t."""
        symbol = one.string("symbol", optional=True)
        if symbol is None:
            return
        if _SYMBOL.match(symbol):
            spec["symbol"] = symbol
        else:
            one.fault(f"{one.said}: symbol {symbol!r} is not letters with at most one subscript, as F_M or μ_t", "symbol")

    def kind(self, one: Reader, spec: dict[str, Any]) -> Type:
        kind = one.choice("kind", [*KINDS, "word", "yesno"]) or "ratio"
        spec["kind"] = kind
        if kind == "yesno":
            return YesNo()
        if kind == "word":
            return Word(None)
        unit = one.choice("unit", UNITS)
        if unit is not None and kind not in UNITS[unit].kinds:
            one.fault(f"{one.said}: {unit} is not a unit of {kind.replace('_', ' ')}", "unit")
        spec["unit"] = unit or KINDS[kind].unit
        places = one.integer("decimals", 0, 9, optional=True)
        if places is not None:
            spec["decimals"] = places
        inch = one.choice("inch", UNITS) if one.has("inch") else None
        if inch is not None and (kind not in UNITS[inch].kinds or UNITS[inch].system != "inch"):
            one.fault(f"{one.said}: {inch} is not an inch unit of {kind.replace('_', ' ')}", "inch")
        elif inch is not None:
            spec["inch"] = inch
        return dim.of_kind(kind)

    def choices(self, one: Reader, spec: dict[str, Any]) -> frozenset[str] | None:
        if not one.has("choices"):
            return None
        if isinstance(one.data["choices"], dict):
            inner = one.inner("choices")
            assert inner is not None
            table, column = inner.choice("table", self.tables), inner.string("column")
            inner.done()
            if table is None or column is None:
                return None
            at = next((i for i, key in enumerate(self.tables[table]["keys"]) if key.get("column") == column), None)
            if at is None:
                one.fault(f"{one.said}: table {table!r} has no word key {column!r}", "choices")
                return None
            spec["choices"] = choices_of(self.tables[table], at)
            return frozenset(choice["word"] for choice in spec["choices"])
        listed: list[dict[str, Any]] = []
        for item in one.items("choices"):
            listed.append({"word": item.string("word") or "", "label": item.words("label")})
            item.done()
        words = [item["word"] for item in listed]
        if len(set(words)) != len(words):
            one.fault(f"{one.said}: a choice stands twice", "choices")
        spec["choices"] = listed
        return frozenset(words)

    def input(self, one: Reader) -> dict[str, Any]:
        spec: dict[str, Any] = {"name": self.new_name(one), "label": one.words("label")}
        self.symbol(one, spec)
        help_ = one.words("help", optional=True)
        if help_:
            spec["help"] = help_
        got = self.kind(one, spec)
        words = self.choices(one, spec)
        if spec["kind"] == "word":
            if words is None:
                one.fault(f"{one.said}: a word needs its choices")
            got = Word(words)
        if one.yes("optional"):
            spec["optional"] = True
        for end in ("least", "most"):
            if one.has(end):
                self.bound(one, spec, end)
        if "least" in spec and "most" in spec and spec["least"] > spec["most"]:
            one.fault(f"{one.said}: least is over most", "least")
        limits = one.inner("list", optional=True)
        if limits is not None:
            spec["list"] = {"least": limits.integer("least", 1, 100), "most": limits.integer("most", 1, 100)}
            limits.done()
            if not isinstance(got, Num):
                one.fault(f"{one.said}: only quantities come in lists", "list")
            else:
                got = Numbers(got)
        one.raw("resolution")
        one.raw("near")
        one.done()
        self.types[spec["name"]] = got
        self.specs[spec["name"]] = spec
        return spec

    def bound(self, one: Reader, spec: dict[str, Any], end: str) -> None:
        text = one.raw(end)
        if "unit" not in spec or not isinstance(text, str):
            one.fault(f"{one.said}: {end!r} must be a number with its unit, in quotes where YAML needs it: \"0.03 1\"", end)
            return
        number, _, unit = text.strip().partition(" ")
        got = typed.parse_number(number)
        if isinstance(got, typed.Fault) or unit not in UNITS or spec["kind"] not in UNITS[unit].kinds:
            one.fault(f"{one.said}: {end!r}: {text!r} is not a number with a unit of {spec['kind'].replace('_', ' ')}", end)
            return
        spec[end] = got * measures()[unit].factor + measures()[unit].zero

    def resolution(self, one: Reader, spec: dict[str, Any]) -> None:
        name = one.data.get("resolution")
        if name is None:
            return
        if not isinstance(name, str) or not self.known(one, "resolution", name):
            return
        if self.specs[name]["kind"] != spec["kind"]:
            one.fault(f"{one.said}: the resolution {name!r} is {self.specs[name]['kind']}, the reading {spec['kind']}", "resolution")
        spec["resolution"] = name

    def near(self, one: Reader, spec: dict[str, Any]) -> None:
        """What a number is likely to be: a share of another, from least to most. Outside it is asked about, never refused."""
        inner = one.inner("near", optional=True)
        if inner is None:
            return
        of = inner.string("of") or ""
        ends = {end: typed.parse_number(str(inner.raw(end))) for end in ("least", "most")}
        inner.done()
        if not self.known(inner, "of", of):
            return
        if self.specs[of]["kind"] != spec["kind"] or "list" in self.specs[of]:
            inner.fault(f"{one.said}: {of!r} is no single {spec['kind'].replace('_', ' ')} to hold this against", "of")
        elif any(isinstance(end, typed.Fault) for end in ends.values()) or not 0 < ends["least"] < 1 < ends["most"]:  # type: ignore[operator]
            inner.fault(f"{one.said}: near takes a least share under 1 and a most over 1", "least")
        else:
            spec["near"] = {"of": of, **ends}

    def line(self, one: Reader, of_row: bool = False) -> dict[str, Any]:
        """A line of the sheet, or of a row: that has no maker's value, which belongs to one bearing."""
        spec: dict[str, Any] = {"name": self.new_name(one), "label": one.words("label")}
        self.symbol(one, spec)
        got = self.kind(one, spec)
        words = self.choices(one, spec)
        maker = None if of_row else one.raw("maker")
        if maker not in (None, True, "required"):
            one.fault(f"{one.said}: maker is true or required", "maker")
        if maker:
            spec["maker"] = maker
        source = one.choice("source", self.sources)
        spec["source"] = source
        note = one.words("note", optional=True)
        if note:
            spec["note"] = note
        text = one.string("expr", optional=bool(maker))
        symbols = one.inner("empirical", optional=True)
        empirical = {name: symbols.choice(name, UNITS) or "1" for name in symbols} if symbols is not None else None
        one.done()
        found: Type | None = None
        if text is not None:
            expr, found = self.compile(one, "expr", text, empirical)
            if empirical is not None and expr is not None:
                spec["empirical"] = empirical
                if isinstance(found, Num) and found.dim == dim.NONE and "unit" in spec:
                    expr, found = ["set_in", expr, spec["unit"]], got
            if expr is not None and found is not None:
                reason = dim.fits(found, spec["kind"], words)
                if reason:
                    one.fault(f"{one.said} ({spec['name']}): {reason}", "expr")
                spec["expr"] = expr
        if isinstance(got, Word):
            got = Word(words if words is not None else found.words if isinstance(found, Word) and not maker else None)
        self.types[spec["name"]] = got
        self.specs[spec["name"]] = spec
        return spec

    def compile(self, one: Reader, key: str, text: str, empirical: dict[str, str] | None = None) -> tuple[Expr | None, Type | None]:
        try:
            return compile_expression(text, self.types, self.shapes, self.maker_lines, empirical)
        except ExpressionFault as error:
            one.fault(f"{one.said} ({one.data.get('name')}): {key}: {error}", key)
            return None, None

    def check(self, one: Reader, inputs: set[str]) -> dict[str, Any]:
        spec: dict[str, Any] = {"name": one.name("name") or "", "level": one.choice("level", LEVELS) or "note", "message": one.words("message")}
        code = one.choice("code", REFUSALS, optional=True)
        if spec["level"] == "refuse":
            spec["code"] = code or "not_for_this"
        elif code:
            one.fault(f"{one.said}: only a refusal has a code", "code")
        if one.yes("lead_accepts"):
            spec["lead_accepts"] = True
        text = one.string("when")
        one.done()
        if text is not None:
            expr = self.condition(one, spec, text)
            if expr is not None and spec["level"] == "refuse" and names_in(expr) <= inputs:
                spec["early"] = True
        self.places(one, spec)
        return spec

    def condition(self, one: Reader, spec: dict[str, Any], text: str) -> Expr | None:
        """Compile the `when` of a check into its spec."""
        expr, found = self.compile(one, "when", text)
        if expr is not None:
            if not isinstance(found, YesNo):
                one.fault(f"{one.said} ({spec['name']}): when: is not a yes/no condition", "when")
            spec["when"] = expr
        return expr

    def places(self, one: Reader, spec: dict[str, Any]) -> None:
        """Every {place} of a message names what is known there."""
        for words in (spec["message"] or {}).values():
            for place in _PLACE.findall(words):
                self.known(one, "message", place)

    def window(self, one: Reader) -> dict[str, Any]:
        spec: dict[str, Any] = {"name": one.name("name") or "", "label": one.words("label")}
        value = one.string("value") or ""
        approach = one.choice("approach", ["none", "rising", "falling"], optional=True) or "none"
        spec["approach"] = approach
        if not self.known(one, "value", value):
            return spec
        spec["value"], kind = value, self.specs[value]["kind"]
        if not isinstance(self.types[value], Num):
            one.fault(f"{one.said}: a window judges a number, {value!r} is not one", "value")
        for key in ("low", "high", "resolution", "never_below", "never_above"):
            name = one.string(key, optional=True)
            if name is None or not self.known(one, key, name):
                continue
            if self.specs[name]["kind"] != kind:
                one.fault(f"{one.said}: {key} {name!r} is {self.specs[name]['kind']}, the value {kind}", key)
            spec[key] = name
        if "low" not in spec and "high" not in spec:
            one.fault(f"{one.said}: a window needs low or high")
        spec["per"] = KINDS[kind].per if kind in KINDS else 1.0
        one.done()
        return spec

    def move(self, one: Reader) -> dict[str, Any]:
        spec: dict[str, Any] = {"do": one.words("do"), "at": None}
        at = one.raw("at")
        one.done()
        if isinstance(at, str) and self.known(one, "at", at):
            spec["at"] = at
        elif at is not None and not isinstance(at, str):
            one.fault(f"{one.said}: at names a line", "at")
        return spec


def names_in(expr: Any) -> set[str]:
    """Names an expression reads."""
    if not isinstance(expr, list) or not expr:
        return set()
    if expr[0] in ("get", "get_in", "given"):
        return {expr[1]}
    if expr[0] in ("num", "word", "yes", "none"):
        return set()
    if expr[0] == "by_maker":
        return {"by_maker:" + expr[1]}
    if expr[0] in ("lookup", "has"):
        return set().union(*(names_in(one) for one in expr[3])) if expr[3] else set()
    return set().union(*(names_in(one) for one in expr[1:]))

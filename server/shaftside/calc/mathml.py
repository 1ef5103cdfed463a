"""Formulas set as an engineer writes them: MathML Core from the compiled tree, the twin of web/mathml.js.

A long formula is cut into several <math> elements at its outermost signs, because a browser breaks lines between them
and never inside one. The markup is made of trees: see marks.py.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from shaftside.calc.evaluator import Refuse, build
from shaftside.calc.marks import ATOM, NBSP, RANK, Tree, listed, measured, number, rank, set_symbol, single
from shaftside.calc.showing import marked, say_value, sentence, show, shown_unit, spec_of, word_of, words_of
from shaftside.calc.workings import formula, taken

_SIGNS = {"+": "+", "-": "−", "*": "·", "<": "<", "<=": "≤", ">": ">", ">=": "≥", "==": "=", "!=": "≠"}
_AROUND = {"abs": "||", "floor": "⌊⌋", "ceil": "⌈⌉"}
_NAMED = {"log": "ln", "least": "min", "most": "max"}


class _Setter:
    """Sets the expressions of one sheet: with symbols, or with numbers put in."""

    def __init__(self, program: Mapping[str, Any], sheet: str, lang: str, system: str, values: Mapping[str, Any] | None) -> None:
        self.program, self.sheet, self.lang, self.system, self.values = program, sheet, lang, system, values

    def say(self, key: str) -> str:
        return sentence(self.program, key, self.lang)

    def flow(self, expr: list[Any], least: int = 0) -> list[Tree]:
        """Words and pieces of mathematics in a row that may break between them."""
        head = expr[0]
        if head == "if":
            return [self.cases(expr)]
        if head == "set_in":
            return self.flow(expr[1], least)
        if head in ("and", "or"):
            inner = [*self.flow(expr[1], 1 if head == "and" else 0), f" {self.say(head)} ", *self.flow(expr[2], 1)]
            return ["(", *inner, ")"] if head == "or" and least > 0 else inner
        if head == "not":
            return [f"{self.say('not')} ", *self.flow(expr[1], 1)]
        if head == "cmp":
            return [*self.flow(expr[2]), ["math", ["mo@infix", _SIGNS[expr[1]]]], *self.flow(expr[3])]
        if head in ("eq", "ne"):
            return [*self.flow(expr[1]), " = " if head == "eq" else " ≠ ", *self.flow(expr[2])]
        if head == "in":
            return [*self.flow(expr[1]), f" {self.say('in')} ", ", ".join(self.word(one) for one in expr[2])]
        if head in ("given", "by_maker"):
            return [*self.named(expr[1]), f" {self.say(head)}"]
        if head in ("lookup", "has"):
            return self.look(expr)
        if head == "word":
            return [self.word(expr[1])]
        if head in ("yes", "none"):
            return [self.say("not_given" if head == "none" else "yes" if expr[1] else "no")]
        if head == "get" and self.wordy(expr[1]):
            return self.named(expr[1]) if self.values is None else [self.said(expr[1])]
        return self.pieces(expr)

    def cases(self, expr: list[Any]) -> Tree:
        rows: list[Tree] = []
        while expr[0] == "if":
            asked = [self.say("if_listed")] if listed(expr) else [f"{self.say('if')} ", *self.flow(expr[1])]
            rows.append(["span.case", ["span", *self.flow(expr[2])], ["span", *asked]])
            expr = expr[3]
        rows.append(["span.case", ["span", *self.flow(expr)], ["span", self.say("else")]])
        return ["span.cases", *rows]

    def wordy(self, name: str) -> bool:
        """Whether a quantity stands in the formula in words."""
        spec = spec_of(self.program, self.sheet, name) or {}
        return spec.get("kind") in ("word", "yesno") or "list" in spec or (self.values is None and not spec.get("symbol"))

    def named(self, name: str) -> list[Tree]:
        spec = spec_of(self.program, self.sheet, name) or {}
        symbol = spec.get("symbol")
        return [["math", set_symbol(symbol)]] if symbol else [["span.q", words_of(spec.get("label"), self.lang) or name]]

    def said(self, name: str) -> str:
        return say_value(self.program, spec_of(self.program, self.sheet, name), (self.values or {}).get(name), self.lang, self.system)

    def word(self, word: str) -> str:
        """A chosen word by the label the reader chose it by."""
        one = self.program["sheets"][self.sheet]
        for spec in [*one["inputs"], *one["lines"]]:
            for choice in spec.get("choices") or []:
                if choice["word"] == word:
                    return f"“{words_of(choice['label'], self.lang)}”"
        return f"“{word}”"

    def look(self, expr: list[Any]) -> list[Tree]:
        table = self.program["tables"][expr[1]]
        title = words_of(table["title"], self.lang).partition(":")[0]
        out: list[Tree] = [f"{str(expr[2]).replace('_', ' ')} [“{title}”: "]
        for at, key in enumerate(expr[3]):
            said = [f"“{word_of(table['keys'][at], key[1], self.lang).replace('_', ' ')}”"] if key[0] == "word" else self.flow(key)
            out.extend([*([", "] if at else []), *said])
        return [*out, f"] {self.say('in_table')}" if expr[0] == "has" else "]"]

    def pieces(self, expr: list[Any]) -> list[Tree]:
        """One <math> a term, so that a narrow screen can break the line."""
        head = expr[0]
        if head == "lookup":
            return self.look(expr)
        if head == "if":  # too wide for one piece: it stands in rows of its own
            return [self.cases(expr)]
        if head in ("+", "-", "*") and not (head == "*" and rank(expr[1]) < 6):
            left = self.pieces(expr[1]) if head != "*" or expr[1][0] == "*" else [["math", self.inside(expr[1], 6)]]
            if expr[2][0] == "if":
                return [*left, " ", ["math", ["mo@infix", _SIGNS[head]]], self.cases(expr[2])]
            return [*left, " ", ["math", ["mo@infix", _SIGNS[head]], self.inside(expr[2], RANK[head] + 1)]]
        return [["math", self.node(expr)]]

    def inside(self, expr: list[Any], least: int) -> Tree:
        """Set in a bigger formula; in brackets where it would be read wrongly without."""
        node = self.node(expr)
        bare = least < ATOM and not self.below_zero(expr, least)
        if rank(expr) >= least and (bare or expr[0] not in ("/", "**", "get", "get_in", "num") or single(node)):
            return node
        return ["mrow", ["mo", "("], node, ["mo", ")"]]

    def below_zero(self, expr: list[Any], least: int) -> bool:
        if self.values is None or least < 6 or expr[0] not in ("get", "get_in"):
            return False
        value = self.values.get(expr[1])
        return isinstance(value, int | float) and value < 0

    def node(self, expr: list[Any]) -> Tree:
        """One element of mathematics."""
        head = expr[0]
        if head in ("get", "get_in"):
            return self.quantity(expr)
        if head == "num":
            return self.number(expr)
        if head == "set_in":
            return self.node(expr[1])
        if head == "neg":
            return ["mrow", ["mo@prefix", "−"], self.inside(expr[1], 6)]
        if head == "/":
            return ["mfrac", self.node(expr[1]), self.node(expr[2])]
        if head == "**":
            return ["msup", self.inside(expr[1], ATOM), self.node(expr[2])]
        if head in ("+", "-", "*"):
            return ["mrow", self.inside(expr[1], RANK[head]), ["mo@infix", _SIGNS[head]], self.inside(expr[2], RANK[head] + 1)]
        if head == "call":
            return self.call(expr)
        if head == "if":
            return self.choice(expr)
        if head == "lookup":
            return self.looked(expr)
        return ["mtext", formula(self.program, self.sheet, expr, self.lang, self.system, self.values)]

    def call(self, expr: list[Any]) -> Tree:
        name = expr[1]
        args = [self.node(one) for one in expr[2:]]
        if name == "sqrt":  # not <msqrt>: without a mathematical font a browser draws no radical at all, and says nothing
            return ["mrow.root", args[0]]
        if name in _AROUND:
            return ["mrow", ["mo", _AROUND[name][0]], args[0], ["mo", _AROUND[name][1]]]
        listed: list[Tree] = [args[0]]
        for one in args[1:]:
            listed.extend([["mo", ";"], one])
        return ["mrow", ["mi.fn", _NAMED.get(name, name)], ["mo", "("], *listed, ["mo", ")"]]

    def choice(self, expr: list[Any]) -> Tree:
        rows: list[Tree] = []
        while expr[0] == "if":
            rows.append(["mtr", ["mtd", self.node(expr[2])], ["mtd", ["mtext", self.say("if") + NBSP], self.node(expr[1])]])
            expr = expr[3]
        rows.append(["mtr", ["mtd", self.node(expr)], ["mtd", ["mtext", self.say("else")]]])
        return ["mtable.cases", *rows]

    def quantity(self, expr: list[Any]) -> Tree:
        name = expr[1]
        spec = spec_of(self.program, self.sheet, name) or {}
        if self.values is None:
            symbol = spec.get("symbol")
            return set_symbol(symbol) if symbol else ["mtext.q", words_of(spec.get("label"), self.lang) or name]
        value = self.values.get(name)
        if expr[0] == "get_in" and value is not None:
            return measured(show(self.program, value, expr[2], "as_is", lang=self.lang))
        return measured(self.said(name)) if isinstance(value, int | float) and not isinstance(value, bool) else ["mtext", self.said(name)]

    def number(self, expr: list[Any]) -> Tree:
        if len(expr) < 4:
            return ["mn", show(self.program, expr[1], "1", "as_is", lang=self.lang)]
        if expr[3] == "pi":
            return ["mi", "π"]
        shown = shown_unit(self.program, expr[2], self.lang) if expr[2] else ""
        return number(marked(self.program, str(expr[3]), self.lang), shown)

    def looked(self, expr: list[Any]) -> Tree:
        """A figure out of a table: the figure itself among numbers, its name among symbols."""
        column = self.program["tables"][expr[1]]["values"][expr[2]]
        if self.values is not None and "unit" in column:
            try:
                found = build(expr, self.program)(dict(self.values))
            except Refuse:
                found = None
            if found is not None:
                return measured(show(self.program, found, column["unit"], self.system, lang=self.lang))
        return ["mtext.q", str(expr[2]).replace("_", " ")]


def typeset(program: Mapping[str, Any], sheet: str, expr: list[Any], lang: str = "en", system: str = "metric", values: Mapping[str, Any] | None = None) -> Tree:
    """A compiled expression in symbols; with `values`, the numbers put in and only the branches taken."""
    if values is not None:
        expr = taken(program, expr, values)
    return ["span.set", *_Setter(program, sheet, lang, system, values).flow(expr)]


def put_in(result: Mapping[str, Any]) -> dict[str, Any]:
    """The values of a result as `typeset` takes them: which lines are the maker's stands among them."""
    return {**result["values"], **{f"by_maker:{name}": True for name in result["defaults"]}}

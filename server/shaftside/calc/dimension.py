"""Types of expressions: what may be added, compared and multiplied, and what comes out.

A number has a dimension and, where it is known, a kind; a product of kinds has a dimension only. A temperature is a
point: two may be subtracted (a difference comes out) and a difference added; nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from shaftside.calc.registry import BASES, Dim
from shaftside.calc.registry import NONE as NONE
from shaftside.calc.registry import kind_dim as kind_dim
from shaftside.calc.units import KINDS


class TypeFault(Exception):
    """An expression that cannot be: the reason, without place."""


@dataclass(frozen=True)
class Num:
    """A number. `kind` None: only the dimension is known. `zero`: a literal 0, which fits any dimension."""

    dim: Dim
    kind: str | None = None
    zero: bool = False
    literal: bool = False


@dataclass(frozen=True)
class Word:
    """A word; `words` None: not from a known closed list."""

    words: frozenset[str] | None


@dataclass(frozen=True)
class YesNo:
    """Yes or no."""


@dataclass(frozen=True)
class Numbers:
    """A short list of numbers of one kind."""

    of: Num


@dataclass(frozen=True)
class Nothing:
    """The literal None, which fits any type."""


Type = Num | Word | YesNo | Numbers | Nothing
PLAIN = Num(NONE)


def of_kind(kind: str) -> Num:
    """The number type of a kind."""
    return Num(kind_dim(kind), kind)


def _plain(kind: str | None) -> bool:
    return kind in ("ratio", "count", None)


def say(dim: Dim) -> str:
    """A dimension in words: `length^2 / time`."""
    names = [base.strip("[]") for base in BASES]
    up = [n if p == 1 else f"{n}^{p}" for n, p in zip(names, dim, strict=True) if p > 0]
    down = [n if p == -1 else f"{n}^{-p}" for n, p in zip(names, dim, strict=True) if p < 0]
    if not up and not down:
        return "a plain number"
    return (" ".join(up) or "1") + (" / " + " ".join(down) if down else "")


def describe(one: Type) -> str:
    """A type in words, for reasons."""
    if isinstance(one, Num):
        return one.kind.replace("_", " ") if one.kind else say(one.dim)
    return {Word: "a word", YesNo: "yes/no", Numbers: "a list", Nothing: "None"}[type(one)]


def number(one: Type, where: str) -> Num:
    """The number type, or a fault naming `where`."""
    if isinstance(one, Nothing):
        return Num(NONE, None, True)
    if not isinstance(one, Num):
        raise TypeFault(f"{where} needs a number, not {describe(one)}")
    return one


def plain(one: Type, where: str) -> None:
    """Faults unless the number has no dimension."""
    got = number(one, where)
    if got.dim != NONE:
        raise TypeFault(f"{where} needs a plain number, not {describe(got)}")


def same(a: Num, b: Num, what: str) -> Num:
    """The common type of two numbers that are compared, chosen between or joined."""
    if a.zero and b.kind != "temperature":
        return b if not b.zero else a
    if b.zero and a.kind != "temperature":
        return a
    if a.dim != b.dim:
        raise TypeFault(f"{what}: {describe(a)} and {describe(b)} do not go together")
    if a.dim == NONE:
        return Num(NONE, a.kind if a.kind == b.kind else None)
    if a.kind and b.kind and a.kind != b.kind:
        raise TypeFault(f"{what}: {describe(a)} and {describe(b)} do not go together")
    if "temperature" in (a.kind, b.kind) and a.kind != b.kind:
        raise TypeFault(f"{what}: a temperature and a temperature difference do not go together")
    return Num(a.dim, a.kind or b.kind)


def add(a: Num, b: Num) -> Num:
    """a + b."""
    if a.kind == "temperature" or b.kind == "temperature":
        if a.kind == b.kind:
            raise TypeFault("two temperatures cannot be added")
        point, step = (a, b) if a.kind == "temperature" else (b, a)
        if step.dim != point.dim or step.kind not in (None, "temperature_difference"):
            raise TypeFault(f"{describe(step)} cannot be added to a temperature")
        return point
    return same(a, b, "+")


def subtract(a: Num, b: Num) -> Num:
    """a - b."""
    if a.kind == "temperature" and b.kind == "temperature":
        return of_kind("temperature_difference")
    if b.kind == "temperature":
        raise TypeFault(f"a temperature cannot be taken from {describe(a)}")
    if a.kind == "temperature":
        return add(a, b)
    return same(a, b, "-")


def _no_point(*all_: Num) -> None:
    if any(one.kind == "temperature" for one in all_):
        raise TypeFault("a temperature cannot be multiplied: take a difference first")


def multiply(a: Num, b: Num) -> Num:
    """a * b: a plain factor keeps the kind."""
    _no_point(a, b)
    dim: Dim = tuple(x + y for x, y in zip(a.dim, b.dim, strict=True))  # type: ignore[assignment]
    if b.dim == NONE and not _plain(a.kind):
        return Num(dim, a.kind)
    if a.dim == NONE and not _plain(b.kind):
        return Num(dim, b.kind)
    return Num(dim)


def divide(a: Num, b: Num) -> Num:
    """a / b."""
    _no_point(a, b)
    dim: Dim = tuple(x - y for x, y in zip(a.dim, b.dim, strict=True))  # type: ignore[assignment]
    return Num(dim, a.kind if b.dim == NONE and not _plain(a.kind) else None)


def power(a: Num, exponent: float | None, b: Num) -> Num:
    """a ** b; a dimension needs a constant exponent."""
    _no_point(a, b)
    if b.dim != NONE:
        raise TypeFault("an exponent must be a plain number")
    if a.dim == NONE:
        return PLAIN
    if exponent is None:
        raise TypeFault("a number with a dimension needs a constant exponent")
    by = Fraction(exponent).limit_denominator(12)
    return Num(tuple(x * by for x in a.dim))  # type: ignore[arg-type]


def root(a: Num) -> Num:
    """Square root."""
    _no_point(a)
    return Num(tuple(x / 2 for x in a.dim))  # type: ignore[arg-type]


def per_of(one: Num) -> float:
    """Whole steps per SI unit in which this number is compared."""
    if one.kind:
        return KINDS[one.kind].per
    if one.dim == NONE:
        return KINDS["ratio"].per
    for name, kind in KINDS.items():
        if kind_dim(name) == one.dim and name != "temperature":
            return kind.per
    raise TypeFault(f"numbers of {say(one.dim)} cannot be compared: no kind has this dimension")


def join(a: Type, b: Type, what: str) -> Type:
    """The common type of two branches."""
    if isinstance(a, Nothing):
        return b
    if isinstance(b, Nothing):
        return a
    if isinstance(a, Num) and isinstance(b, Num):
        return same(a, b, what)
    if isinstance(a, Word) and isinstance(b, Word):
        return Word(a.words | b.words if a.words is not None and b.words is not None else None)
    if isinstance(a, YesNo) and isinstance(b, YesNo):
        return a
    if isinstance(a, Numbers) and isinstance(b, Numbers):
        return Numbers(same(a.of, b.of, what))
    raise TypeFault(f"{what}: {describe(a)} and {describe(b)} do not go together")


def fits(got: Type, kind: str, words: frozenset[str] | None = None) -> str | None:
    """None if an expression of this type may be a line of this kind, else the reason."""
    if isinstance(got, Nothing):
        return None
    if kind == "word":
        if not isinstance(got, Word):
            return f"is {describe(got)}, declared a word"
        if words is not None and got.words is not None and not got.words <= words:
            return f"can be {', '.join(sorted(got.words - words))}, which its choices do not list"
        return None
    if kind == "yesno":
        return None if isinstance(got, YesNo) else f"is {describe(got)}, declared yes/no"
    if not isinstance(got, Num):
        return f"is {describe(got)}, declared {kind}"
    want = of_kind(kind)
    if got.zero and kind != "temperature":
        return None
    if got.dim != want.dim:
        return f"is {describe(got)} ({say(got.dim)}), declared {kind.replace('_', ' ')} ({say(want.dim)})"
    if got.dim == NONE:
        return None
    if got.kind is None:
        return "is a temperature difference, declared temperature" if kind == "temperature" else None
    return None if got.kind == kind else f"is {describe(got)}, declared {kind.replace('_', ' ')}"

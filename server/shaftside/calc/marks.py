"""The smallest marks of a set formula: a symbol, a figure with its unit, a number as it was written. Twin: web/marks.js.

A tree is a text or `[tag, *trees]`; `tag.name` carries a class, `tag@form` the form of an operator.
"""

from __future__ import annotations

from html import escape
from typing import Any

NBSP = "\u00a0"
Tree = str | list[Any]
RANK = {"+": 5, "-": 5, "neg": 5, "*": 6}  # a fraction, a root and a power hold together by their shape
ATOM = 9
_LOGIC = ("and", "or", "not", "cmp", "eq", "ne", "in", "given", "by_maker", "has", "yes", "none", "word")


def rank(expr: list[Any]) -> int:
    if expr[0] == "set_in":
        return rank(expr[1])
    if expr[0] == "num" and len(expr) == 4 and "e" in str(expr[3]).lower():
        return 6
    return 0 if expr[0] in _LOGIC else RANK.get(expr[0], ATOM)


def listed(expr: list[Any]) -> bool:
    """A choice that only asks whether the table has the figure it takes."""
    return bool(expr[1][0] == "has" and expr[2][0] == "lookup" and expr[1][1:] == expr[2][1:])


def single(node: Tree) -> bool:
    """Whether a power can stand on it without brackets."""
    return node[0] in ("mi", "mn", "msub", "mtext", "mtext.q")


def measured(text: str) -> Tree:
    """A figure with its unit upright behind it."""
    figure, gap, unit = text.partition(NBSP)
    return ["mrow", ["mn", figure], ["mtext", NBSP + unit]] if gap else ["mn", figure]


def set_symbol(symbol: str) -> Tree:
    """F_M, d_2, μ_t, d′: a letter or word with at most one subscript."""
    base, _, below = symbol.partition("_")
    letter: Tree = ["mi", base.removesuffix("′")]
    if base.endswith("′"):
        letter = ["msup", letter, ["mo", "′"]]
    return ["msub", letter, ["mn" if below.isdecimal() else "mtext", below]] if below else letter


def symbol(text: str) -> Tree:
    """A symbol alone, as legends and headings write it."""
    return ["math", set_symbol(text)] if text else ""


def number(written: str, shown: str) -> Tree:
    """A number as the sheet writes it, 12e-6 with its power of ten, and its unit as shown."""
    figure, _, tens = written.lower().partition("e")
    if not tens:
        return measured(f"{figure.replace('-', '−')}{'' if shown in ('', '°') else NBSP}{shown}")
    power = ["msup", ["mn", "10"], ["mn", tens.removeprefix("+").replace("-", "−")]]
    return ["mrow", ["mn", figure], ["mo@infix", "×"], power, *([["mtext", NBSP + shown]] if shown else [])]


def write(tree: Tree) -> str:
    """A tree as markup, every text escaped. A drawing's nodes carry their attributes as `[tag, {attributes}, *trees]`."""
    if isinstance(tree, str):
        return escape(tree, quote=False)
    tag, _, form = str(tree[0]).partition("@")
    tag, _, name = tag.partition(".")
    marks = ({"class": name} if name else {}) | ({"form": form} if form else {})
    inner = tree[1:]
    if inner and isinstance(inner[0], dict):
        marks, inner = inner[0], inner[1:]
    said = "".join(f' {key}="{escape(value)}"' for key, value in marks.items())
    return f"<{tag}{said}>{''.join(write(one) for one in inner)}</{tag}>"

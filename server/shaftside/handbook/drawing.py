"""Drawings: an SVG file read, checked and turned into the plain tree that phone and desk draw.

A drawing carries no colour, style, script or reference: its classes are line types of a drawing office, and the style
sheets give them weight and colour, so that it reads in glare, at night and on paper. `<text data-symbol="F_M"/>` stands
for a symbol of its sheet and is set here, once.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any
from xml.parsers import expat

from shaftside.calc.problems import Problems

MOST_BYTES = 4096
WIDTH = 360  # as wide as a narrow phone: a unit of the drawing is a pixel there
MOST_HEIGHT = 320
SHAPES = ("g", "path", "line", "rect", "circle", "ellipse", "polyline", "polygon", "text")
WORDS = ("title", "desc")
# line types after ISO 128-2: wide, narrow, dash for hidden edges, chain for centres; hatching after ISO 128-3
LINES = ("outline", "thin", "dash", "centre", "accent", "solid", "blank", "zone", "mask", "start", "end")
# lines that end in an arrowhead: a dimension at both ends, a leader, an arc, a push and a turn at their last point
ARROWS = {"dim": ("start", "end"), "lead": ("end",), "push": ("end",), "turn": ("end",)}
_HEADS = {"dim": "tip", "lead": "tip", "push": "arrowhead", "turn": "arrowhead"}
CUTS = {"cut-a": 45, "cut-b": -45, "cut-c": 20}
_ATTRIBUTES = ("class", "transform", "d", "points", "x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "r", "rx", "ry", "width", "height")
_VALUE = re.compile(r"[-+0-9.,eE a-zA-Z()]*\Z")
_SYMBOL = re.compile(r"([^\W\d_][^\W_]*′?)(?:_([^\W_]+))?\Z")
Tree = list[Any]


class _Builder:
    """Builds the tree while the file is read, and notes what may not stand in it."""

    def __init__(self, name: str, file: str, problems: Problems) -> None:
        self.name, self.file, self.problems = name, file, problems
        self.words: dict[str, dict[str, str]] = {one: {} for one in WORDS}
        self.symbols: dict[str, int] = {}
        self.cuts: set[str] = set()
        self.heads: set[str] = set()
        self.root: Tree | None = None
        self.open: list[Tree] = []
        self.parser = expat.ParserCreate("utf-8", " ")
        self.parser.StartElementHandler = self.start
        self.parser.EndElementHandler = lambda tag: self.open.pop()
        self.parser.CharacterDataHandler = self.text
        self.parser.ProcessingInstructionHandler = lambda *what: self.fault("a processing instruction may not stand in it")
        self.parser.StartDoctypeDeclHandler = lambda *what: self.fault("a document type may not stand in it")

    def fault(self, reason: str) -> None:
        self.problems.add(self.file, self.parser.CurrentLineNumber, reason)

    def start(self, qualified: str, given: dict[str, str]) -> None:
        space, _, tag = qualified.rpartition(" ")
        if space != "http://www.w3.org/2000/svg":
            self.fault(f"<{tag}> is not SVG")
        node: Tree = [tag, {}]
        if not self.open:
            self.root = node
            self.box(tag, given)
        elif tag in WORDS:
            self.word(tag, node, given)
        elif tag not in SHAPES:
            self.fault(f"<{tag}> may not stand in a drawing: {', '.join(SHAPES)} may")
        else:
            self.open[-1].append(node)
            node[1] = self.attributes(tag, node, given)
        self.open.append(node)

    def box(self, tag: str, given: dict[str, str]) -> None:
        found = re.fullmatch(r"0 0 (\d+) (\d+)", given.get("viewBox", ""))
        if tag != "svg" or set(given) != {"viewBox"} or not found or int(found[1]) != WIDTH or int(found[2]) > MOST_HEIGHT:
            self.fault(f'must begin with <svg viewBox="0 0 {WIDTH} HEIGHT"> and nothing more, HEIGHT at most {MOST_HEIGHT}')
        elif self.root is not None:
            self.root[1] = {"viewBox": given["viewBox"]}

    def word(self, tag: str, node: Tree, given: dict[str, str]) -> None:
        lang = given.get("lang", "")
        if set(given) != {"lang"} or not 2 <= len(lang) <= 8 or len(self.open) != 1:
            self.fault(f'<{tag} lang="en"> stands directly in <svg>, with its language')
        node[1] = {"words": lang}

    def attributes(self, tag: str, node: Tree, given: dict[str, str]) -> dict[str, str]:
        out: dict[str, str] = {}
        for name, value in given.items():
            if name == "data-symbol" and tag == "text":
                node.extend(self.symbol(value))
            elif name == "class":
                out.update(self.line_types(value))
            elif name not in _ATTRIBUTES:
                self.fault(f"the attribute {name!r} may not stand in a drawing")
            elif not _VALUE.match(value) or "url" in value:
                self.fault(f"{name}: {value!r} is not plain geometry")
            else:
                out[name] = value
        return out

    def line_types(self, value: str) -> dict[str, str]:
        out = {"class": value}
        for one in value.split():
            if one in CUTS:
                self.cuts.add(one)
                out["fill"] = f"url(#{self.name}-{one})"
            elif one in ARROWS:
                self.heads.add(_HEADS[one])
                out.update({f"marker-{end}": f"url(#{self.name}-{_HEADS[one]})" for end in ARROWS[one]})
            elif one not in LINES:
                self.fault(f"class {one!r} is no line type: one of {', '.join([*LINES, *ARROWS, *CUTS])}")
        return out

    def symbol(self, value: str) -> list[Tree]:
        found = _SYMBOL.match(value)
        if not found:
            self.fault(f"data-symbol {value!r} is not letters with at most one subscript, as F_M or μ_t")
            return []
        self.symbols.setdefault(value, self.parser.CurrentLineNumber)
        set_: list[Tree] = [["tspan", {"class": "var"}, found[1]]]
        return [*set_, ["tspan", {"class": "sub", "dy": "4"}, found[2]]] if found[2] else set_

    def text(self, text: str) -> None:
        if not self.open or not text.strip():
            return
        node = self.open[-1]
        if "words" in node[1]:
            held = self.words[node[0]]
            held[node[1]["words"]] = " ".join((held.get(node[1]["words"], "") + text).split())
        elif node[0] != "text" or len(text.strip()) > 8:
            self.fault(f"{text.strip()[:30]!r}: a drawing holds symbols, numbers and letters; sentences stand in its <desc>")
        else:
            node.append(text.strip())

    def done(self, languages: Iterable[str]) -> dict[str, Any] | None:
        """{title, desc, tree}, or None where the file could not be read."""
        for tag, held in self.words.items():
            lacking = [one for one in languages if one not in held]
            if lacking:
                self.problems.add(self.file, 1, f"has no <{tag}> in {', '.join(lacking)}")
        if self.root is None:
            return None
        svg: Tree = ["svg", {**self.root[1], "class": "drawing", "role": "img"}]
        svg.extend(_pattern(f"{self.name}-{one}", CUTS[one]) for one in sorted(self.cuts))
        svg.extend(_arrowhead(f"{self.name}-{one}", one) for one in sorted(self.heads))
        return {**self.words, "tree": [*svg, *self.root[2:]]}


def _pattern(id: str, angle: int) -> Tree:
    """Hatching of a cut face; parts that touch are hatched at different angles."""
    turned = {"id": id, "width": "6", "height": "6", "patternUnits": "userSpaceOnUse", "patternTransform": f"rotate({angle})"}
    return ["pattern", turned, ["path", {"class": "hatch", "d": "M3 0V6"}]]


def _arrowhead(id: str, kind: str) -> Tree:
    """A tip has its point at the end of its line, as dimensions have; a head stands on it."""
    length, half, at = (9, 2.6, 9) if kind == "tip" else (14, 7, 0)
    marks = {"id": id, "refX": str(at), "refY": "0", "orient": "auto-start-reverse", "markerUnits": "userSpaceOnUse", "overflow": "visible"}
    size = {"markerWidth": str(length), "markerHeight": str(2 * half)}
    return ["marker", marks | size, ["path", {"class": kind, "d": f"M0 {-half}L{length} 0L0 {half}Z"}]]


def load_drawing(path: Path, file: str, languages: Iterable[str], problems: Problems) -> tuple[dict[str, Any], dict[str, int]] | None:
    """({title, desc, tree}, line of each symbol), or None with problems noted."""
    before = len(problems.found)
    try:
        content = path.read_bytes()
    except OSError as error:
        problems.add(file, 0, f"cannot be read: {error}")
        return None
    if len(content) > MOST_BYTES:
        problems.add(file, 0, f"is {len(content)} bytes, over {MOST_BYTES}: draw it with fewer strokes")
        return None
    builder = _Builder(path.stem, file, problems)
    try:
        builder.parser.Parse(content, True)
    except expat.ExpatError as error:
        problems.add(file, error.lineno, f"is not XML: {expat.ErrorString(error.code)}")
        return None
    made = builder.done(languages)
    return (made, builder.symbols) if made is not None and len(problems.found) == before else None


def load_drawings(folder: Path, sheets: Mapping[str, Any], languages: Iterable[str], problems: Problems) -> dict[str, Any]:
    """Every drawing that a sheet's `figure` names, checked against that sheet's symbols; none that no sheet names."""
    drawings: dict[str, Any] = {}
    wanted = {sheet["figure"]: name for name, sheet in sheets.items() if "figure" in sheet}
    for figure, name in sorted(wanted.items()):
        path, file = folder / "drawings" / f"{figure}.svg", f"drawings/{figure}.svg"
        if not path.is_file():
            problems.add(f"sheets/{name}.yaml", 0, f"figure {figure!r}: there is no {file}")
            continue
        loaded = load_drawing(path, file, list(languages), problems)
        if loaded is None:
            continue
        drawings[figure], symbols = loaded
        known = {spec["symbol"] for spec in [*sheets[name]["inputs"], *sheets[name]["lines"]] if "symbol" in spec}
        for symbol, line in symbols.items():
            if symbol not in known:
                problems.add(file, line, f"the symbol {symbol!r} is none of sheet {name}: {', '.join(sorted(known))}")
    for path in sorted((folder / "drawings").glob("*.svg")):
        if path.stem not in wanted:
            problems.add(f"drawings/{path.name}", 0, "no sheet shows this drawing: name it as a figure, or take it out")
    return drawings

"""Drawings: what may not stand in one is refused with its line; every drawing fits its sheet and the budget."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import brotli
import pytest

from shaftside import handbook
from shaftside.calc.problems import Problems
from shaftside.handbook.drawing import load_drawing, load_drawings

PROCEDURES = Path(__file__).resolve().parents[2] / "procedures"
WHOLE = """<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 360 200">
<title lang="en">A shaft</title>
<desc lang="en">A shaft of diameter d.</desc>
<path class="outline" d="M10 10H350"/>
<g class="thin"><text x="20" y="30" data-symbol="F_M"/></g>
</svg>
"""
SHEETS: dict[str, Any] = {"s": {"figure": "one", "inputs": [{"name": "a", "symbol": "F_M"}], "lines": []}}


def told(tmp_path: Path, text: str | bytes, sheets: dict[str, Any] | None = None) -> list[str]:
    """What the loader says of one drawing named `one`."""
    (tmp_path / "drawings").mkdir()
    (tmp_path / "drawings" / "one.svg").write_bytes(text if isinstance(text, bytes) else text.encode())
    problems = Problems()
    load_drawings(tmp_path, sheets or SHEETS, ["en"], problems)
    return [str(one) for one in problems.found]


def test_a_plain_drawing_loads_and_its_symbol_is_set(tmp_path: Path) -> None:
    (tmp_path / "one.svg").write_text(WHOLE)
    problems = Problems()
    loaded = load_drawing(tmp_path / "one.svg", "one.svg", ["en"], problems)
    assert problems.found == []
    assert loaded is not None
    made, symbols = loaded
    assert made["title"] == {"en": "A shaft"}
    assert made["desc"] == {"en": "A shaft of diameter d."}
    assert symbols == {"F_M": 5}
    assert made["tree"][0] == "svg"
    assert made["tree"][-1] == ["g", {"class": "thin"}, [
        "text", {"x": "20", "y": "30"}, ["tspan", {"class": "var"}, "F"], ["tspan", {"class": "sub", "dy": "4"}, "M"]],
    ]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "line", "reason"), [
    ("<path", "<script>alert(1)</script><path", 4, "<script> may not stand"),
    ("<path", '<image href="https://example.org/a.png"/><path', 4, "<image> may not stand"),
    ("<path", '<a href="javascript:alert(1)"><text x="1" y="1">x</text></a><path', 4, "<a> may not stand"),
    ("<path", "<style>*{fill:red}</style><path", 4, "<style> may not stand"),
    ("<path", "<foreignObject/><path", 4, "<foreignObject> may not stand"),
    ("<path", '<use href="#x"/><path', 4, "<use> may not stand"),
    ("<path", '<path onclick="x"', 4, "'onclick' may not stand"),
    ("<path", '<path style="fill:red"', 4, "'style' may not stand"),
    ("<path", '<path fill="#fff"', 4, "'fill' may not stand"),
    ("<path", '<path stroke="red"', 4, "'stroke' may not stand"),
    ("<path", '<path id="x"', 4, "'id' may not stand"),
    ("M10 10H350", "url(#a)", 4, "not plain geometry"),
    ("M10 10H350", "M10 10;H350", 4, "not plain geometry"),
    ('class="outline"', 'class="pretty"', 4, "'pretty' is no line type"),
    ("F_M", "F M", 5, "not letters with at most one subscript"),
    ("F_M", "Q", 5, "the symbol 'Q' is none of sheet s"),
    ('data-symbol="F_M"/>', ">Tighten it now</text>", 5, "sentences stand in its <desc>"),
    ('<title lang="en">A shaft</title>', "", 1, "has no <title> in en"),
    ('<desc lang="en">A shaft of diameter d.</desc>', "", 1, "has no <desc> in en"),
    ('<title lang="en">', "<title>", 2, "with its language"),
    ('viewBox="0 0 360 200"', 'viewBox="0 0 400 200"', 1, "must begin with"),
    ('viewBox="0 0 360 200"', 'viewBox="0 0 360 200" onload="x"', 1, "must begin with"),
    ("http://www.w3.org/2000/svg", "http://www.w3.org/1999/xhtml", 1, "is not SVG"),
    ("</svg>", "", 7, "is not XML"),
    ("<svg", '<!DOCTYPE svg [<!ENTITY a "b">]><svg', 1, "a document type may not stand"),
    ("<svg", "<?xml-stylesheet href='x'?><svg", 1, "a processing instruction may not stand"),
    ("M10 10H350", "M10 10H350" * 500, 0, "over 4096"),
])  # fmt: skip
def test_what_may_not_stand_in_a_drawing(tmp_path: Path, old: str, new: str, line: int, reason: str) -> None:
    said = told(tmp_path, WHOLE.replace(old, new, 1))
    assert any(one.startswith(f"drawings/one.svg:{line}: ") and reason in one for one in said), said


def test_a_figure_needs_its_drawing_and_a_drawing_its_sheet(tmp_path: Path) -> None:
    sheets = {"s": {**SHEETS["s"], "figure": "two"}}
    said = told(tmp_path, WHOLE, sheets)
    assert said == [
        "sheets/s.yaml:0: figure 'two': there is no drawings/two.svg",
        "drawings/one.svg:0: no sheet shows this drawing: name it as a figure, or take it out",
    ]


def test_a_file_of_bytes_that_are_no_text_is_refused(tmp_path: Path) -> None:
    assert "is not XML" in told(tmp_path, b"\xff\xfe\x00<svg")[0]


def test_arrowheads_belong_to_their_lines(tmp_path: Path) -> None:
    (tmp_path / "one.svg").write_text(WHOLE.replace('class="outline"', 'class="dim"'))
    loaded = load_drawing(tmp_path / "one.svg", "one.svg", ["en"], Problems())
    assert loaded is not None
    tree = loaded[0]["tree"]
    assert tree[2][:2] == ["marker", tree[2][1]]
    assert tree[2][1]["id"] == "one-tip"
    line = next(part for part in tree[2:] if part[0] == "path")
    assert line[1]["marker-start"] == line[1]["marker-end"] == "url(#one-tip)"


def test_every_sheet_has_a_figure_and_a_phase_and_the_figures_stay_light() -> None:
    bundle = handbook.build(PROCEDURES)
    sheets = bundle.data["calc"]["sheets"]
    assert {name for name, sheet in sheets.items() if "figure" not in sheet or "group" not in sheet} == set()
    packed = len(brotli.compress(bundle.packs["figures"].bytes))
    assert packed < 25_000, packed


def test_every_symbol_of_a_drawing_is_a_symbol_of_its_sheet() -> None:
    bundle = handbook.build(PROCEDURES)
    figures = bundle.packs["figures"].data["figures"]
    for name, sheet in bundle.data["calc"]["sheets"].items():
        known = {spec["symbol"] for spec in [*sheet["inputs"], *sheet["lines"]] if "symbol" in spec}
        shown = set(symbols_in(figures[sheet["figure"]]["tree"]))
        assert shown <= known, name


def symbols_in(tree: Any) -> list[str]:
    if not isinstance(tree, list):
        return []
    if tree[0] == "text":
        parts = [part for part in tree[2:] if isinstance(part, list)]
        return ["_".join(part[2] for part in parts)] if parts else []
    return [symbol for part in tree[1:] for symbol in symbols_in(part)]

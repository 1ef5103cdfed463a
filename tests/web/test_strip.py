"""What is served against what is written: the same program to a real parser (TypeScript's), for every file and for awkward text."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path

import pytest

from shaftside import content
from shaftside.phone.strip_js import NotUnderstood, strip

HERE = Path(__file__).parent
WEB = content.folder("web")
FILES = sorted(path for path in WEB.rglob("*.js"))
AWKWARD = [
    "const a = 1 // one\nconst b = 2 /* two */ + 3\n",
    "const r = /[/]\\/\\/(?:a|b)/g.test(x) // not a comment\n",
    "const half = a / b / c; const s = 'it // is' + \"a /* b */\";\n",
    "const t = `// ${ `/* ${ a /* gone */ + 'x' } */` } // kept  \n   kept`\n",
    "const f = (x) => {\n  return /re/.test(x)\n}\n",
    "let i = 0\nlet j = 1\n++i\n--j\ni\n++j\n",
    "const o = {\n  a: 1, // one\n  'b c': [\n    1,\n    2,\n  ],\n}\n;[1, 2].forEach((x) => x)\n",
    "function f() {\n  return /* here\n  */ 5\n}\n",
    "const g = a\n  ? b\n  : c\nconst h = a\n  ?? b\nconst k = a\n  && b\n",
    "const m = a - -b + +c - --d\nconst n = a in b, p = typeof /x/\n",
    "/*! licence stays */ const q = 1\n/** @license so does this */\n",
    "const u = (a) / 2 / (b), v = x[0] / y[1] / 3\n",
    "label: for (;;) { if (a) break label\n else continue }\n",
    "const w = a ? .5 : -.5, y = a?.b ?? c?.[0]\n",
    "const z = async () => { for await (const a of b) yield_(a) }\n",
    "x = a < ! --b\n",
    "a + +b; a - -b; a++ + b; a-- - b; a + ++b; a +/*x*/+b; a -/*x*/ -b; 1 + .5; 0x1e + 5; 'a' + b + `c` + +d\n",
    "const n = 1\n.toFixed(2)\nconst m = b\n.c\nconst l = [\n...d]\nreturn_\n?.e\n",
    "if ('a' in b) typeof 'c'; else { throw `d` } for (const e of 'f') g(e)\n",
    "f((/* a */ b, /** @type {c} */ d) => /* e */ ({}) /* f */ instanceof /* g */ h)\n",
    "import { a as b } from 'c'\nexport { b as 'd' }\nclass E extends F { static #g = 'h'; get i() { return 'j' } }\n",
    'const html_ = html`<p class="a  b">\n   ${items.map((i) => html`<li>${i}</li>`)} \\` // </p>`\n',
]


def differ(pairs: list[tuple[str, str]]) -> list[int]:
    if shutil.which("node") is None or not (HERE / "node_modules" / "typescript").is_dir():
        pytest.skip("no node, or tests/web is not installed")
    done = subprocess.run(
        ["node", str(HERE / "strip.mjs")],
        input=json.dumps(pairs),
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    found: list[int] = json.loads(done.stdout)
    return found


@pytest.mark.node
def test_every_file_is_the_same_program() -> None:
    assert len(FILES) > 40
    pairs = [(text, strip(text)) for text in (path.read_text(encoding="utf-8") for path in FILES)]
    assert [str(FILES[at]) for at in differ(pairs)] == []


@pytest.mark.node
def test_awkward_text_is_the_same_program() -> None:
    assert [AWKWARD[at] for at in differ([(text, strip(text)) for text in AWKWARD])] == []


@pytest.mark.node
def test_the_comparison_sees_a_difference() -> None:
    same = ("const a = 1\n", "const a = 1\n")
    others = [
        ("a\n++b\n", "a ++ b\n"),
        ("`a `", "`a`"),
        ("'a'", "'b'"),
        ("let a", "const a=1"),
        ("a-b", "a+b"),
        ("/a/", "/b/"),
        ("a", "a b c"),
    ]
    assert differ([same, *others]) == list(range(1, len(others) + 1))


def test_comments_go_and_licences_stay() -> None:
    out = strip("".join(AWKWARD))
    assert "not a comment" not in out
    assert "gone" not in out
    assert "/*! licence stays */" in out
    assert "@license" in out
    assert "// kept  \n   kept" in out


@pytest.mark.parametrize("text", ["const a = 'x", "/* a", "`a", "`${a", 'x = "a\nb"'])
def test_what_is_not_closed_is_refused(text: str) -> None:
    with pytest.raises(NotUnderstood):
        strip(text)

"""Modules joined into one script do what they did apart, and what cannot be joined is refused."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path

import pytest

from shaftside.phone.linking import Linked, attach, link, needs
from shaftside.phone.script import shortened
from shaftside.phone.strip_js import NotUnderstood, strip

PARTS = {
    "app.js": '''// the start
import { add, Tally as Count } from "./deep/sum.js";
import { box } from "lib";
import "./deep/effect.js";
import { twice } from "lib/more.js";
const told = [];
const count = new Count();
for (const one of [1, 2, 3]) count.take(one);
told.push(add(1, 2), count.total, box(4), twice(5), globalThis.effect, `import { nothing } from "nowhere"`);
const { late } = await (async () => count.late())();
told.push(late);
console.log(JSON.stringify(told));
''',
    "deep/sum.js": '''import { base } from "../base.js";
export { base as start } from "../base.js";
export { base } from "../base.js";
/** @param {import("../base.js").Number} a */
export const add = (a, b) => base + a + b;
export class Tally {
  total = 0;
  take(one) { this.total = add(this.total, one); }
  late() { return import("./late.js"); }
}
''',
    "deep/effect.js": "globalThis.effect = globalThis.effect ? 'again' : 'once';\n",
    "base.js": "export const base = 100;\nexport async function* unused() {}\n",
    "vendor/lib.js": "/*! of somebody */const t=1,i=o=>[o,t];export{i as box};",
    "vendor/more.js": 'import{box as r}from"./lib.js";const e=o=>r(o).concat(r(o));export{e as twice};',
}
# A page for Node: a plain script asks where it lies, and what it declares stands for every script after it.
PAGE = """const fs = require("node:fs"), vm = require("node:vm"), { pathToFileURL } = require("node:url");
const filename = `${__dirname}/app.js`;
globalThis.document = { currentScript: { src: pathToFileURL(filename).href } };
vm.runInThisContext(fs.readFileSync(filename, "utf8"), { filename, importModuleDynamically: vm.constants.USE_MAIN_CONTEXT_DEFAULT_LOADER });
"""
NAMED = {"lib": "vendor/lib.js", "lib/": "vendor/"}


def joined(parts: dict[str, str]) -> Linked:
    return link("app.js", lambda path: strip(parts[path]), NAMED, lambda path, text: strip(text) if path.startswith("vendor/") else shortened(text))


def test_each_module_comes_once_and_after_those_it_needs() -> None:
    made = joined(PARTS | {"app.js": PARTS["app.js"].replace("await (async () => count.late())()", "{}")})
    assert made.modules == ["base.js", "deep/sum.js", "vendor/lib.js", "deep/effect.js", "vendor/more.js", "app.js"]
    assert "of somebody" in made.text
    assert "the start" not in made.text


@pytest.mark.node
@pytest.mark.skipif(shutil.which("node") is None, reason="no node")
def test_joined_they_do_what_they_did_apart(tmp_path: Path) -> None:
    """The same parts run by Node as modules and joined; only the way in differs, as the page's import map does."""
    parts = PARTS | {
        # what comes later shares what is joined: the class it gets is the one that the count was made of
        "deep/late.js": 'import { Tally } from "./sum.js";\nimport { box } from "../vendor/lib.js";\nexport const late = ["late", box(7), globalThis.count instanceof Tally];\n',
        # a joined module is a function that runs to its end at once: what waits is inside another
        "app.js": PARTS["app.js"].replace("const { late } = await (async () => count.late())();\ntold.push(late);\nconsole.log(JSON.stringify(told));", "globalThis.count = count;\ncount.late().then(({ late }) => console.log(JSON.stringify([...told, late])));"),
    }
    apart, one = tmp_path / "apart", tmp_path / "one"
    for name, text in parts.items():
        for folder in (apart, one):
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            (folder / name).write_text(text.replace('"lib/more.js"', '"./vendor/more.js"').replace('"lib"', '"./vendor/lib.js"'))
    made = joined(parts)
    (one / "app.js").write_text(made.sent)
    (one / "deep/late.js").write_text(shortened(attach("deep/late.js", parts["deep/late.js"], made, NAMED)))
    (one / "page.cjs").write_text(PAGE)
    for folder in (apart, one):
        (folder / "package.json").write_text('{"type": "module"}')
    said = [json.loads(subprocess.run(["node", script], cwd=folder, capture_output=True, text=True, timeout=60, check=True).stdout) for folder, script in ((apart, "app.js"), (one, "page.cjs"))]
    assert said[0] == said[1]
    assert said[0][0] == 103
    assert said[0][-1] == ["late", [7, 1], True]


def test_what_comes_later_is_of_the_same_version() -> None:
    late = {"late.js": 'import { base } from "./base.js";\nimport { other } from "./other.js";\nexport const more = base + 1;\n'}
    made, changed = joined(PARTS | {"app.js": 'import "./deep/sum.js";\n'}), joined(PARTS | {"app.js": 'import "./deep/sum.js";\nglobalThis.new_ = 1;\n'})
    text = attach("late.js", late["late.js"], made, NAMED)
    assert f'if($mark!=="{made.mark}")throw' in text
    assert f'$mark="{made.mark}"' in made.sent
    assert made.mark != changed.mark
    assert needs("late.js", text, NAMED) == {"other.js"}, "what is not joined is imported as it was"
    with pytest.raises(NotUnderstood, match="does not export"):
        attach("late.js", 'import { nothing } from "./base.js";\n', made, NAMED)


@pytest.mark.parametrize(
    "text",
    [
        "export let a = 1;\n",
        "export default 1;\n",
        'export * from "./base.js";\n',
        'import * as all from "./base.js";\n',
        'import base from "./base.js";\n',
        "console.log(import.meta.url);\n",
    ],
)
def test_a_form_that_is_not_understood_is_refused(text: str) -> None:
    with pytest.raises(NotUnderstood, match="not a form that can be joined"):
        joined({**PARTS, "app.js": text})

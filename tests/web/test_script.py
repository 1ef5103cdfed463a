"""A shortened script shows and takes the same as the one in web/; what it does is tried by the browser tests, which run on it."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

from shaftside import content
from shaftside.phone.script import shortened
from shaftside.phone.strip_js import NotUnderstood, strip

HERE = Path(__file__).parent
WEB = content.folder("web")
OURS = sorted(path for path in WEB.rglob("*.js") if "vendor" not in path.relative_to(WEB).parts and path.name != "types.js")


def faces(texts: list[str]) -> list[dict[str, Any]]:
    if shutil.which("node") is None or not (HERE / "node_modules" / "typescript").is_dir():
        pytest.skip("no node, or tests/web is not installed")
    done = subprocess.run(
        ["node", str(HERE / "exports.mjs")], input=json.dumps(texts), capture_output=True, text=True, timeout=120
    )
    assert done.returncode == 0, done.stderr
    found: list[dict[str, Any]] = json.loads(done.stdout)
    return found


@pytest.mark.node
def test_every_module_shows_and_takes_the_same() -> None:
    assert len(OURS) > 60
    texts = [path.read_text(encoding="utf-8") for path in OURS]
    written, served = faces(texts), faces([shortened(text) for text in texts])
    assert [OURS[at] for at, one in enumerate(written) if one != served[at]] == []
    assert not any("fault" in one for one in served)
    assert sum(len(one["shows"]) for one in written) > 200


@pytest.mark.node
def test_the_comparison_sees_a_lost_name() -> None:
    whole, less = faces(["import { a } from './b.js';\nexport const c = a, d = 1;\n", "export const c = 1;\n"])
    assert whole == {"shows": ["c", "d"], "takes": ["./b.js"]}
    assert less != whole


def test_without_the_minifier_only_comments_go() -> None:
    text = "// why\nexport const long_name = (a) => a + 1;\n"
    assert shortened(text, None) == strip(text)
    assert "why" not in shortened(text)


def test_a_licence_stays() -> None:
    for text in ("/*! of somebody */\nexport const a = 1;\n", "/** @license of somebody */\nexport const a = 1;\n"):
        assert "of somebody" in shortened(text)


def test_a_damaged_script_is_refused() -> None:
    with pytest.raises(NotUnderstood):
        shortened("const a = `x")

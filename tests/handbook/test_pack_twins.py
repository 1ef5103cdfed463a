"""Packs laid into a bundle: phone and server give every text the same words, whatever came first."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
from tongue import CODE, content, texts

from shaftside import handbook
from shaftside.handbook.languages import meanings
from shaftside.handbook.texts import Key, laid_in, texts_of

ROOT = Path(__file__).resolve().parents[2]
pytestmark = [pytest.mark.node, pytest.mark.skipif(shutil.which("node") is None, reason="needs node")]


def on_phone(data: Any, figures: Any, packs: list[Any], late: bool) -> Any:
    ran = subprocess.run(
        ["node", str(ROOT / "tests/web/pack_twin.mjs")],
        input=json.dumps({"bundle": data, "figures": figures, "packs": packs, "late": late}), capture_output=True, text=True, check=True,
    )  # fmt: skip
    return json.loads(ran.stdout)


@pytest.mark.parametrize("late", [False, True])
def test_the_whole_handbook_in_the_invented_language(tmp_path: Path, late: bool) -> None:
    bundle = handbook.build(content(tmp_path))
    figures, pack = bundle.packs["figures"].data["figures"], bundle.packs[CODE].data
    said, unread = meanings(pack, texts(bundle))
    expected = laid_in(bundle.data | {"drawings": figures}, CODE, said, unread)
    assert on_phone(bundle.data, figures, [pack], late) == expected
    assert expected["calc"]["words"][CODE]["yes"] == "yo"


def test_contexts_own_words_two_languages_and_keys_in_utf16_order() -> None:
    data = {
        "z": {"en": "open"},
        "a": [{"en": "open", "context": "of a valve"}, {"en": "plant", "xx": "own word"}],
        "\U0001f600": {"en": "behind the private use area by code point, before it in UTF-16"},
        "\ue000": {"en": "private use"},
        "10": {"en": "ten"},
        "9": {"en": "nine"},
        "calc": {"words": {"en": {"b": "two", "a": "one"}}},
        "drawings": {"f": {"en": "figure"}},
    }
    figures = data.pop("drawings")
    every = texts_of(data, figures)
    assert [one.english for one in every] == [
        "ten", "nine", "open", "plant", "one", "two", "open",
        "behind the private use area by code point, before it in UTF-16", "private use", "figure",
    ]  # fmt: skip
    expected: Any = data | {"drawings": figures}
    packs = []
    for lang in ("xx", "yy"):
        pack = {"format": 1, "lang": lang, "texts": [f"{lang}{at}" for at in range(len(every))], "unreviewed": [0, 2, 3, 9]}
        said: dict[Key, str]
        said, unread = meanings(pack, every)
        packs.append(pack)
        expected = laid_in(expected, lang, said, unread)
    assert on_phone(data, figures, packs, False) == expected
    assert expected["a"][0] == {"en": "open", "context": "of a valve", "xx": "xx2", "yy": "yy2", "unreviewed": ["xx", "yy"]}
    assert expected["a"][1]["xx"] == "own word"
    assert expected["z"]["xx"] == "xx6"

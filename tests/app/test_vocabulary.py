"""DEVELOPERS.md's vocabulary against the program: a word that reaches a record, an address or a screen is listed."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from shaftside import content, handbook
from shaftside.app import create_app
from shaftside.cli import parser
from shaftside.handbook.procedure import DRAWINGS
from shaftside.pages import words
from shaftside.settings import Settings

ROOT = Path(__file__).resolve().parents[2]
PAGE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
LISTED = set(re.findall(r"`([^`\n]+)`", PAGE))
SOURCE = "\n".join(path.read_text(encoding="utf-8") for path in (ROOT / "server" / "shaftside").rglob("*.py"))


def missing(names: set[str]) -> list[str]:
    return sorted(names - LISTED)


def test_the_words_of_the_record_are_listed() -> None:
    for table in (
        words.EVENTS,
        words.BLOCKERS,
        words.VERDICTS,
        words.STATUS,
        words.ROLES,
        words.PHASES,
        words.FINDINGS,
        words.DECISIONS,
        words.CERTAINTY,
        words.METHODS,
        words.WORK,
    ):
        assert missing(set(table)) == []


def test_the_words_of_the_content_are_listed() -> None:
    bundle = handbook.build(content.folder("procedures", None)).data
    assert missing(set(bundle["calc"]["sheets"])) == []
    assert missing({fact["name"] for fact in bundle["facts"]}) == []
    assert missing(set(bundle["methods"])) == []
    assert missing(set(DRAWINGS)) == []


def test_the_codes_of_errors_are_listed() -> None:
    codes = set(re.findall(r'ShaftsideError\(\s*\d+,\s*"([a-z_]+)"', SOURCE))
    codes |= set(re.findall(r'raise \w+\(\s*(?:\d+,\s*)?"([a-z_]+)",\s*f?"[A-Z]', SOURCE))
    assert len(codes) > 30, "the pattern no longer finds the codes"
    assert missing(codes) == []


def test_the_addresses_are_listed(tmp_path: Path) -> None:
    paths = set(create_app(Settings(data=tmp_path)).openapi()["paths"])
    assert len(paths) > 20
    assert missing({path for path in paths if path.startswith("/api")}) == []


def test_the_verbs_and_settings_are_listed() -> None:
    verbs = re.search(r"VERB", parser().format_help())
    assert verbs
    for action in parser()._subparsers._group_actions:  # type: ignore[union-attr]
        for verb in action.choices or ():
            assert f"`shaftside {verb}" in PAGE, verb
    assert missing({f"SHAFTSIDE_{name.upper()}" for name in Settings.model_fields}) == []


@pytest.mark.parametrize(
    "room",
    sorted(
        path.name
        for path in (ROOT / "server" / "shaftside").iterdir()
        if path.is_dir() and (path / "__init__.py").exists()
    ),
)
def test_every_room_is_on_the_map(room: str) -> None:
    assert re.search(rf"shaftside/{room}`|`{room}/`|/{room}/", PAGE), room

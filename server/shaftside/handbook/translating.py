"""`shaftside texts LANG`: the file a translator works in, written, updated and filled; and what `check` says of unfinished ones."""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path
from typing import Any

from shaftside.calc.problems import Problems
from shaftside.handbook import languages
from shaftside.handbook.bundle import Bundle, build
from shaftside.handbook.texts import Text, texts_of


def _texts(bundle: Bundle) -> tuple[list[Text], dict[str, Any]]:
    figures: dict[str, Any] = bundle.packs["figures"].data["figures"]
    return texts_of(bundle.data, figures), figures


def asked(lang: str, merge: Path | None) -> dict[str, Any] | None:
    """What a file to merge says, {} without one; None, and it is said why, where it or the language is not understood."""
    if not re.fullmatch(r"[a-z]{2,3}(-[A-Za-z0-9]{2,8})*", lang) or lang == "en":
        print(f"{lang!r} is no language to translate into; write its code, as es or pt-BR", file=sys.stderr)
        return None
    if merge is None:
        return {}
    try:
        given = json.loads(merge.read_text("utf-8"))
    except (OSError, ValueError) as error:
        print(f"{merge}: cannot be read: {error}", file=sys.stderr)
        return None
    if not isinstance(given, dict):
        print(f"{merge}: must be {{English: translation}}", file=sys.stderr)
        return None
    return given


def run(folder: Path, lang: str, merge: Path | None, own: Path | None) -> int:
    """Update `folder`/languages/LANG.po, or the plant's own file for the plant's texts. 0 done, 1 some of `merge` was not taken, 2 not understood."""
    given = asked(lang, merge)
    if given is None:
        return 2
    bundle = build(folder, own, translated=False)
    every, figures = _texts(bundle)
    texts = [one for one in every if one.ours == (own is None)]
    path = (own or folder) / languages.FOLDER / f"{lang}.po"
    problems = Problems()
    old = languages.read(path, str(path), problems) if path.exists() else None
    problems.raise_any()
    said = old.said if old else {}
    said, changed = languages.merged(said, given, texts, str(merge), problems)
    languages.write(path, texts, said, bundle.data, figures)
    lacking = len(languages.untold(texts, said, lang))
    unread = sum(1 for one in texts if (now := said.get(one.key)) and now.text and not now.reviewed)
    print(f"{path}: {len(texts)} texts, {lacking} missing, {unread} not reviewed" + (f"; {changed} taken from {merge}" if merge else "") + ".")
    for problem in problems.found:
        print(problem, file=sys.stderr)
    return 1 if problems.found else 0


def unfinished(folder: Path, bundle: Bundle) -> list[str]:
    """A sentence for each language file that does not yet call itself complete."""
    todo = [one for one in languages.files(folder) if not languages.says_complete(one[0])]
    texts = [one for one in _texts(bundle)[0] if one.ours] if todo else []
    out = []
    for path, file in todo:
        problems = Problems()
        language = languages.read(path, file, problems)
        problems.raise_any()
        lacking = len(languages.untold(texts, language.said if language else {}, path.stem))
        out.append(f"{file}: {lacking} of {len(texts)} texts missing" + ("" if lacking else "; say X-Complete: yes in its header to use it") + ".")
    return out

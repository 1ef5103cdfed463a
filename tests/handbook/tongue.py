"""An invented language, so that no test hangs on a real translation: every English text in angle brackets, half of it unreviewed."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

from shaftside import handbook
from shaftside.handbook.languages import files
from shaftside.handbook.texts import Text, texts_of

PROCEDURES = Path(__file__).resolve().parents[2] / "procedures"
CODE = "qaa"  # ISO 639-2 keeps qaa to qtz for private use
MARKED = {".": ",", "yes": "yo", "no": "nu"}


def told(english: str) -> str:
    """The translation of a text in the invented language."""
    return MARKED.get(english, f"‹{english}›")


def texts(bundle: handbook.Bundle) -> list[Text]:
    return texts_of(bundle.data, bundle.packs["figures"].data["figures"])


def content(folder: Path) -> Path:
    """A copy of the procedures with the invented language whole in it; every text with an even place is reviewed."""
    out = folder / "procedures"
    shutil.copytree(PROCEDURES, out)
    for path, _ in files(out):
        path.unlink()
    given = {one.english if not one.key[0] else "\x04".join(one.key): told(one.english) for one in texts(handbook.build(out))}
    merge = folder / "merge.json"
    merge.write_text(json.dumps(given), "utf-8")
    assert handbook.translating.run(out, CODE, merge, None) == 0
    path = out / "languages" / f"{CODE}.po"
    head, *entries = path.read_text("utf-8").split("\n\n")
    read = [one.replace("#, fuzzy, ", "#, ").replace("#, fuzzy\n", "") if at % 2 == 0 else one for at, one in enumerate(entries)]
    path.write_text("\n\n".join([head.replace("X-Complete: no", "X-Complete: yes"), *read]), "utf-8")
    return out

"""Translations: gettext PO files beside the content, checked against every English text, and bound into packs.

`#, fuzzy` marks a translation that no person of the trade has read yet. A file counts only when its header says
`X-Complete: yes`; until then it is work in progress and no bundle lists its language.
"""

from __future__ import annotations

import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shaftside.calc.problems import Problems
from shaftside.handbook.texts import Key, Text, file_of, laid_in, spot_of, texts_of

if TYPE_CHECKING:
    from babel.messages.catalog import Catalog

FOLDER = "languages"
NAMED = 10  # missing texts named one by one; the rest are counted
PLACES = 3  # places of one text that a translator is shown
_HOLE = re.compile(r"\{(\w+)\}")
_HEADER = '# Translation of the handbook. "fuzzy": not yet read by a person of the trade.\nmsgid ""\nmsgstr ""\n"Language: {lang}\\n"\n"MIME-Version: 1.0\\n"\n"Content-Type: text/plain; charset=utf-8\\n"\n"Content-Transfer-Encoding: 8bit\\n"\n"X-Complete: no\\n"\n'


@dataclass(frozen=True)
class Said:
    """One translation. text "" where nobody wrote it yet; line in its file."""

    text: str
    reviewed: bool
    line: int


@dataclass(frozen=True)
class Language:
    """What one file says: translations by key, and how complete it calls itself."""

    lang: str
    file: str
    complete: bool
    said: dict[Key, Said]


def files(folder: Path, name: str = "") -> list[tuple[Path, str]]:
    """The PO files of a content folder, each with the name it goes by in a fault."""
    return [(path, f"{name}{FOLDER}/{path.name}") for path in sorted((folder / FOLDER).glob("*.po"))]


def says_complete(path: Path) -> bool:
    """Whether the header calls the file complete; nothing else is read."""
    return bool(re.search(r'^"X-Complete: *yes *\\n"', _header(path.read_text("utf-8")), re.M))


def _header(text: str) -> str:
    """Everything up to the first empty line."""
    return text.partition("\n\n")[0] + "\n"


def catalog(path: Path, file: str, problems: Problems) -> Catalog | None:
    """A PO file as it stands; None, with the problem noted, where it is none."""
    from babel.messages.pofile import PoFileError, read_po

    try:
        found: Catalog = read_po(io.BytesIO(path.read_bytes()), abort_invalid=True)
    except (PoFileError, UnicodeDecodeError, ValueError) as error:
        problems.add(file, getattr(error, "lineno", 0) or 0, f"is not a PO file: {error}")
        return None
    return found


def read(path: Path, file: str, problems: Problems) -> Language | None:
    """Read one file of the handbook; None, with the problem noted, where it is no PO file."""
    held = catalog(path, file, problems)
    if held is None:
        return None
    said = {(one.context or "", str(one.id)): Said(str(one.string or ""), not one.fuzzy, one.lineno or 0) for one in held if one.id}
    return Language(path.stem, file, says_complete(path), said)


def holes(text: str) -> list[str]:
    """The places of a text that are filled in, sorted."""
    return sorted(set(_HOLE.findall(text)))


def untold(texts: Sequence[Text], said: Mapping[Key, Said], lang: str) -> list[Text]:
    """The texts that a language still lacks."""
    return [one for one in texts if one.lacks(lang) and (one.key not in said or not said[one.key].text.strip())]


def check(language: Language, texts: Sequence[Text], problems: Problems) -> None:
    """Every text said, nothing said that no text uses, the same places to fill in."""
    lacking = untold(texts, language.said, language.lang)
    for one in lacking[:NAMED]:
        problems.add(language.file, 0, f"says nothing for {_short(one.english)} ({file_of(one.paths[0])})")
    if len(lacking) > NAMED:
        problems.add(language.file, 0, f"and {len(lacking) - NAMED} more texts are missing: shaftside texts {language.lang} writes them in")
    known = {one.key for one in texts}
    for key, said in language.said.items():
        if key not in known:
            problems.add(language.file, said.line, f"no text uses {_short(key[1])}: shaftside texts {language.lang} takes it out")
        elif said.text and holes(said.text) != holes(key[1]):
            problems.add(language.file, said.line, f"{_short(key[1])} fills in {_listed(holes(key[1]))}, its translation {_listed(holes(said.text))}")


def pack(lang: str, texts: Sequence[Text], said: Mapping[Key, Said]) -> dict[str, Any]:
    """The document of a language: texts in the order of the English ones, null where there is none (a plant's own text)."""
    told = [said.get(one.key) for one in texts]
    return {
        "format": 1,
        "lang": lang,
        "texts": [one.text if one and one.text else None for one in told],
        "unreviewed": [at for at, one in enumerate(told) if one and one.text and not one.reviewed],
    }


def meanings(pack: Mapping[str, Any], texts: Sequence[Text]) -> tuple[dict[Key, str], frozenset[Key]]:
    """(translation by key, keys not reviewed) of a pack, as `laid_in` takes them."""
    said = {one.key: text for one, text in zip(texts, pack["texts"], strict=True) if text is not None}
    return said, frozenset(texts[at].key for at in pack["unreviewed"])


def told(data: dict[str, Any], figures: Mapping[str, Any], pack: Mapping[str, Any]) -> dict[str, Any]:
    """A copy of a bundle's document with its texts in the pack's language too."""
    said, unreviewed = meanings(pack, texts_of(data, figures))
    out: dict[str, Any] = laid_in(data, str(pack["lang"]), said, unreviewed)
    return out


def write(path: Path, texts: Sequence[Text], said: Mapping[Key, Said], data: Mapping[str, Any], figures: Mapping[str, Any]) -> None:
    """The file for a translator: every text in order with its places, what was said kept, what no text uses gone."""
    from babel.messages.catalog import Catalog, Message

    catalog = Catalog(charset="utf-8")
    for one in texts:
        if not one.lacks(path.stem):
            continue
        now = said.get(one.key, Said("", True, 0))
        places = list(dict.fromkeys((file_of(where), 0) for where in one.paths))[:PLACES]
        spots = [f"{file_of(where)}: {spot_of(where, data, figures)}" for where in one.paths[:PLACES]]
        note = ["a safety line"] if one.safety else []
        flags = () if now.reviewed or not now.text else ("fuzzy",)
        message = Message(one.english, now.text, places, flags, [*note, *spots], context=one.key[0] or None)
        message.flags.discard("python-format")  # "50 % of" is no format
        catalog[one.english] = message
    save(path, catalog, _HEADER)


def save(path: Path, catalog: Catalog, header: str) -> None:
    """Write a PO file under the header it has, or under a new one."""
    from babel.messages.pofile import write_po

    body = io.BytesIO()
    write_po(body, catalog, width=100, omit_header=True, include_lineno=False, ignore_obsolete=True)
    kept = _header(path.read_text("utf-8")) if path.exists() else header.format(lang=path.stem)
    path.parent.mkdir(exist_ok=True)
    path.write_text(kept + "\n" + body.getvalue().decode("utf-8"), "utf-8")


def merged(said: Mapping[Key, Said], given: Mapping[str, Any], texts: Sequence[Text], file: str, problems: Problems) -> tuple[dict[Key, Said], int]:
    """(what is said with {english: translation} laid over it, unreviewed; how many changed).

    A context stands before the English, parted by U+0004 as in gettext. What a person of the trade has read is not written over.
    """
    known = {one.key for one in texts}
    out, changed = dict(said), 0
    for english, text in given.items():
        context, mark, rest = english.partition("\x04")
        key = (context, rest) if mark else ("", english)
        old = out.get(key)
        if key not in known:
            problems.add(file, 0, f"no text uses {_short(english)}")
        elif not isinstance(text, str) or not text.strip():
            problems.add(file, 0, f"the translation of {_short(english)} must be a text")
        elif holes(text) != holes(key[1]):
            problems.add(file, 0, f"{_short(english)} fills in {_listed(holes(key[1]))}, its translation {_listed(holes(text))}")
        elif old and old.text and old.reviewed and old.text != text:
            problems.add(file, 0, f"{_short(english)} is reviewed and says otherwise: change it in the PO file")
        elif old is None or old.text != text:
            out[key] = Said(text, False, 0)
            changed += 1
    return out, changed


def _short(text: str) -> str:
    return f"“{text if len(text) <= 60 else text[:57] + '…'}”"


def _listed(names: Sequence[str]) -> str:
    return ", ".join(f"{{{one}}}" for one in names) or "nothing"

"""`shaftside texts LANG --desk`: the file of the desk's own sentences, written, updated and filled, as the handbook's is."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from shaftside.calc.problems import Problems
from shaftside.handbook import languages
from shaftside.pages.texts import Message, messages, places
from shaftside.pages.tongue import HERE

_HEADER = '# Translation of the desk. "fuzzy": not yet read by a person of the trade.\nmsgid ""\nmsgstr ""\n"Language: {lang}\\n"\n"MIME-Version: 1.0\\n"\n"Content-Type: text/plain; charset=utf-8\\n"\n"Content-Transfer-Encoding: 8bit\\n"\n"Plural-Forms: nplurals=2; plural=(n != 1);\\n"\n"X-Complete: no\\n"\n'
Said = dict[str, tuple[tuple[str, ...], bool]]
"""By English: (the translation, its plural forms where it has them; whether somebody of the trade has read it)."""


def read(path: Path, problems: Problems) -> Said:
    """What a file says; nothing where there is none."""
    catalog = languages.catalog(path, path.name, problems) if path.exists() else None
    out: Said = {}
    for one in catalog or ():
        if one.id:
            key = one.id if isinstance(one.id, str) else one.id[0]
            out[key] = ((one.string,) if isinstance(one.string, str) else tuple(one.string or ()), not one.fuzzy)
    return out


def faults(texts: Mapping[str, Message], said: Said, forms: int = 2) -> list[str]:
    """Every text said, nothing said that no page uses, the same places to fill in, every plural form there."""
    out = [f"nothing is said for “{key}” ({text.places[0]})" for key, text in texts.items() if not all((*said.get(key, ((), True))[0], key in said))]
    out += [f"no page says “{key}”" for key in said if key not in texts]
    for key, text in texts.items():
        told = said.get(key, ((), True))[0]
        if any(told) and len(told) != (forms if text.many else 1):
            out.append(f"“{key}” has {len(told)} forms")
        for at, one in enumerate(told):
            # the form for one thing may spell the number out
            wanted = set(places(text.one if at == 0 else text.many or text.one))
            if one and set(places(one)) - {"n", "num"} != wanted - {"n", "num"}:
                out.append(f"“{key}” fills in other places than its translation")
    return out


def merged(texts: Mapping[str, Message], said: Said, given: Mapping[str, Any], problems: list[str]) -> Said:
    """What is said with {English: translation, or [one, many]} laid over it; what was read is not written over."""
    out = dict(said)
    for key, told in given.items():
        forms = (told,) if isinstance(told, str) else tuple(told)
        old = out.get(key)
        if key not in texts:
            problems.append(f"no page says “{key}”")
        elif old and any(old[0]) and old[1] and old[0] != forms:
            problems.append(f"“{key}” is reviewed and says otherwise: change it in the PO file")
        else:
            out[key] = (forms, False)
    return out


def write(path: Path, texts: Mapping[str, Message], said: Said) -> None:
    """The file for a translator: every text in order with its places, what was said kept, what no page says gone."""
    from babel.messages.catalog import Catalog
    from babel.messages.catalog import Message as Entry

    catalog = Catalog(charset="utf-8")
    for key, text in texts.items():
        told, read_by = said.get(key, ((), True))
        flags = ("fuzzy",) if any(told) and not read_by else ()
        id_: Any = (text.one, text.many) if text.many else text.one
        string: Any = (tuple(told) or ("", "")) if text.many else (told[0] if told else "")
        catalog[id_] = Entry(id_, string, [(place, 0) for place in text.places[: languages.PLACES]], flags)
    languages.save(path, catalog, _HEADER)


def run(lang: str, given: Mapping[str, Any]) -> int:
    """Update the desk's file of a language. 0 done, 1 some of `given` was not taken, or something is at fault."""
    path = HERE / languages.FOLDER / f"{lang}.po"
    texts, unread = messages(), Problems()
    said = read(path, unread)
    unread.raise_any()
    trouble: list[str] = []
    said = merged(texts, said, given, trouble)
    write(path, texts, said)
    lacking = [key for key in texts if not any(said.get(key, ((), True))[0])]
    trouble += [one for one in faults(texts, {key: one for key, one in said.items() if key in texts and any(one[0])}) if not one.startswith("nothing")]
    print(f"{path}: {len(texts)} texts, {len(lacking)} missing." + "".join(f"\n{one}" for one in trouble))
    return 1 if trouble else 0

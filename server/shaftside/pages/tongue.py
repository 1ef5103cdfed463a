"""The languages of the desk: which one a reader gets, and a sentence said in it.

English stands in the templates and the code. Another language is a gettext file in `languages/` beside this one, read by the
handbook's own reader and compiled in memory. `#, fuzzy` there means, as in the handbook: nobody of the trade has read it yet.
"""

from __future__ import annotations

import gettext
import io
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any

from shaftside.calc.problems import Problems
from shaftside.handbook import languages
from shaftside.sentence import LanguageName, Moment, Sentence

HERE = Path(__file__).parent
SOURCE = "en"


@dataclass(frozen=True)
class Tongue:
    """One language. name: in itself; said: the compiled catalogue; unread: English texts whose translation nobody has read."""

    lang: str
    name: str
    said: gettext.NullTranslations = field(default_factory=gettext.NullTranslations)
    unread: frozenset[str] = frozenset()

    def put(self, value: Any) -> Any:
        """A sentence or a moment in this language; anything else as it is."""
        if isinstance(value, Sentence):
            fill = {name: self.put(part) for name, part in value.fill.items()}
            if not value.one:
                return "".join(map(str, fill.values()))
            text = self.said.ngettext(value.one, value.many, value.number) if value.many else self.said.gettext(value.one)
            return text % fill
        if isinstance(value, Moment):
            return self._moment(value)
        if isinstance(value, LanguageName):
            return self.calls(value.code)
        return value

    def calls(self, lang: str) -> str:
        """The name of a language in this one."""
        from babel.core import Locale, UnknownLocaleError

        try:
            return Locale.parse(lang, sep="-").get_language_name(self.lang.replace("-", "_")) or lang
        except (UnknownLocaleError, ValueError):
            return lang

    def read_in(self, sentence: str, text: str) -> str:
        """The code of the language in which a text is this sentence; "" where it is none of ours."""
        return next((one.lang for one in tongues().values() if one.put(sentence) == text), "")

    def _moment(self, value: Moment) -> str:
        if value.at is None or self.lang == SOURCE:  # the English desk writes days as its forms take them
            return str(value)
        from babel.dates import format_date

        day = format_date(value.at.date(), "medium", locale=self.lang.replace("-", "_"))
        return f"{day}, {value.at:%H:%M} UTC" if value.minutes else day

    def source(self, value: Any) -> str:
        """The English to show below a safety line, or "": of a sentence of ours, or of a handbook's text."""
        if self.lang == SOURCE:
            return ""
        if isinstance(value, Sentence):
            return str(value) if value.one in self.unread else ""
        if isinstance(value, dict) and self.lang in (value.get("unreviewed") or ()):
            return str(value.get("en", ""))
        return ""


@lru_cache
def tongues() -> dict[str, Tongue]:
    """Every language the desk has whole, English first. Raises ContentError for a file that cannot be read."""
    from babel.core import Locale

    out = {SOURCE: Tongue(SOURCE, "English")}
    for path, name in languages.files(HERE, "pages/"):
        if not languages.says_complete(path):
            continue
        name_in_itself = Locale.parse(path.stem, sep="-").get_language_name() or path.stem
        said, unread = _compiled(path, name)
        out[path.stem] = Tongue(path.stem, name_in_itself[:1].upper() + name_in_itself[1:], said, unread)
    return out


def _compiled(path: Path, name: str) -> tuple[gettext.NullTranslations, frozenset[str]]:
    from babel.messages.mofile import write_mo

    problems = Problems()
    catalog = languages.catalog(path, name, problems)
    problems.raise_any()
    assert catalog is not None  # else there was a problem
    body = io.BytesIO()
    write_mo(body, catalog, use_fuzzy=True)
    body.seek(0)
    unread = frozenset(one.id if isinstance(one.id, str) else one.id[0] for one in catalog if one.id and one.fuzzy)
    return gettext.GNUTranslations(body), unread


def chosen(kept: str | None, accepts: str) -> str:
    """The code of the language for a reader: what they chose, else the best of their browser's (RFC 9110, 12.5.4), else English."""
    known = tongues()
    if kept in known:
        return str(kept)
    wishes = []
    for at, part in enumerate(accepts.split(",")[:20]):
        code, _, more = part.partition(";")
        weight = more.strip().removeprefix("q=") if more.strip().startswith("q=") else "1"
        try:
            wishes.append((-float(weight), at, code.strip().lower()))
        except ValueError:
            continue
    for weighed, _, code in sorted(wishes):
        for name in (code, code.partition("-")[0]):
            found = next((one for one in known if one.lower() == name), None)
            if found and weighed < 0:
                return found
    return SOURCE

"""Sentences of ours that can be said in another language later: English text that remembers how it was made.

A room says `tell("This page is for the role of %(role)s.", role=name)` and knows nothing of languages: what it gets is an
English str, as an API answers it. The desk says it in the reader's language when it draws the page (`pages/tongue.py`).
Places are `%(name)s`, as in the templates; a bare % is written %%. What a person typed is never put through here.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime
from typing import Any


class Sentence(str):
    """English text, filled in. one, many: the texts to look up (many "" without a plural); number chooses between them."""

    one: str
    many: str
    number: int
    fill: dict[str, Any]


class Moment(str):
    """An ISO time as the English desk writes it. at: UTC, None where the text is no time; minutes: with the time of day."""

    at: datetime | None
    minutes: bool


class LanguageName(str):
    """The name of a language, in English."""

    code: str


def tell(english: str, **fill: Any) -> str:
    """A sentence; its values may be sentences and moments too. ValueError, KeyError: a place that is not filled."""
    made = Sentence(english % fill)
    made.one, made.many, made.number, made.fill = english, "", 1, fill
    return made


def tell_n(one: str, many: str, n: float, **fill: Any) -> str:
    """A sentence by a count, which stands in it as %(n)s: tell_n("%(n)s day", "%(n)s days", 3)."""
    fill = {"n": n, **fill}
    made = Sentence((one if n == 1 else many) % fill)
    made.one, made.many, made.number, made.fill = one, many, n if isinstance(n, int) else 2, fill
    return made


def either(parts: Iterable[str]) -> str:
    """ "a, b or c"."""
    *some, last = parts
    if not some:
        return last
    return tell("%(some)s or %(last)s", some=listed(some), last=last)


def listed(parts: Iterable[str], gap: str = ", ") -> str:
    """Parts in a row, each still to be said in the reader's language; "" for none."""
    out: str = ""
    for part in parts:
        out = joined(out, gap, part) if out else part
    return out


def joined(*parts: str) -> str:
    """Parts one after another, each still to be said in the reader's language."""
    made = Sentence("".join(parts))
    made.one, made.many, made.number = "", "", 1
    made.fill = {str(at): part for at, part in enumerate(parts)}
    return made


def moment(text: object, minutes: bool = True) -> str:
    """An ISO time for a page, always UTC and saying so; other text stays as it is."""
    try:
        at = datetime.fromisoformat(str(text).replace("Z", "+00:00")).astimezone(UTC)
    except ValueError:
        made = Moment(text or "")
        made.at, made.minutes = None, minutes
        return made
    made = Moment(f"{at:%Y-%m-%d %H:%M} UTC" if minutes else f"{at:%Y-%m-%d}")
    made.at, made.minutes = at, minutes
    return made


def language_name(code: str) -> str:
    """The name of a language; its code where nobody knows it."""
    from babel.core import Locale, UnknownLocaleError

    try:
        name = Locale.parse(code, sep="-").get_language_name("en")
    except (UnknownLocaleError, ValueError):
        name = None
    made = LanguageName(name or code)
    made.code = code
    return made

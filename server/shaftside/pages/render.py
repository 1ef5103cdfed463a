"""The template engine of the desk, and what every page is given. Escapes everything by construction."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from functools import lru_cache
from pathlib import Path
from typing import Any, Protocol
from urllib.parse import quote, urlencode, urlsplit

from fastapi import Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from shaftside.pages import window, words
from shaftside.pages.tongue import chosen, tongues
from shaftside.review.record import say
from shaftside.sentence import moment, tell, tell_n

HERE = Path(__file__).parent
THEMES = ("auto", "light", "dark")
SYSTEMS = ("typed", "metric", "inch")
LONG = 365 * 24 * 3600
NOUNS_CAPITAL = frozenset({"de"})  # where a noun inside a sentence keeps its capital, nothing is written small


class Signed(Protocol):
    """What the desk reads of the session of whoever is signed in."""

    @property
    def person_id(self) -> str: ...
    @property
    def name(self) -> str: ...
    @property
    def roles(self) -> frozenset[str]: ...


def ago(text: object, now: datetime | None = None) -> str:
    """How long ago, or how far ahead, in the largest whole unit."""
    try:
        at = datetime.fromisoformat(str(text).replace("Z", "+00:00"))
        at = at if at.tzinfo else at.replace(tzinfo=UTC)
    except ValueError:
        return ""
    gap = (now or datetime.now(UTC)) - at
    size, past = abs(gap), gap > timedelta(0)
    if size >= timedelta(days=1):
        n = size // timedelta(days=1)
        return tell_n("%(n)s day ago", "%(n)s days ago", n) if past else tell_n("in %(n)s day", "in %(n)s days", n)
    if size >= timedelta(hours=1):
        n = size // timedelta(hours=1)
        return tell_n("%(n)s hour ago", "%(n)s hours ago", n) if past else tell_n("in %(n)s hour", "in %(n)s hours", n)
    if size >= timedelta(minutes=1):
        n = size // timedelta(minutes=1)
        return tell_n("%(n)s minute ago", "%(n)s minutes ago", n) if past else tell_n("in %(n)s minute", "in %(n)s minutes", n)
    return tell("just now")


@lru_cache
def engine(lang: str) -> Environment:
    """The templates in one language of the desk: whatever sentence they are given is said in it."""
    tongue = tongues()[lang]
    put = tongue.put

    def gettext(text: str, /, **fill: Any) -> Markup:
        # a text of ours may hold markup; what is filled in is escaped
        return Markup(tongue.said.gettext(text)) % {name: put(one) for name, one in fill.items()}

    def ngettext(one: str, many: str, count: int, /, **fill: Any) -> Markup:
        return Markup(tongue.said.ngettext(one, many, count)) % {"num": count, **{name: put(part) for name, part in fill.items()}}

    made = Environment(
        loader=FileSystemLoader(HERE / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        extensions=["jinja2.ext.i18n"],
        finalize=put,
    )
    made.policies["ext.i18n.trimmed"] = True
    made.newstyle_gettext = True  # type: ignore[attr-defined]
    made.filters.update(
        when=lambda text: put(moment(text)),
        day=lambda text: put(moment(text, False)),
        ago=lambda text: put(ago(text)),
        say=lambda text: say(text, lang),
        lower=lambda text: str(put(text)) if lang in NOUNS_CAPITAL else str(put(text)).lower(),
        capitalize=lambda text: str(put(text))[:1].upper() + str(put(text))[1:],
    )
    made.globals.update(
        words=words,
        word=lambda table, code: put(words.word(table, code)),
        sign=window.sign,
        urlencode=urlencode,
        page_title="",
        fields=_fields,
        gettext=gettext,
        ngettext=ngettext,
        lang=lang,
        tongue=tongue,
        tongues=tongues(),
        source=tongue.source,
    )
    return made


def _fields(typed: dict[str, Any] | None, name: str) -> str:
    """What was typed in a field, kept after a refused form; empty at first."""
    return str((typed or {}).get(name, ""))


def language(request: Request) -> str:
    """The code of the language that the person chose, else of their browser, else English."""
    return chosen(request.cookies.get("desk_lang"), request.headers.get("accept-language", ""))


def theme(request: Request) -> str:
    """The person's choice of light or dark; auto follows the screen."""
    chosen = request.cookies.get("desk_theme", "auto")
    return chosen if chosen in THEMES else "auto"


def system(request: Request) -> str:
    """The person's choice of units; typed shows each number as it was recorded."""
    chosen = request.cookies.get("desk_units", "typed")
    return chosen if chosen in SYSTEMS else "typed"


def in_language(request: Request, sentence: str) -> str:
    """A sentence as its reader gets it."""
    return str(tongues()[language(request)].put(sentence))


def page(
    request: Request, name: str, session: Signed | None = None, status: int = 200, **what: Any
) -> HTMLResponse:
    """One page. Every page is private to whoever asked and never cached by others."""
    query = f"?{request.url.query}" if request.url.query else ""
    lang = language(request)
    text = engine(lang).get_template(name).render(
        session=session,
        roles=frozenset(session.roles) if session else frozenset(),
        theme=theme(request),
        system=system(request),
        here=request.url.path,
        back_to=request.url.path + query if request.method == "GET" else "/desk/",
        said=request.query_params.get("said", ""),
        **what,
    )
    return HTMLResponse(text, status, headers={"Cache-Control": "no-store", "Content-Language": lang})


def go(path: str, said: str = "") -> RedirectResponse:
    """After a form: on to a page, by 303, with a code for what to say there."""
    if said:
        path += ("&" if "?" in path else "?") + "said=" + quote(said)
    return RedirectResponse(path, 303)


def inside_desk(path: object) -> str:
    """A path to go on to, only if it is one of the desk's own; else the desk's first page."""
    text = str(path or "")
    parts = urlsplit(text)
    plain = not parts.scheme and not parts.netloc and text.startswith("/desk/") and "\\" not in text
    return text if plain and all(ch >= " " for ch in text) else "/desk/"


def failed(request: Request, status: int, message: str, details: list[str], session: Signed | None) -> Response:
    """A page that says what went wrong and where to go on."""
    return page(request, "error.html", session, status, code=status, message=message, details=details)

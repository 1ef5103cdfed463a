"""The template engine of the desk, and what every page is given. Escapes everything by construction."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, Protocol
from urllib.parse import quote, urlencode, urlsplit

from fastapi import Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from jinja2 import Environment, FileSystemLoader, StrictUndefined

from shaftside.pages import window, words
from shaftside.review.record import say

HERE = Path(__file__).parent
THEMES = ("auto", "light", "dark")
SYSTEMS = ("typed", "metric", "inch")
LONG = 365 * 24 * 3600


class Signed(Protocol):
    """What the desk reads of the session of whoever is signed in."""

    @property
    def person_id(self) -> str: ...
    @property
    def name(self) -> str: ...
    @property
    def roles(self) -> frozenset[str]: ...


def when(text: object, minutes: bool = True) -> str:
    """An ISO time as the desk writes it, always UTC and saying so; other text stays as it is."""
    try:
        at = datetime.fromisoformat(str(text).replace("Z", "+00:00")).astimezone(UTC)
    except ValueError:
        return str(text or "")
    return f"{at:%Y-%m-%d %H:%M} UTC" if minutes else f"{at:%Y-%m-%d}"


def ago(text: object, now: datetime | None = None) -> str:
    """How long ago, or how far ahead, in the largest whole unit."""
    try:
        at = datetime.fromisoformat(str(text).replace("Z", "+00:00"))
        at = at if at.tzinfo else at.replace(tzinfo=UTC)
    except ValueError:
        return ""
    gap = (now or datetime.now(UTC)) - at
    size = abs(gap)
    for unit, length in (("day", timedelta(days=1)), ("hour", timedelta(hours=1)), ("minute", timedelta(minutes=1))):
        if size >= length:
            count = size // length
            text = f"{count} {unit}{'' if count == 1 else 's'}"
            return f"{text} ago" if gap > timedelta(0) else f"in {text}"
    return "just now"


def _engine() -> Environment:
    engine = Environment(
        loader=FileSystemLoader(HERE / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    engine.filters.update(when=when, ago=ago, say=say, day=lambda text: when(text, False))
    engine.globals.update(
        words=words, word=words.word, sign=window.sign, urlencode=urlencode, page_title="", fields=_fields
    )
    return engine


def _fields(typed: dict[str, Any] | None, name: str) -> str:
    """What was typed in a field, kept after a refused form; empty at first."""
    return str((typed or {}).get(name, ""))


ENGINE = _engine()


def theme(request: Request) -> str:
    """The person's choice of light or dark; auto follows the screen."""
    chosen = request.cookies.get("desk_theme", "auto")
    return chosen if chosen in THEMES else "auto"


def system(request: Request) -> str:
    """The person's choice of units; typed shows each number as it was recorded."""
    chosen = request.cookies.get("desk_units", "typed")
    return chosen if chosen in SYSTEMS else "typed"


def page(
    request: Request, name: str, session: Signed | None = None, status: int = 200, **what: Any
) -> HTMLResponse:
    """One page. Every page is private to whoever asked and never cached by others."""
    query = f"?{request.url.query}" if request.url.query else ""
    text = ENGINE.get_template(name).render(
        session=session,
        roles=frozenset(session.roles) if session else frozenset(),
        theme=theme(request),
        system=system(request),
        here=request.url.path,
        back_to=request.url.path + query if request.method == "GET" else "/desk/",
        said=request.query_params.get("said", ""),
        **what,
    )
    return HTMLResponse(text, status, headers={"Cache-Control": "no-store"})


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

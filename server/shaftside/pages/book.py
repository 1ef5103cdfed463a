"""The handbook as a page shows it: in the reader's language where the bundle has that pack, else as it is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from fastapi import Request

from shaftside.handbook.texts import laid_in
from shaftside.pages.render import language
from shaftside.pages.tongue import SOURCE
from shaftside.records import JobView
from shaftside.review.record import say


def current(request: Request) -> dict[str, Any]:
    """The handbook that new work starts with."""
    return of(request, request.app.state.handbooks.current)


def of(request: Request, bundle: Any) -> dict[str, Any]:
    """A handbook that was served once."""
    lang = language(request)
    found: dict[str, Any] = bundle.data if lang == SOURCE else request.app.state.handbooks.in_language(bundle, lang)
    return found


def of_job(request: Request, view: JobView) -> JobView:
    """A job read by its own handbook in the reader's language: the procedure and the titles of later work with it."""
    held, lang = request.app.state.handbooks, language(request)
    bundle = None if lang == SOURCE else held.get(str(view.state.get("bundle", "")))
    if bundle is None:
        return view
    data = held.in_language(bundle, lang)
    meant = held.meanings(bundle, lang)
    state = view.state | {"outstanding": laid_in(view.state.get("outstanding") or [], lang, *meant)}
    procedure = data["procedures"].get(state.get("procedure")) or view.procedure
    return replace(view, state=state, bundle=data, procedure=procedure, answers=laid_in(view.answers, lang, *meant))


def loose(request: Request, lang: str = "") -> Callable[[Any], str]:
    """Says a text that a record keeps, in the reader's language where the current handbook has the same text."""
    held, lang = request.app.state.handbooks, lang or language(request)
    if lang == SOURCE:
        return say
    said, unread = held.meanings(held.current, lang)
    return lambda text: say(laid_in(text, lang, said, unread), lang)

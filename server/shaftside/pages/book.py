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
    held = request.app.state.handbooks
    lang = language(request)
    found: dict[str, Any] = held.current.data if lang == SOURCE else held.in_language(held.current, lang)
    return found


def of_job(request: Request, view: JobView) -> JobView:
    """A job read by its own handbook in the reader's language: the procedure and the titles of later work with it."""
    held, lang = request.app.state.handbooks, language(request)
    bundle = None if lang == SOURCE else held.get(str(view.state.get("bundle", "")))
    if bundle is None:
        return view
    data = held.in_language(bundle, lang)
    state = view.state | {"outstanding": laid_in(view.state.get("outstanding") or [], lang, *held.meanings(bundle, lang))}
    return replace(view, state=state, bundle=data, procedure=data["procedures"].get(state.get("procedure")) or view.procedure)


def loose(request: Request) -> Callable[[Any], str]:
    """Says a text that a record keeps, in the reader's language where the current handbook has the same text."""
    held, lang = request.app.state.handbooks, language(request)
    if lang == SOURCE:
        return say
    said, unread = held.meanings(held.current, lang)
    return lambda text: say(laid_in(text, lang, said, unread), lang)

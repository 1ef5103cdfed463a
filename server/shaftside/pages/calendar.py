"""A person's own calendar of due work: its address is made, replaced and ended here."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, Response

from shaftside.errors import ShaftsideError
from shaftside.pages import book, ics
from shaftside.pages.ports import apart, people, records, signed_in
from shaftside.pages.render import go, language, page
from shaftside.pages.tongue import SOURCE, chosen, tongues
from shaftside.sentence import tell

router = APIRouter()


def _origin(request: Request) -> str:
    return f"{request.url.scheme}://{request.url.netloc}"


@router.get("/desk/calendar", response_class=HTMLResponse)
async def calendar(request: Request, session: Annotated[Any, Depends(signed_in)]) -> Response:
    """Whether there is an address, and how to make or end one."""
    made = await people(request).calendar_made_at(session.person_id)
    return page(request, "calendar.html", session, made=made, link="")


@router.post("/desk/calendar", response_class=HTMLResponse)
async def make(request: Request, session: Annotated[Any, Depends(signed_in)]) -> Response:
    """Make an address, shown once; the one before it ends."""
    key = await people(request).make_calendar_key(session.person_id)
    made = await people(request).calendar_made_at(session.person_id)
    more = "" if language(request) == SOURCE else f"?lang={language(request)}"  # a calendar program names no language
    return page(request, "calendar.html", session, made=made, link=f"{_origin(request)}/desk/calendar/{key}.ics{more}")


@router.post("/desk/calendar/end")
async def end(request: Request, session: Annotated[Any, Depends(signed_in)]) -> Response:
    """End the address."""
    await people(request).end_calendar_key(session.person_id)
    return go("/desk/calendar", "calendar_ended")


@router.get("/desk/calendar/{key}.ics")
async def feed(request: Request, key: str) -> Response:
    """The calendar itself, for whoever holds its address. Raises not_found for an address that ended."""
    if await people(request).calendar_owner(key) is None:
        raise ShaftsideError(404, "not_found", tell("This calendar address does not hold any more. Make a new one at the desk."))
    lang = chosen(request.query_params.get("lang"), "")
    lines = await apart(records(request).due)
    body = ics.calendar(lines, _origin(request), datetime.now(UTC), tongues()[lang].put, await apart(book.loose, request, lang))
    return Response(body, media_type="text/calendar; charset=utf-8", headers={"Cache-Control": "no-store"})

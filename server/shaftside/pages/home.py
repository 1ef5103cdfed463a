"""The desk's first page, and the small choices of whoever reads it."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, Response

from shaftside.pages import book
from shaftside.pages.acts import text
from shaftside.pages.ports import apart, names, records, signed_in
from shaftside.pages.render import LONG, SYSTEMS, THEMES, go, inside_desk, page
from shaftside.pages.tongue import tongues
from shaftside.records import JobQuery

router = APIRouter()


@router.get("/desk", include_in_schema=False)
async def bare() -> Response:
    """The desk without its slash."""
    return go("/desk/")


@router.get("/desk/", response_class=HTMLResponse)
async def home(request: Request, session: Annotated[Any, Depends(signed_in)]) -> Response:
    """What waits for sign-off, what is due, what failed, open work, and entries in doubt."""
    held = records(request)
    open_work = await apart(held.search, JobQuery(status=("open", "returned"), limit=100))
    waiting = await apart(held.waiting_for_sign_off)
    due = await apart(held.due)
    now = datetime.now(UTC).isoformat()
    return page(
        request,
        "home.html",
        session,
        waiting=waiting,
        due=[one for one in due if one.due_at and one.due_at <= now],
        coming=[one for one in due if not one.due_at or one.due_at > now],
        failures=await apart(held.failures),
        open=open_work,
        doubtful=[job for job in [*waiting, *open_work] if job.claimed or job.refused],
        people=await names(request),
        say_text=await apart(book.loose, request),
    )


@router.post("/desk/preferences")
async def preferences(request: Request) -> Response:
    """Units, theme and language, kept in cookies that say nothing about the person."""
    form = await request.form()
    answer = go(inside_desk(text(form, "back")))
    secure = request.url.scheme == "https"
    for cookie, field, known in (("desk_units", "units", SYSTEMS), ("desk_theme", "theme", THEMES), ("desk_lang", "lang", tuple(tongues()))):
        chosen = text(form, field)
        if chosen in known:
            answer.set_cookie(cookie, chosen, LONG, path="/desk", secure=secure, httponly=True, samesite="lax")
    return answer

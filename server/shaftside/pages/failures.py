"""Failures: the list, and one beside the installation it follows."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, Response

from shaftside.pages import book, numbers
from shaftside.pages.entries import entry_shown, units_of
from shaftside.pages.job_page import Reader
from shaftside.pages.ports import apart, handbook, names, records, signed_in
from shaftside.pages.render import language, page, system
from shaftside.pages.tongue import SOURCE
from shaftside.review import review
from shaftside.review.record import say

router = APIRouter()


@router.get("/desk/failures", response_class=HTMLResponse)
async def failures(request: Request, session: Annotated[Any, Depends(signed_in)]) -> Response:
    """Every reported failure, newest first."""
    rows = await apart(records(request).failures)
    return page(request, "failures.html", session, rows=rows)


def _called(bundle: dict[str, Any] | None, lang: str) -> dict[str, str]:
    """How the facts are called in a language; in English by their names, as they always were."""
    return {} if lang == SOURCE else {one["name"]: say(one.get("label"), lang) for one in (bundle or {}).get("facts", [])}


@router.get("/desk/failures/{failure_id}", response_class=HTMLResponse)
async def failure(request: Request, failure_id: str, session: Annotated[Any, Depends(signed_in)]) -> Response:
    """One failure: what was reported, and what stands out in the record of the installation it follows."""
    held = records(request)
    view = await apart(held.failure, failure_id)
    event = next((one["event"] for one in view.events if one["event"]["kind"] == "failure_reported"), {})
    body = event.get("body", {})
    position = str(body.get("position", ""))
    place = await apart(held.position, position)
    found: dict[str, Any] = {"review": None, "windows": {}}
    if view.follows is not None:
        job = await apart(book.of_job, request, await apart(held.job, view.follows.job))
        reader = Reader(job, numbers.show, system(request), language(request))
        done = [name for name, one in job.later.items() if one.closed_at]
        lang = language(request)
        found["review"] = review(job.state, job.procedure, job.progress, body, done, lang, _called(job.bundle, lang))
        found["windows"] = {row.event: row.windows for row in reader.readings()}
    return page(
        request,
        "failure.html",
        session,
        id=view.id,
        position=position,
        position_words=f"{place.state.get('machine', {}).get('name', '')}, {place.state.get('name', '')}",
        found_on=body.get("found_on", ""),
        text=body.get("text", ""),
        appearance=body.get("appearance", ""),
        running=entry_shown(body.get("running_h"), units_of(handbook(request).get("calc", {}), language(request))),
        by=event.get("actor", ""),
        at=event.get("wall", ""),
        job=view.follows,
        people=await names(request),
        **found,
    )

"""The desk: pages for the lead and the planner, and the printable record. Plain forms; no script is needed."""

from __future__ import annotations

from urllib.parse import quote

from fastapi import APIRouter, Request
from fastapi.responses import FileResponse, Response

from shaftside.errors import ShaftsideError
from shaftside.pages import (
    access,
    acts,
    admin,
    calendar,
    carried,
    devices,
    failures,
    home,
    jobs,
    labels,
    plant_values,
    positions,
    sheets,
)
from shaftside.pages.ports import DeskPeople, Person, Seat, SignIn, people
from shaftside.pages.render import HERE, failed, go
from shaftside.sentence import tell

__all__ = ["DeskPeople", "Person", "Seat", "SignIn", "error_page", "router"]

ASSETS = {"desk.css": "text/css", "desk.js": "text/javascript"}


def router() -> APIRouter:
    """Every route of the desk, all under /desk.

    Reads `app.state.records` (Records), `app.state.handbooks` (.current.data), `app.state.desk_people` (DeskPeople).
    """
    out = APIRouter(include_in_schema=False)
    for part in (home, access, jobs, acts, positions, failures, admin, devices, calendar, carried, labels, sheets, plant_values):
        out.include_router(part.router)
    out.add_api_route("/desk/assets/{name}", _asset, methods=["GET"])
    return out


async def _asset(name: str) -> Response:
    """The desk's own style and script; nothing else is served from here."""
    if name not in ASSETS:
        raise ShaftsideError(404, "not_found", tell("There is no such file."))
    return FileResponse(HERE / "assets" / name, media_type=ASSETS[name], headers={"Cache-Control": "no-cache"})


async def error_page(request: Request, error: ShaftsideError) -> Response:
    """A refusal as a page; who is not signed in goes to the sign-in page and from there on to where they were going."""
    if error.status == 401:
        onward = request.url.path + (f"?{request.url.query}" if request.url.query else "")
        return go("/desk/sign-in" + (f"?next={quote(onward)}" if request.method == "GET" else ""))
    seat = await people(request).seat(request)
    details = [str(one) for one in error.details]
    return failed(request, error.status, error.message, details, seat)

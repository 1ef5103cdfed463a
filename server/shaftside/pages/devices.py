"""Phones and desk browsers: who came in on each, when its last entry arrived, and its open sign-ins."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, Response

from shaftside.pages.ports import apart, people, records, role
from shaftside.pages.render import page

router = APIRouter()


@router.get("/desk/devices", response_class=HTMLResponse)
async def devices(request: Request, session: Annotated[Any, Depends(role("admin"))]) -> Response:
    """Every device: phones that brought entries first, then the ones that only signed in; desk browsers apart."""
    received = await apart(records(request).last_received)
    held = await people(request).devices()
    phones = [one for one in held if one.name != DESK or one.id in received]
    phones.sort(key=lambda one: received.get(one.id, ""), reverse=True)
    desks = [one for one in held if one.name == DESK and one.id not in received and one.open]
    return page(request, "devices.html", session, phones=phones, desks=desks, received=received)


DESK = "Desk browser"
"""The name under which the desk signs a browser in."""

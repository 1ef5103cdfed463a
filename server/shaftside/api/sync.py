"""The one exchange between a phone and the log, and a record whole."""

from __future__ import annotations

import asyncio
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Path, Request, Response
from pydantic import Field

from shaftside.api.shape import Strict, ready
from shaftside.errors import ShaftsideError
from shaftside.people import Session, proof
from shaftside.people.guard import device_secret, people_of, signed_in
from shaftside.records import DeviceSession, Push

router = APIRouter(prefix="/api", tags=["sync"])
UUID = r"^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$"


class Sent(Strict):
    """What a phone sends: events as they are; each is judged by itself."""

    device: str = Field(pattern=UUID)
    cursor: str | None = Field(default=None, max_length=200)
    events: list[Any] = Field(default_factory=list, max_length=100)
    limit: int = Field(default=300, ge=0, le=1000)


@router.post("/sync")
async def exchange(request: Request, sent: Sent, session: Annotated[Session, Depends(signed_in)]) -> Response:
    """Take in what is unsent, give back what others wrote. Idempotent."""
    if sent.device != session.device_id:
        raise ShaftsideError(
            409,
            "other_device",
            "This sign-in belongs to another device. Sign in on this one.",
            field="device",
        )
    people = people_of(request)
    await asyncio.to_thread(proof.check, people.database, session.device_id, device_secret(request))
    known = await asyncio.to_thread(people.known_on, session.device_id)
    who = DeviceSession(session.person_id, session.device_id, session.roles, known)
    answer = await request.app.state.records.exchange(
        Push(sent.device, sent.cursor, sent.events, sent.limit), who
    )
    return ready(answer.json())


@router.get("/records/{id}/events")
def events(
    request: Request, id: Annotated[str, Path(pattern=UUID)], session: Annotated[Session, Depends(signed_in)]
) -> Response:
    """All events of one record, in the order of the log."""
    return ready(b'{"events":' + request.app.state.records.events_json(id) + b"}")

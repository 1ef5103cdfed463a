"""The desk's plugs into the other rooms: where a request finds records, people, handbook and units."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import Any, TypeVar

from fastapi import Request

from shaftside.records import Actor, Records

T = TypeVar("T")


def records(request: Request) -> Records:
    """The records service of this server."""
    found: Records = request.app.state.records
    return found


def people(request: Request) -> Any:
    """The people service of this server."""
    return request.app.state.people


async def apart(read: Callable[..., T], *given: Any, **named: Any) -> T:
    """A read that takes some milliseconds, in a thread of its own."""
    return await asyncio.to_thread(read, *given, **named)


def actor(session: Any) -> Actor:
    """The person of a session as the records know it."""
    return Actor(session.person_id, session.name, frozenset(session.roles))

"""The desk's plugs into the other rooms: where a request finds records, people and handbook."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Coroutine
from dataclasses import dataclass
from typing import Any, Protocol, TypeVar

from fastapi import Request
from fastapi.responses import Response

from shaftside.errors import ShaftsideError
from shaftside.pages import words
from shaftside.records import Actor, Records
from shaftside.sentence import either, tell

T = TypeVar("T")


@dataclass(frozen=True)
class Person:
    """One person as the desk lists them."""

    id: str
    name: str
    login: str
    roles: frozenset[str]
    disabled: bool


@dataclass(frozen=True)
class SignIn:
    """One sign-in that is open. here: it is the one that asks."""

    id: str
    device: str
    since: str
    last: str | None
    here: bool


@dataclass(frozen=True)
class OpenHere:
    """One open sign-in on a device: sign_in its id, person the person's id; times ISO UTC."""

    sign_in: str
    person: str
    name: str
    since: str
    last: str


@dataclass(frozen=True)
class Device:
    """A phone or a desk browser; people are the names of everybody who ever signed in on it."""

    id: str
    name: str
    first_at: str
    people: list[str]
    open: list[OpenHere]


@dataclass(frozen=True)
class Seat:
    """Who is signed in, on which device."""

    person_id: str
    name: str
    roles: frozenset[str]
    device_id: str


class DeskPeople(Protocol):
    """What the desk needs of the people room; refusals are ShaftsideError with a field where one is at fault."""

    async def seat(self, request: Request) -> Seat | None: ...
    async def sign_in(self, request: Request, login: str, password: str, answer: Response) -> None: ...
    async def sign_out(self, request: Request, answer: Response) -> None: ...
    async def needs_setup(self) -> bool: ...
    async def setup(self, request: Request, code: str, name: str, login: str, password: str, answer: Response) -> None: ...
    async def invitation_name(self, token: str) -> str: ...
    async def accept(self, request: Request, token: str, login: str, password: str, answer: Response) -> None: ...
    async def password_is(self, request: Request, person_id: str, password: str) -> bool: ...
    async def persons(self) -> list[Person]: ...
    async def invite(self, seat: Seat, name: str, roles: frozenset[str]) -> tuple[str, str | None]: ...
    async def set_roles(self, seat: Seat, person_id: str, roles: frozenset[str]) -> None: ...
    async def disable(self, seat: Seat, person_id: str) -> None: ...
    async def enable(self, seat: Seat, person_id: str) -> None: ...
    async def sign_ins(self, request: Request, person_id: str) -> list[SignIn]: ...
    async def devices(self) -> list[Device]: ...
    async def revoke(self, seat: Seat, person_id: str, sign_in: str) -> None: ...
    async def calendar_made_at(self, person_id: str) -> str | None: ...
    async def make_calendar_key(self, person_id: str) -> str: ...
    async def end_calendar_key(self, person_id: str) -> None: ...
    async def calendar_owner(self, key: str) -> str | None: ...


def records(request: Request) -> Records:
    """The records service of this server."""
    found: Records = request.app.state.records
    return found


def people(request: Request) -> DeskPeople:
    """The people room, as the desk uses it."""
    found: DeskPeople = request.app.state.desk_people
    return found


def handbook(request: Request) -> dict[str, Any]:
    """The handbook bundle that new work starts with."""
    found: dict[str, Any] = request.app.state.handbooks.current.data
    return found


async def apart(read: Callable[..., T], *given: Any, **named: Any) -> T:
    """A read that takes some milliseconds, in a thread of its own."""
    return await asyncio.to_thread(read, *given, **named)


def actor(session: Seat) -> Actor:
    """The person of a session as the records know it."""
    return Actor(session.person_id, session.name, frozenset(session.roles))


async def signed_in(request: Request) -> Seat:
    """Whoever is signed in. Raises 401 otherwise; the error page turns that into the sign-in page."""
    seat = await people(request).seat(request)
    if seat is None:
        raise ShaftsideError(401, "not_signed_in", tell("Sign in first."))
    return seat


def any_role(*roles: str) -> Callable[[Request], Coroutine[Any, Any, Seat]]:
    """A dependency that lets in whoever has one of the roles. Raises 401, 403."""

    async def guard(request: Request) -> Seat:
        seat = await signed_in(request)
        if not seat.roles & set(roles):
            raise ShaftsideError(403, "role_needed", tell("This page is for the role of %(roles)s.", roles=either(words.ROLE_CALLED[one] for one in roles)))
        return seat

    return guard


def role(name: str) -> Callable[[Request], Coroutine[Any, Any, Seat]]:
    """A dependency that lets in one role."""
    return any_role(name)


async def names(request: Request) -> dict[str, str]:
    """Name of every person by id."""
    return {one.id: one.name for one in await people(request).persons()}


async def check_password(request: Request, session: Seat, password: str) -> bool:
    """Whether this is the password of whoever is signed in. Raises 429 after too many tries."""
    return await people(request).password_is(request, session.person_id, password)

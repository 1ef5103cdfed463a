"""The people room as the desk uses it."""

from __future__ import annotations

import asyncio

from fastapi import Request
from fastapi.responses import Response

from shaftside.pages.ports import Device, OpenHere, Person, Seat, SignIn
from shaftside.people import People, Session, calendar, guard
from shaftside.people import devices as people_devices
from shaftside.people.service import INVITED


class PeoplePort:
    """Satisfies `DeskPeople` with the people service."""

    def __init__(self, people: People) -> None:
        self.people = people

    async def seat(self, request: Request) -> Seat | None:
        found: Session | None = await guard.session_of(request)
        return Seat(found.person_id, found.name, found.roles, found.device_id) if found else None

    async def _open(self, request: Request, person: str, answer: Response) -> None:
        token, _ = await self.people.open(person, None, "Desk browser")
        guard.give_cookie(request, answer, token)

    async def sign_in(self, request: Request, login: str, password: str, answer: Response) -> None:
        token, _ = await self.people.sign_in(login, password, None, "Desk browser", guard.address_of(request))
        guard.give_cookie(request, answer, token)

    async def sign_out(self, request: Request, answer: Response) -> None:
        await self.people.sign_out(guard.token_of(request))
        guard.take_cookie(request, answer)

    async def needs_setup(self) -> bool:
        return await asyncio.to_thread(self.people.needs_setup)

    async def setup(
        self, request: Request, code: str, name: str, login: str, password: str, answer: Response
    ) -> None:
        person = await self.people.setup(code, name, login, password, guard.address_of(request))
        await self._open(request, person, answer)

    async def invitation_name(self, token: str) -> str:
        return await asyncio.to_thread(self.people.invited, token)

    async def accept(self, request: Request, token: str, login: str, password: str, answer: Response) -> None:
        await self._open(request, await self.people.accept(token, login, password), answer)

    async def password_is(self, request: Request, person_id: str, password: str) -> bool:
        return await self.people.password_is(person_id, password)

    async def persons(self) -> list[Person]:
        found = await asyncio.to_thread(self.people.people)
        return [Person(one.id, one.name, one.login, one.roles, one.disabled) for one in found]

    async def invite(self, seat: Seat, name: str, roles: frozenset[str]) -> tuple[str, str | None]:
        token = await self.people.invite(name, roles, seat.person_id)
        until = self.people.clock() + INVITED
        return f"/desk/invitation/{token}", until.strftime("%Y-%m-%dT%H:%M:%SZ")

    async def set_roles(self, seat: Seat, person_id: str, roles: frozenset[str]) -> None:
        await self.people.set_roles(person_id, roles, seat.person_id)

    async def disable(self, seat: Seat, person_id: str) -> None:
        await self.people.set_disabled(person_id, True, seat.person_id)

    async def enable(self, seat: Seat, person_id: str) -> None:
        await self.people.set_disabled(person_id, False, seat.person_id)

    async def sign_ins(self, request: Request, person_id: str) -> list[SignIn]:
        here = await guard.session_of(request)
        found = await asyncio.to_thread(self.people.sign_ins, person_id)
        return [
            SignIn(one.id, one.device, one.since, one.last, bool(here and here.sign_in == one.id))
            for one in found
        ]

    async def devices(self) -> list[Device]:
        found = await asyncio.to_thread(people_devices, self.people.database, self.people.clock())
        return [
            Device(
                one.id,
                one.name,
                one.first_at,
                one.people,
                [OpenHere(at.sign_in, at.person, at.name, at.since, at.last) for at in one.open],
            )
            for one in found
        ]

    async def revoke(self, seat: Seat, person_id: str, sign_in: str) -> None:
        await self.people.revoke(person_id, sign_in)

    async def calendar_made_at(self, person_id: str) -> str | None:
        return await asyncio.to_thread(calendar.made_at, self.people.database, person_id)

    async def make_calendar_key(self, person_id: str) -> str:
        return await calendar.make_key(self.people.database, person_id, self.people.clock())

    async def end_calendar_key(self, person_id: str) -> None:
        await calendar.end_key(self.people.database, person_id)

    async def calendar_owner(self, key: str) -> str | None:
        return await asyncio.to_thread(calendar.owner, self.people.database, key)

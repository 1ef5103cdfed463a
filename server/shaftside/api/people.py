"""People, invitations and sign-ins, for administrators."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Path, Request
from pydantic import Field

from shaftside.api.shape import Strict
from shaftside.people import Listed, Session
from shaftside.people.guard import people_of, role, signed_in

router = APIRouter(prefix="/api/people", tags=["people"])
UUID = r"^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$"
Admin = Annotated[Session, Depends(role("admin"))]
Person = Annotated[str, Path(pattern=UUID)]


def _said(one: Listed) -> dict[str, Any]:
    return {"id": one.id, "name": one.name, "roles": sorted(one.roles), "disabled": one.disabled}


@router.get("")
def listed(request: Request, session: Annotated[Session, Depends(signed_in)]) -> list[dict[str, Any]]:
    """Everybody's id, name and roles; sign-in names only for an administrator."""
    found = people_of(request).people()
    return [_said(one) | ({"login": one.login} if "admin" in session.roles else {}) for one in found]


class Invite(Strict):
    """Whom to invite."""

    name: str = Field(min_length=1, max_length=100)
    roles: list[str] = Field(min_length=1, max_length=4)


@router.post("/invitations", status_code=201)
async def invite(request: Request, body: Invite, admin: Admin) -> dict[str, str]:
    """Make an invitation; its link is in this answer only."""
    token = await people_of(request).invite(body.name, body.roles, admin.person_id)
    return {"link": f"/desk/invitation/{token}"}


class Roles(Strict):
    """The roles a person has from now on."""

    roles: list[str] = Field(min_length=1, max_length=4)


@router.put("/{person}/roles")
async def set_roles(request: Request, person: Person, body: Roles, admin: Admin) -> dict[str, str]:
    """Give other roles."""
    await people_of(request).set_roles(person, body.roles, admin.person_id)
    return {"person": person}


class Disabled(Strict):
    """Whether a person is shut out."""

    disabled: bool


@router.put("/{person}/disabled")
async def set_disabled(request: Request, person: Person, body: Disabled, admin: Admin) -> dict[str, str]:
    """Shut a person out, or let them in again."""
    await people_of(request).set_disabled(person, body.disabled, admin.person_id)
    return {"person": person}


@router.get("/{person}/sign-ins")
def sign_ins(request: Request, person: Person, admin: Admin) -> list[dict[str, Any]]:
    """Open sign-ins of a person."""
    return [asdict(one) for one in people_of(request).sign_ins(person)]


@router.delete("/{person}/sign-ins/{sign_in}")
async def revoke(
    request: Request, person: Person, sign_in: Annotated[str, Path(pattern=UUID)], admin: Admin
) -> dict[str, str]:
    """End one sign-in."""
    await people_of(request).revoke(person, sign_in)
    return {"person": person}

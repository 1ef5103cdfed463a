"""Coming in over HTTP: sign in and out, the setup code, an invitation, and who one is."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Path, Request, Response
from pydantic import Field

from shaftside import __version__
from shaftside.api.shape import Strict
from shaftside.people import Session, proof
from shaftside.people.guard import (
    address_of,
    device_secret,
    give_cookie,
    give_device,
    people_of,
    signed_in,
    take_cookie,
    token_of,
)

router = APIRouter(prefix="/api", tags=["access"])
UUID = r"^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$"
Text = Annotated[str, Field(max_length=256)]


def _said(session: Session) -> dict[str, Any]:
    return {
        "person": {"id": session.person_id, "name": session.name, "roles": sorted(session.roles)},
        "device": session.device_id,
    }


@router.get("/health")
def health() -> dict[str, str]:
    """That the server answers, and which version it is."""
    return {"status": "up", "version": __version__}


class SignIn(Strict):
    """A person on a device."""

    login: Text
    password: Text
    device_id: str = Field(pattern=UUID)
    device_name: Annotated[str, Field(max_length=100)] = "Phone"


@router.post("/sign-in")
async def sign_in(request: Request, response: Response, body: SignIn) -> dict[str, Any]:
    """Open a sign-in on this device. A device that was here before must show the secret it was given."""
    secret = proof.new_secret(device_secret(request))
    token, session = await people_of(request).sign_in(
        body.login, body.password, body.device_id, body.device_name, address_of(request), secret
    )
    give_cookie(request, response, token)
    give_device(request, response, secret)
    return _said(session)


@router.post("/sign-out")
async def sign_out(request: Request, response: Response) -> dict[str, str]:
    """End this sign-in; nothing happens when there is none."""
    await people_of(request).sign_out(token_of(request))
    take_cookie(request, response)
    return {"status": "signed_out"}


@router.get("/me")
async def me(session: Annotated[Session, Depends(signed_in)]) -> dict[str, Any]:
    """Who is signed in, on which device."""
    return _said(session)


class Setup(Strict):
    """The first administrator."""

    code: Text
    name: Text
    login: Text
    password: Text


@router.post("/setup", status_code=201)
async def setup(request: Request, body: Setup) -> dict[str, str]:
    """Make the first administrator, by the code the server printed."""
    person = await people_of(request).setup(
        body.code, body.name, body.login, body.password, address_of(request)
    )
    return {"person": person}


class AcceptIt(Strict):
    """The sign-in name and password an invited person chooses."""

    login: Text
    password: Text


@router.post("/invitations/{token}/accept", status_code=201)
async def accept(
    request: Request, token: Annotated[str, Path(max_length=100)], body: AcceptIt
) -> dict[str, str]:
    """Use an invitation."""
    return {"person": await people_of(request).accept(token, body.login, body.password)}

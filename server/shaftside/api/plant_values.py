"""A plant's own maker's values over HTTP: read by whoever is signed in, set and withdrawn by a lead."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Path, Request
from pydantic import Field

from shaftside.api.shape import Strict
from shaftside.people import Session
from shaftside.people.guard import role, signed_in
from shaftside.records import Actor, Records
from shaftside.records.plant import preview

router = APIRouter(prefix="/api/plant-values", tags=["plant values"])
UUID = r"^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$"
Value = Annotated[str, Path(pattern=UUID)]
Lead = Annotated[Session, Depends(role("lead"))]
Short = Annotated[str, Field(max_length=200)]
Typed = str | dict[str, Any]


class Said(Strict):
    """A value for a line (`set_screw_torque.target`) with its document. where: facts that must be exactly so."""

    line: Annotated[str, Field(max_length=130)]
    value: Typed
    document: Short
    revision: Short = ""
    page: Short = ""
    where: dict[str, Typed] = Field(default_factory=dict, max_length=20)


class Tried(Said):
    """The same, with inputs of the sheet to try it on."""

    inputs: dict[str, Typed] = Field(default_factory=dict, max_length=60)


class Because(Strict):
    """A reason, in words."""

    reason: Annotated[str, Field(min_length=1, max_length=4000)]


def _records(request: Request) -> Records:
    found: Records = request.app.state.records
    return found


def _bundle(request: Request) -> dict[str, Any]:
    found: dict[str, Any] = request.app.state.handbooks.current.data
    return found


def _actor(session: Session) -> Actor:
    return Actor(session.person_id, session.name, session.roles)


@router.get("")
def listed(request: Request, session: Annotated[Session, Depends(signed_in)]) -> list[dict[str, Any]]:
    """Every value that was ever set, the ones that hold first, each with its history."""
    return _records(request).plant_values.all()


@router.post("/preview")
def tried(request: Request, body: Tried, session: Annotated[Session, Depends(signed_in)]) -> dict[str, Any]:
    """What the sheet itself says beside a value, and which checks would speak. Nothing is recorded."""
    return preview(_bundle(request), body.model_dump(), body.inputs)


@router.post("", status_code=201)
async def set_new(request: Request, body: Said, lead: Lead) -> dict[str, Any]:
    """Set a value for the plant."""
    return await _records(request).plant_values.set(_actor(lead), _bundle(request), body.model_dump())


@router.post("/{value}")
async def set_again(request: Request, value: Value, body: Said, lead: Lead) -> dict[str, Any]:
    """Change a value, or bring a withdrawn one back."""
    return await _records(request).plant_values.set(_actor(lead), _bundle(request), body.model_dump(), value)


@router.post("/{value}/withdraw")
async def withdraw(request: Request, value: Value, body: Because, lead: Lead) -> dict[str, Any]:
    """Withdraw a value. Records that used it keep it."""
    return await _records(request).plant_values.withdraw(_actor(lead), value, body.reason)

"""Jobs as the desk sees them, and the lead's acts, over HTTP."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Depends, Path, Query, Request
from pydantic import Field

from shaftside.api.shape import Strict
from shaftside.errors import ShaftsideError
from shaftside.people import Session
from shaftside.people.guard import people_of, role, signed_in
from shaftside.records import Actor, JobQuery, Records

router = APIRouter(prefix="/api/jobs", tags=["jobs"])
UUID = r"^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$"
Job = Annotated[str, Path(pattern=UUID)]
Lead = Annotated[Session, Depends(role("lead"))]
Reason = Annotated[str, Field(min_length=1, max_length=4000)]


def _records(request: Request) -> Records:
    found: Records = request.app.state.records
    return found


def _actor(session: Session) -> Actor:
    return Actor(session.person_id, session.name, session.roles)


@router.get("")
def search(
    request: Request,
    session: Annotated[Session, Depends(signed_in)],
    text: Annotated[str, Query(max_length=200)] = "",
    method: str | None = None,
    work: Literal["mount", "remove", "check"] | None = None,
    status: Annotated[list[str] | None, Query(max_length=10)] = None,
    since: Annotated[str | None, Query(pattern=r"^\d{4}-\d{2}-\d{2}$")] = None,
    until: Annotated[str | None, Query(pattern=r"^\d{4}-\d{2}-\d{2}$")] = None,
    limit: Annotated[int, Query(ge=1, le=500)] = 100,
    offset: Annotated[int, Query(ge=0, le=1_000_000)] = 0,
) -> list[dict[str, Any]]:
    """Jobs that match, newest first."""
    query = JobQuery(
        text=text,
        method=method,
        work=work,
        status=tuple(status or ()),
        since=since,
        until=until,
        limit=limit,
        offset=offset,
    )
    return [asdict(line) for line in _records(request).search(query)]


@router.get("/{job}")
def one(request: Request, job: Job, session: Annotated[Session, Depends(signed_in)]) -> dict[str, Any]:
    """One job as it stands: state, progress, what is between it and a sign-off, and the jobs begun for its later work."""
    view = _records(request).job(job)
    later = {name: {"job": one.job, "begun_at": one.started_at, "done_at": one.closed_at} for name, one in view.later.items()}
    return {"job": view.id, "state": view.state, "progress": view.progress, "blockers": view.blockers, "later": later}


class Sign(Strict):
    """A sign-off: the heads the lead saw, what it means, the password again."""

    heads: list[str] = Field(min_length=1, max_length=1000)
    statement: Reason
    password: str = Field(max_length=256)


@router.post("/{job}/sign-off")
async def sign(request: Request, job: Job, body: Sign, lead: Lead) -> dict[str, Any]:
    """Sign a job off, on exactly what the lead saw."""
    if not await people_of(request).password_is(lead.person_id, body.password):
        raise ShaftsideError(
            403, "password_wrong", "That is not your password. Nothing was signed.", field="password"
        )
    return await _records(request).sign(job, _actor(lead), body.heads, body.statement)


class Because(Strict):
    """A reason, in words."""

    reason: Reason


@router.post("/{job}/return")
async def send_back(request: Request, job: Job, body: Because, lead: Lead) -> dict[str, Any]:
    """Return a job for rework."""
    return await _records(request).send_back(job, _actor(lead), body.reason)


class Decide(Because):
    """What becomes of a deviation."""

    deviation: str = Field(pattern=UUID)
    decision: Literal["accept", "rework", "stop"]


@router.post("/{job}/deviation")
async def decide(request: Request, job: Job, body: Decide, lead: Lead) -> dict[str, Any]:
    """Decide a deviation."""
    return await _records(request).decide(job, _actor(lead), body.deviation, body.decision, body.reason)


class Accept(Because):
    """A reading by its event."""

    reading: str = Field(pattern=UUID)


@router.post("/{job}/accept")
async def accept(request: Request, job: Job, body: Accept, lead: Lead) -> dict[str, Any]:
    """Accept a reading that needs a lead's word."""
    return await _records(request).accept(job, _actor(lead), body.reading, body.reason)


class Choose(Because):
    """Which of two people's readings counts."""

    step: str = Field(max_length=120)
    reading: str = Field(max_length=120)
    chosen: str = Field(pattern=UUID)


@router.post("/{job}/choose")
async def choose(request: Request, job: Job, body: Choose, lead: Lead) -> dict[str, Any]:
    """Choose between readings that differ."""
    return await _records(request).choose(
        job, _actor(lead), body.step, body.reading, body.chosen, body.reason
    )


class Agree(Because):
    """A step that was marked not applicable, by its event."""

    event: str = Field(pattern=UUID)


@router.post("/{job}/agree")
async def agree(request: Request, job: Job, body: Agree, lead: Lead) -> dict[str, Any]:
    """Agree that a step does not apply."""
    return await _records(request).agree(job, _actor(lead), body.event, body.reason)

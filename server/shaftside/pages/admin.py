"""People: list, invite, roles, disable, sign-ins; and everybody's own sign-ins."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, Response
from starlette.datastructures import FormData

from shaftside.errors import ShaftsideError
from shaftside.pages import words
from shaftside.pages.acts import text
from shaftside.pages.ports import people, role, signed_in
from shaftside.pages.render import go, inside_desk, page
from shaftside.sentence import tell

router = APIRouter()
admin = role("admin")


def _roles(form: FormData) -> frozenset[str]:
    return frozenset(one for one in form.getlist("role") if isinstance(one, str) and one in words.ROLES)


async def _people_page(
    request: Request, session: Any, error: ShaftsideError | None = None, typed: dict[str, str] | None = None, **more: Any
) -> Response:
    base: dict[str, Any] = {"link": "", "invited": "", "until": None, "invite_roles": frozenset({"technician"})}
    return page(
        request,
        "people.html",
        session,
        error.status if error else 200,
        persons=await people(request).persons(),
        problems={error.field or "form": error.message} if error else {},
        typed=typed or {},
        **(base | more),
    )


@router.get("/desk/people", response_class=HTMLResponse)
async def persons(request: Request, session: Annotated[Any, Depends(admin)]) -> Response:
    """Everybody, and the form to invite."""
    return await _people_page(request, session)


@router.post("/desk/people/invite", response_class=HTMLResponse)
async def invite(request: Request, session: Annotated[Any, Depends(admin)]) -> Response:
    """Make an invitation; its link is shown on this answer only."""
    form = await request.form()
    name, roles = text(form, "name"), _roles(form)
    try:
        if not name:
            raise ShaftsideError(422, "name_needed", tell("Give the person's name: it stands in every record they make."), field="name")
        if not roles:
            raise ShaftsideError(422, "role_needed", tell("Choose at least one role."), field="role")
        link, until = await people(request).invite(session, name, roles)
    except ShaftsideError as error:
        return await _people_page(request, session, error, {"name": name}, invite_roles=roles)
    if link.startswith("/"):
        link = str(request.base_url).rstrip("/") + link
    return await _people_page(request, session, link=link, invited=name, until=until)


async def _change(request: Request, session: Any, do: Any, said: str) -> Response:
    try:
        await do
    except ShaftsideError as error:
        return await _people_page(request, session, error)
    return go("/desk/people", said)


@router.post("/desk/people/{person_id}/roles", response_class=HTMLResponse)
async def roles(request: Request, person_id: str, session: Annotated[Any, Depends(admin)]) -> Response:
    """Set somebody's roles; an event of the record."""
    chosen = _roles(await request.form())
    return await _change(request, session, people(request).set_roles(session, person_id, chosen), "roles")


@router.post("/desk/people/{person_id}/disable", response_class=HTMLResponse)
async def disable(request: Request, person_id: str, session: Annotated[Any, Depends(admin)]) -> Response:
    """Let somebody sign in no more."""
    return await _change(request, session, people(request).disable(session, person_id), "disabled")


@router.post("/desk/people/{person_id}/enable", response_class=HTMLResponse)
async def enable(request: Request, person_id: str, session: Annotated[Any, Depends(admin)]) -> Response:
    """Let somebody sign in again."""
    return await _change(request, session, people(request).enable(session, person_id), "enabled")


async def _sign_ins(request: Request, session: Any, person_id: str, name: str, base: str) -> Response:
    held = await people(request).sign_ins(request, person_id)
    mine = person_id == session.person_id
    return page(request, "sessions.html", session, person_name=name, sessions=held, base=base, mine=mine)


@router.get("/desk/me", response_class=HTMLResponse)
async def me(request: Request, session: Annotated[Any, Depends(signed_in)]) -> Response:
    """One's own sign-ins."""
    return await _sign_ins(request, session, session.person_id, session.name, "/desk/me")


@router.post("/desk/me/sessions/{sign_in}/revoke")
async def revoke_mine(request: Request, sign_in: str, session: Annotated[Any, Depends(signed_in)]) -> Response:
    """End one of one's own sign-ins."""
    await people(request).revoke(session, session.person_id, sign_in)
    return go("/desk/me", "revoked")


@router.get("/desk/people/{person_id}", response_class=HTMLResponse)
async def person(request: Request, person_id: str, session: Annotated[Any, Depends(admin)]) -> Response:
    """Somebody's sign-ins."""
    name = next((one.name for one in await people(request).persons() if one.id == person_id), None)
    if name is None:
        raise ShaftsideError(404, "not_found", tell("There is no such person."))
    return await _sign_ins(request, session, person_id, name, f"/desk/people/{person_id}")


@router.post("/desk/people/{person_id}/sessions/{sign_in}/revoke")
async def revoke(request: Request, person_id: str, sign_in: str, session: Annotated[Any, Depends(admin)]) -> Response:
    """End one of somebody's sign-ins."""
    await people(request).revoke(session, person_id, sign_in)
    back = text(await request.form(), "back")
    return go(inside_desk(back) if back else f"/desk/people/{person_id}", "revoked")

"""Coming in: sign in and out, the first administrator by the setup code, an invitation."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from shaftside.errors import ShaftsideError
from shaftside.pages.acts import text
from shaftside.pages.ports import people
from shaftside.pages.render import go, inside_desk, page
from shaftside.sentence import tell

router = APIRouter()

LOGIN = {"name": "login", "label": tell("Sign-in name"), "autocomplete": "username"}
NEW_PASSWORD = {
    "name": "password",
    "label": tell("Password"),
    "type": "password",
    "autocomplete": "new-password",
    "help": tell("At least 15 characters. Any characters; a few words you can remember are good."),
}
AGAIN = {"name": "again", "label": tell("Password, again"), "type": "password", "autocomplete": "new-password"}


def _page(request: Request, what: dict[str, Any], error: ShaftsideError | None = None, typed: Any = None) -> Response:
    problems = {error.field or "form": error.message} if error else {}
    base: dict[str, Any] = {"lead_in": "", "note": "", "next_path": ""}
    return page(
        request, "access.html", None, error.status if error else 200, problems=problems, typed=typed or {}, **(base | what)
    )


def _sign_in(next_path: str) -> dict[str, Any]:
    return {
        "heading": tell("Sign in"),
        "action": "/desk/sign-in",
        "button": tell("Sign in"),
        "next_path": next_path,
        "form_fields": [LOGIN, {"name": "password", "label": tell("Password"), "type": "password", "autocomplete": "current-password"}],
        "note": tell("No sign-in yet? An administrator invites you and gives you a link."),
    }


@router.get("/desk/sign-in", response_class=HTMLResponse)
async def sign_in_page(request: Request) -> Response:
    """The form; straight on for somebody already signed in; to setup on a server without anybody."""
    onward = inside_desk(request.query_params.get("next"))
    if await people(request).needs_setup():
        return go("/desk/setup")
    if await people(request).seat(request) is not None:
        return go(onward)
    return _page(request, _sign_in(onward))


@router.post("/desk/sign-in", response_class=HTMLResponse)
async def sign_in(request: Request) -> Response:
    """Sign in and go on to where the person was going."""
    form = await request.form()
    onward = inside_desk(text(form, "next"))
    answer = go(onward)
    password = form.get("password")
    try:
        await people(request).sign_in(request, text(form, "login"), password if isinstance(password, str) else "", answer)
    except ShaftsideError as error:
        return _page(request, _sign_in(onward), error, {"login": text(form, "login")})
    return answer


@router.post("/desk/sign-out")
async def sign_out(request: Request) -> Response:
    """End this sign-in."""
    answer = go("/desk/sign-in", "signed_out")
    await people(request).sign_out(request, answer)
    return answer


SETUP: dict[str, Any] = {
    "heading": tell("Set this server up"),
    "lead_in": tell("Nobody can sign in here yet. The server printed a one-time code when it first started; with it you become the first administrator."),
    "action": "/desk/setup",
    "button": tell("Set up and sign in"),
    "form_fields": [
        {"name": "code", "label": tell("Setup code"), "autocomplete": "off"},
        {"name": "name", "label": tell("Your name"), "autocomplete": "name"},
        LOGIN,
        NEW_PASSWORD,
        AGAIN,
    ],
}


def _passwords(form: Any) -> str:
    password, again = form.get("password"), form.get("again")
    if not isinstance(password, str) or password != again:
        raise ShaftsideError(422, "passwords_differ", tell("The two passwords differ. Type both again."), field="again")
    return password


@router.get("/desk/setup", response_class=HTMLResponse)
async def setup_page(request: Request) -> Response:
    """The first administrator's form, while there is nobody."""
    return _page(request, SETUP) if await people(request).needs_setup() else go("/desk/sign-in")


@router.post("/desk/setup", response_class=HTMLResponse)
async def setup(request: Request) -> Response:
    """Make the first administrator."""
    form = await request.form()
    typed = {name: text(form, name) for name in ("code", "name", "login")}
    answer = go("/desk/")
    try:
        await people(request).setup(request, typed["code"], typed["name"], typed["login"], _passwords(form), answer)
    except ShaftsideError as error:
        return _page(request, SETUP, error, typed)
    return answer


def _invitation(token: str, name: str) -> dict[str, Any]:
    return {
        "heading": tell("Welcome, %(name)s", name=name),
        "lead_in": tell("Choose the name and the password you sign in with, here and on the phone."),
        "action": f"/desk/invitation/{token}",
        "button": tell("Accept and sign in"),
        "form_fields": [LOGIN, NEW_PASSWORD, AGAIN],
    }


@router.get("/desk/invitation/{token}", response_class=HTMLResponse)
async def invitation_page(request: Request, token: str) -> Response:
    """The invited person's form. Raises not_found for a link that is used, run out or wrong."""
    return _page(request, _invitation(token, await people(request).invitation_name(token)))


@router.post("/desk/invitation/{token}", response_class=HTMLResponse)
async def accept(request: Request, token: str) -> Response:
    """Accept an invitation."""
    form = await request.form()
    typed = {"login": text(form, "login")}
    answer = go("/desk/")
    name = await people(request).invitation_name(token)
    try:
        await people(request).accept(request, token, typed["login"], _passwords(form), answer)
    except ShaftsideError as error:
        return _page(request, _invitation(token, name), error, typed)
    return answer

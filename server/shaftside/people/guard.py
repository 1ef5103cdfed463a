"""Who may come in: the cookie, and dependencies that let in whoever is signed in or has a role."""

from __future__ import annotations

from collections.abc import Callable, Coroutine
from typing import Any

from fastapi import Request, Response

from shaftside.errors import ShaftsideError
from shaftside.people.model import Session
from shaftside.people.service import People
from shaftside.people.spans import ABSOLUTE
from shaftside.sentence import tell


def people_of(request: Request) -> People:
    """The people room of this server."""
    found: People = request.app.state.people
    return found


def cookie_name(request: Request) -> str:
    """`__Host-` pins the cookie to this host; browsers take it on https only."""
    return "__Host-shaftside" if request.url.scheme == "https" else "shaftside"


def give_cookie(request: Request, answer: Response, token: str) -> None:
    """Put the sign-in's secret into the browser."""
    answer.set_cookie(
        cookie_name(request), token, max_age=int(ABSOLUTE.total_seconds()), path="/",
        secure=request.url.scheme == "https", httponly=True, samesite="lax",
    )  # fmt: skip


def take_cookie(request: Request, answer: Response) -> None:
    """Take it away again."""
    answer.delete_cookie(
        cookie_name(request), path="/", secure=request.url.scheme == "https", httponly=True, samesite="lax"
    )


def device_cookie(request: Request) -> str:
    """The name of the cookie that proves the device; it outlives every sign-in."""
    return cookie_name(request) + "-device"


def device_secret(request: Request) -> str | None:
    """What a browser shows to prove which device it is."""
    return request.cookies.get(device_cookie(request))


def give_device(request: Request, answer: Response, secret: str) -> None:
    """Put a device's secret into the browser, for as long as browsers keep one; renewed at each sign-in."""
    answer.set_cookie(
        device_cookie(request), secret, max_age=400 * 86_400, path="/",
        secure=request.url.scheme == "https", httponly=True, samesite="lax",
    )  # fmt: skip


def token_of(request: Request) -> str | None:
    """The secret that came with a request."""
    return request.cookies.get(cookie_name(request))


async def session_of(request: Request) -> Session | None:
    """Who asks, or None."""
    return await people_of(request).session(token_of(request))


async def signed_in(request: Request) -> Session:
    """Dependency: whoever is signed in. Raises 401."""
    found = await session_of(request)
    if found is None:
        raise ShaftsideError(401, "not_signed_in", tell("Sign in first."))
    return found


def role(*names: str) -> Callable[[Request], Coroutine[Any, Any, Session]]:
    """Dependency: whoever has one of the roles. Raises 401, 403."""

    async def guard(request: Request) -> Session:
        found = await signed_in(request)
        if not found.roles & set(names):
            raise ShaftsideError(403, "role_needed", f"This is for the role of {' or '.join(names)}.")
        return found

    return guard


def address_of(request: Request) -> str:
    """Where a request comes from. Never a forwarded header: anybody can write one."""
    return request.client.host if request.client else ""

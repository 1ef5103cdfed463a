"""What surrounds every request: its number, its headers, who may ask from where, how much, and what a fault answers.

One plain ASGI layer, outside the router and everything in it, so that a 404, a 413 and a 500 leave with the same
headers as any page.

Cross-site requests are refused by what the browser says of itself (Sec-Fetch-Site, then Origin), not by tokens in
forms: nothing to keep on a phone that was offline for a week. A client that sends neither header is no browser and
carries no one's cookie by accident.
"""

from __future__ import annotations

import json
import re
import secrets
import time
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any

import structlog
from starlette.requests import Request

from shaftside.api.shape import error_body
from shaftside.errors import ShaftsideError
from shaftside.pages import render
from shaftside.sentence import tell

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

READING = ("GET", "HEAD", "OPTIONS")
MOST_BODY = 1024 * 1024
MOST_DESK_BODY = 4 * 1024 * 1024  # lists of positions as CSV
PHOTOS = "/api/photos/"
_SECRET = re.compile(r"(?<=/invitation/)[^/]+|(?<=/invitations/)[^/]+|(?<=/calendar/)[^/]{43}")
_log = structlog.get_logger("shaftside.http")


PAGE_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; connect-src 'self'; font-src 'self'; "
    "manifest-src 'self'; worker-src 'self'; media-src 'self' blob:; form-action 'self'; frame-ancestors 'none'; "
    "base-uri 'none'; object-src 'none'; require-trusted-types-for 'script'; trusted-types lit-html app"
)
API_POLICY = "default-src 'none'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'"


def cross_site(headers: dict[str, str], scheme: str) -> bool:
    """Whether a browser sent this on behalf of another site. headers: lower-case names."""
    site = headers.get("sec-fetch-site")
    if site is not None:
        return site not in ("same-origin", "none")
    origin = headers.get("origin")
    return origin is not None and origin.lower() != f"{scheme}://{headers.get('host', '')}".lower()


class Shell:
    """The layer. https: this server speaks https itself, so browsers are told to keep to it."""

    def __init__(self, app: App, https: bool = False) -> None:
        self.app = app
        fixed = {
            "x-content-type-options": "nosniff",
            "referrer-policy": "no-referrer",
            "cross-origin-opener-policy": "same-origin",
            "cross-origin-resource-policy": "same-origin",
        }
        if https:
            fixed["strict-transport-security"] = "max-age=63072000; includeSubDomains"
        self.fixed = [(name.encode(), value.encode()) for name, value in fixed.items()]

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        began = time.perf_counter()
        path: str = scope["path"]
        number = secrets.token_hex(8)
        scope.setdefault("state", {})["request_id"] = number
        status = 0

        async def send_dressed(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                message["headers"] = self._dressed(path, message.get("headers", []), number)
            await send(message)

        try:
            refusal, receive = await self._admit(scope, receive)
            if refusal is None:
                await self.app(scope, receive, send_dressed)
            else:
                await _answer(refusal, scope, number, send_dressed)
        except Exception:  # the outermost edge: it is logged here, and the person gets a sentence
            _log.exception("fault", request=number, method=scope["method"], path=_masked(path))
            if status:  # half an answer is out; only breaking off tells the client so
                raise
            fault = ShaftsideError(
                500,
                "internal",
                tell("Something failed in the server. Nothing was kept. Tell its keeper the number %(number)s.", number=number),
            )
            await _answer(fault, scope, number, send_dressed)
        finally:
            spent = round((time.perf_counter() - began) * 1000, 1)
            _log.info(
                "request", request=number, method=scope["method"], path=_masked(path), status=status, ms=spent
            )

    def _dressed(self, path: str, given: list[tuple[bytes, bytes]], number: str) -> list[tuple[bytes, bytes]]:
        """The answer's headers with ours; a policy or cache rule that a route set itself stays."""
        names = {name.lower() for name, _ in given}
        out = [one for one in given if one[0].lower() != b"server"]
        out += [one for one in self.fixed if one[0] not in names]
        # the phone app alone reads labels with the camera
        camera = b"(self)" if path.startswith("/phone") else b"()"
        out.append((b"permissions-policy", b"camera=%s, geolocation=(), microphone=()" % camera))
        if b"content-security-policy" not in names:
            policy = API_POLICY if path.startswith("/api/") else PAGE_POLICY
            out.append((b"content-security-policy", policy.encode()))
        if b"cache-control" not in names:
            out.append((b"cache-control", b"no-store"))
        out.append((b"x-request-id", number.encode()))
        return out

    async def _admit(self, scope: Scope, receive: Receive) -> tuple[ShaftsideError | None, Receive]:
        """A refusal, or None and where to read the body from."""
        if scope["method"] in READING:
            return None, receive
        path: str = scope["path"]
        headers = {
            name.decode("latin-1").lower(): value.decode("latin-1") for name, value in scope["headers"]
        }
        if cross_site(headers, scope.get("scheme", "http")):
            refusal = ShaftsideError(
                403,
                "cross_site",
                tell("This request came from a page of another site, so it was not carried out. Open Shaftside itself."),
            )
            return refusal, receive
        kind = headers.get("content-type", "").split(";")[0].strip().lower()
        api, photo = path.startswith("/api/"), path.startswith(PHOTOS)
        bodiless = scope["method"] == "DELETE" and not kind
        if api and not photo and not bodiless and kind != "application/json":
            refusal = ShaftsideError(
                415, "json_needed", "The API takes JSON.", field="content-type", expects="application/json"
            )
            return refusal, receive
        if photo:  # the route reads it piece by piece, with its own limit
            return None, receive
        return await _limited(headers, receive, MOST_BODY if api else MOST_DESK_BODY)


async def _limited(
    headers: dict[str, str], receive: Receive, most: int
) -> tuple[ShaftsideError | None, Receive]:
    """The body read whole, up to `most` bytes; then handed on as one message."""
    refusal = ShaftsideError(
        413,
        "too_large",
        tell("This is more than the %(most)s KiB that one request may carry.", most=most // 1024),
        expects=f"{most} bytes at most",
    )
    told = headers.get("content-length", "")
    if told.isdigit() and int(told) > most:
        return refusal, receive
    parts: list[bytes] = []
    size, more = 0, True
    while more:
        message = await receive()
        if message["type"] != "http.request":  # gone away
            break
        parts.append(message.get("body", b""))
        size += len(parts[-1])
        more = message.get("more_body", False)
        if size > most:
            return refusal, receive
    whole: list[Message] = [{"type": "http.request", "body": b"".join(parts), "more_body": False}]

    async def again() -> Message:
        return whole.pop() if whole else await receive()

    return None, again


async def _answer(error: ShaftsideError, scope: Scope, number: str, send: Send) -> None:
    """A refusal from out here: the API's shape, or a plain sentence for a page, in its reader's language."""
    if scope["path"].startswith("/api/"):
        kind, body = b"application/json", json.dumps(error_body(error, number), ensure_ascii=False).encode()
    else:
        kind, body = b"text/plain; charset=utf-8", f"{render.in_language(Request(scope), error.message)}\n".encode()
    headers = [(b"content-type", kind), (b"content-length", str(len(body)).encode())]
    await send({"type": "http.response.start", "status": error.status, "headers": headers})
    await send({"type": "http.response.body", "body": body})


def _masked(path: str) -> str:
    """The path for the log, without the secret of an invitation or a calendar."""
    return _SECRET.sub("...", path)

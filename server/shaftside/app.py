"""The application put together: rooms opened, routes joined, errors given their one shape."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import HTMLResponse, PlainTextResponse, Response
from starlette.exceptions import HTTPException

from shaftside import __version__, api, content, handbook, pages, trust
from shaftside.api.shape import Refused, error_answer
from shaftside.database import Database
from shaftside.errors import ShaftsideError
from shaftside.middleware import Shell
from shaftside.pages import render
from shaftside.pages.people_port import PeoplePort
from shaftside.people import People
from shaftside.phone import PhoneFiles
from shaftside.photo_store import PhotoStore
from shaftside.records import Actor, Records
from shaftside.sentence import tell
from shaftside.settings import Settings, StartRefused


class Rooms:
    """Everything one server holds open. `close()` gives it back."""

    def __init__(self, settings: Settings) -> None:
        self.settings = settings
        try:
            settings.data.mkdir(parents=True, exist_ok=True)
        except OSError as problem:
            raise StartRefused(f"the data folder {settings.data} cannot be made: {problem.strerror}.") from None
        self.web = content.folder("web", settings.content)
        if settings.plant and not handbook.is_plant(settings.plant):
            raise StartRefused(f"{settings.plant} is no plant's own folder: it has no plant.yaml.")
        bundle = handbook.build(content.folder("procedures", settings.content), settings.plant)
        self.database = Database.open(settings.database_url)
        try:
            self.database.migrate()
            self.handbooks = handbook.Handbooks(self.database)
            self.handbooks.put(bundle)
            self.records = Records(self.database, self.handbooks)
            self.people = People(self.database, self._tell, clock=lambda: self.records.clock())
            self.photos = PhotoStore(settings.data / "photos")
        except BaseException:
            self.database.close()
            raise

    async def _tell(self, kind: str, record: str, body: dict[str, Any], by: str) -> None:
        """A change of role is an event too, so that phone and server never differ about it."""
        names = {one.id: one for one in self.people.people()}
        who = names.get(by)
        await self.records.act(
            kind, record, body, Actor(by, who.name if who else by, who.roles if who else frozenset())
        )

    def close(self) -> None:
        """Let go of the database."""
        self.database.close()


def create_app(settings: Settings, rooms: Rooms | None = None, told: trust.Trust | None = None) -> FastAPI:
    """The ASGI application. rooms: opened already, and then not closed here."""
    held = rooms or Rooms(settings)

    @asynccontextmanager
    async def life(_: FastAPI) -> AsyncIterator[None]:
        yield
        if rooms is None:
            held.close()

    app = FastAPI(
        title="Shaftside", version=__version__, lifespan=life,
        docs_url=None, redoc_url=None, openapi_url="/openapi.json" if settings.docs else None,
    )  # fmt: skip
    app.state.records, app.state.people, app.state.handbooks = held.records, held.people, held.handbooks
    app.state.photos, app.state.desk_people = held.photos, PeoplePort(held.people)
    app.state.drawing = asyncio.Semaphore(2)
    for router in api.routers():
        app.include_router(router, responses={"4XX": {"model": Refused}, "5XX": {"model": Refused}})
    for router in (PhoneFiles(held.web).router(), pages.router()):
        app.include_router(router)
    if settings.docs:  # no interactive page: it loads scripts from elsewhere, which the content policy refuses

        @app.get("/docs", include_in_schema=False)
        def docs() -> PlainTextResponse:
            return PlainTextResponse("The API is described in /openapi.json (OpenAPI); any OpenAPI viewer can open it.\n")

    @app.get("/", include_in_schema=False)
    def chooser(request: Request) -> HTMLResponse:
        return render.page(request, "chooser.html")

    @app.get("/trust", include_in_schema=False)
    def trust_page() -> HTMLResponse:
        return HTMLResponse(trust.page(told))

    @app.get(trust.CERTIFICATE, include_in_schema=False)
    def trust_certificate() -> Response:
        if told is None:
            raise ShaftsideError(404, "not_found", tell("This server has no certificate authority of its own."))
        return Response(told.certificate, media_type=trust.CERTIFICATE_TYPE)

    _errors(app)
    app.add_middleware(Shell, https=settings.secure)
    return app


def _errors(app: FastAPI) -> None:
    async def answer(request: Request, error: ShaftsideError) -> Response:
        if request.url.path.startswith("/desk"):
            return await pages.error_page(request, error)
        return error_answer(error, getattr(request.state, "request_id", ""))

    async def ours(request: Request, error: Exception) -> Response:
        assert isinstance(error, ShaftsideError)
        return await answer(request, error)

    async def http(request: Request, error: Exception) -> Response:
        assert isinstance(error, HTTPException)
        known = {
            400: ("not_readable", tell("The request's body cannot be read as JSON.")),
            404: ("not_found", tell("There is nothing at this address.")),
            405: ("method_not_allowed", tell("This address does not take that method.")),
        }
        code, message = known.get(error.status_code, ("refused", str(error.detail)))
        said = await answer(request, ShaftsideError(error.status_code, code, message))
        said.headers.update(error.headers or {})  # which methods are allowed, when to come again
        return said

    async def validation(request: Request, error: Exception) -> Response:
        assert isinstance(error, RequestValidationError)
        details = [
            {"field": ".".join(str(part) for part in one["loc"][1:]), "message": one["msg"]}
            for one in error.errors()
        ]
        first = details[0] if details else {"field": "", "message": "not understood"}
        said = f"{first['field'] or 'The request'}: {first['message']}."
        return await answer(
            request,
            ShaftsideError(422, "bad_request", said, field=first["field"] or None, details=list(details)),
        )

    handlers: list[tuple[type[Exception], Callable[[Request, Exception], Awaitable[Response]]]] = [
        (ShaftsideError, ours), (HTTPException, http), (RequestValidationError, validation),
    ]  # fmt: skip
    for kind, handler in handlers:
        app.add_exception_handler(kind, handler)

"""The calculation sheets to read: the list, the tech note of each, the tables they use; of any handbook ever served."""

from __future__ import annotations

from functools import partial
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, Response

from shaftside.errors import ShaftsideError
from shaftside.handbook.texts import laid_in
from shaftside.pages import book, sheet_note
from shaftside.pages.ports import apart, signed_in
from shaftside.pages.render import in_language, language, page, system
from shaftside.pages.tongue import SOURCE
from shaftside.review.record import say
from shaftside.sentence import tell

router = APIRouter()


async def _handbook(request: Request) -> tuple[str, dict[str, Any], str]:
    """(hash, bundle, what to hang on links) of the handbook that was asked for, else the current one. Raises 404."""
    held = request.app.state.handbooks
    asked = request.query_params.get("handbook", "")
    current = held.current
    if not asked or asked == getattr(current, "hash", ""):
        return getattr(current, "hash", ""), book.current(request), ""
    try:
        found = await apart(held.get, asked) if len(asked) == 64 and asked.isalnum() else None
    except ValueError as problem:
        raise ShaftsideError(500, "internal", str(problem)) from problem
    if found is None:
        raise ShaftsideError(404, "no_such_handbook", tell("This server never had a handbook with that hash."))
    return found.hash, await apart(book.of, request, found), f"?handbook={asked}"


def _figures(request: Request, hash_: str) -> dict[str, Any]:
    """The drawings of a handbook, from the pack beside it, in the reader's language."""
    held, lang = request.app.state.handbooks, language(request)
    bundle = held.get(hash_)
    found: dict[str, Any] = held.figures(bundle)
    return found if lang == SOURCE else dict(laid_in(found, lang, *held.meanings(bundle, lang)))


def _units(request: Request) -> str:
    return "inch" if system(request) == "inch" else "metric"


@router.get("/desk/sheets", response_class=HTMLResponse)
async def sheets(request: Request, session: Annotated[Any, Depends(signed_in)]) -> Response:
    """Every sheet by the phase of a job, with a search."""
    hash_, bundle, more = await _handbook(request)
    find = request.query_params.get("find", "")[:100]
    every = bundle["calc"]["sheets"]
    return page(
        request,
        "sheets.html",
        session,
        groups=sheet_note.grouped(every, find, partial(in_language, request), language(request)),
        total=len(every),
        find=find,
        handbook=hash_,
        more=more,
    )


@router.get("/desk/sheets/{name}", response_class=HTMLResponse)
async def sheet(request: Request, name: str, session: Annotated[Any, Depends(signed_in)]) -> Response:
    """The tech note of a sheet. Raises no_such_sheet."""
    hash_, bundle, more = await _handbook(request)
    if name not in bundle["calc"]["sheets"]:
        raise ShaftsideError(404, "no_such_sheet", tell("There is no such sheet in this handbook."))
    pinned = bundle | {"drawings": await apart(_figures, request, hash_)} if "packs" in bundle else bundle
    made = await apart(sheet_note.note, pinned, name, _units(request), language(request))
    return page(request, "sheet.html", session, note=made, handbook=hash_, more=more)


@router.get("/desk/sheets/{name}/tables/{table}", response_class=HTMLResponse)
async def table(
    request: Request, name: str, table: str, session: Annotated[Any, Depends(signed_in)]
) -> Response:
    """One table whole. Raises no_such_sheet."""
    hash_, bundle, more = await _handbook(request)
    program = bundle["calc"]
    if name not in program["sheets"] or table not in program["tables"]:
        raise ShaftsideError(404, "no_such_sheet", tell("There is no such sheet or table in this handbook."))
    made = await apart(sheet_note.table, program, table, _units(request), language(request))
    title = say(program["sheets"][name]["title"], language(request))
    return page(
        request, "sheet_table.html", session, sheet_name=name, title=title, table=made, handbook=hash_, more=more
    )

"""A file from a phone that cannot reach the server itself: its unsent entries, or a job handed on. Read in as claimed."""

from __future__ import annotations

import json
from collections import Counter
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, Response
from starlette.datastructures import UploadFile

from shaftside.pages.ports import any_role, apart, records
from shaftside.pages.render import page
from shaftside.records import DeviceSession, Push
from shaftside.records.canonical import NotCanonical, hash_of
from shaftside.sentence import tell

router = APIRouter()
may_read_in = any_role("lead", "admin")
MOST_BYTES = 4 * 1024 * 1024
BATCH = 100
NOT_OURS = tell("This is no file of a phone: it has no list of entries. Choose the file that the app saved.")


def entries(raw: bytes) -> tuple[list[dict[str, Any]], str]:
    """(entries, \"\") of a file of unsent entries or of a job handed on, or ([], why nothing of it is taken)."""
    if len(raw) > MOST_BYTES:
        return [], tell("This file is larger than %(most)s MB. Let the phone save it without photos.", most=MOST_BYTES // 1024 // 1024)
    try:
        held = json.loads(raw)
    except (ValueError, RecursionError):
        return [], tell("This file cannot be read: it did not arrive whole, or is no file of a phone.")
    found = held.get("events") if isinstance(held, dict) else None
    if not isinstance(found, list) or not found:
        return [], NOT_OURS
    out = []
    for one in found:
        if not isinstance(one, dict) or not isinstance(one.get("event"), dict) or "hash" not in one:
            return [], NOT_OURS
        try:
            whole = hash_of(one["event"]) == one["hash"]
        except NotCanonical:
            whole = False
        if not whole:
            return [], tell("An entry in this file is not what its hash says: it was damaged or changed. Nothing was taken in.")
        out.append(one["event"])
    return out, ""


@router.get("/desk/read-in", response_class=HTMLResponse)
async def form(request: Request, session: Annotated[Any, Depends(may_read_in)]) -> Response:
    """The form for a phone's file."""
    return page(request, "carried.html", session, problem="", counts=None)


@router.post("/desk/read-in", response_class=HTMLResponse)
async def read_in(request: Request, session: Annotated[Any, Depends(may_read_in)]) -> Response:
    """Take the entries in, each under the device that wrote it, and say what became of them. Repeating it changes nothing."""
    upload = (await request.form()).get("file")
    raw = await upload.read(MOST_BYTES + 1) if isinstance(upload, UploadFile) else b""
    found, problem = await apart(entries, raw)
    if problem:
        return page(request, "carried.html", session, 422, problem=problem, counts=None)
    who = DeviceSession(session.person_id, session.device_id, session.roles, frozenset({session.person_id}))
    counts: Counter[str] = Counter()
    for at in range(0, len(found), BATCH):
        push = Push(session.device_id, None, found[at : at + BATCH], 0)
        counts.update(ack.outcome for ack in (await records(request).exchange(push, who)).acks)
    jobs = sorted({one["record"] for one in found if one.get("kind") == "job_started" and isinstance(one.get("record"), str)})
    return page(request, "carried.html", session, problem="", counts=counts, jobs=jobs)

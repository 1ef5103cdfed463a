"""Machines and positions: the list, import from CSV with a dry run, one position, a failure reported against it."""

from __future__ import annotations

import hashlib
from datetime import UTC, date, datetime
from functools import partial
from itertools import groupby
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, Response
from starlette.datastructures import UploadFile

from shaftside import calc
from shaftside.errors import ShaftsideError
from shaftside.pages import book, numbers
from shaftside.pages.acts import text
from shaftside.pages.entries import facts_shown, makers_shown
from shaftside.pages.ports import actor, any_role, apart, handbook, names, records, signed_in
from shaftside.pages.render import go, language, page
from shaftside.pages.tongue import SOURCE
from shaftside.records.event import uuid7
from shaftside.records.plant_values import that_hold
from shaftside.records.verdict import facts_wrong
from shaftside.review import ImportPlan, plan_import
from shaftside.review.importing import MOST_BYTES, Known
from shaftside.review.record import say
from shaftside.sentence import joined, tell

router = APIRouter()
may_import = any_role("planner", "lead", "admin")
SHOWN_ROWS = 300


@router.get("/desk/positions", response_class=HTMLResponse)
async def positions(request: Request, session: Annotated[Any, Depends(signed_in)]) -> Response:
    """Machines with their positions."""
    typed = {"text": request.query_params.get("text", "").strip()[:200]}
    retired = request.query_params.get("retired") == "yes"
    rows = await apart(records(request).positions, typed["text"], retired=retired)
    rows = sorted(
        rows,
        key=lambda one: (one.area.casefold(), one.machine_name.casefold(), one.machine, one.name.casefold()),
    )
    machines = [
        ({"id": machine, "name": name, "area": area}, list(held))
        for (area, name, machine), held in groupby(
            rows, key=lambda one: (one.area, one.machine_name, one.machine)
        )
    ]
    housing: dict[str, Any] = next((fact for fact in book.current(request).get("facts", []) if fact["name"] == "housing"), {})
    housings = dict(_choices(housing, language(request))) if language(request) != SOURCE else {}
    return page(request, "positions.html", session, machines=machines, typed=typed, retired=retired, housings=housings)


def _known(request: Request) -> list[Known]:
    held = records(request)
    out = []
    for row in held.positions("", retired=True):
        state = held.position(row.position).state
        out.append(
            Known(
                row.position,
                dict(state.get("machine") or {}),
                str(state.get("name", "")),
                dict(state.get("facts") or {}),
            )
        )
    return out


def _choices(fact: dict[str, Any], lang: str = SOURCE) -> list[tuple[str, str]]:
    out = []
    for one in fact.get("choices") or []:
        if isinstance(one, dict):
            out.append((str(one["word"]), say(one.get("label"), lang) or str(one["word"])))
        else:
            out.append((str(one), str(one)))
    return out


async def _import_page(
    request: Request,
    session: Any,
    pasted: str = "",
    plan: ImportPlan | None = None,
    problems: list[str] | None = None,
) -> Response:
    facts = book.current(request).get("facts", [])
    rows = sorted(plan.rows, key=lambda row: row.change != "wrong")[:SHOWN_ROWS] if plan else []
    return page(
        request,
        "import.html",
        session,
        422 if problems or (plan and plan.count("wrong")) else 200,
        plan=None if problems else plan,
        problems=problems or [],
        rows=rows,
        text=pasted,
        seen=hashlib.sha256(pasted.encode()).hexdigest(),
        say_text=partial(say, lang=language(request)),
        facts=[(fact, ", ".join(word for word, _ in _choices(fact))) for fact in facts],
    )


@router.get("/desk/positions/import", response_class=HTMLResponse)
async def import_page(request: Request, session: Annotated[Any, Depends(may_import)]) -> Response:
    """The form for a file of positions."""
    return await _import_page(request, session)


@router.post("/desk/positions/import", response_class=HTMLResponse)
async def import_file(request: Request, session: Annotated[Any, Depends(may_import)]) -> Response:
    """Dry run first; applied only when the very text that was shown comes back, and nothing is wrong."""
    form = await request.form()
    upload = form.get("file")
    raw = await upload.read(MOST_BYTES + 1) if isinstance(upload, UploadFile) and upload.filename else b""
    pasted = form.get("text")
    if not raw:
        raw = pasted.encode() if isinstance(pasted, str) else b""
    if not raw.strip():
        return await _import_page(request, session, problems=[tell("No file was chosen and nothing was pasted.")])
    held = handbook(request)
    reader = numbers.number_reader(held.get("calc", {}))
    plan = await apart(lambda: plan_import(raw, held.get("facts", []), _known(request), reader, _choices, lambda facts: _wrong(request, facts)))
    shown = _as_text(raw)
    if plan.problems:
        return await _import_page(request, session, shown, problems=plan.problems)
    seen_before = text(form, "seen") == hashlib.sha256(shown.encode()).hexdigest()
    if text(form, "apply") != "yes" or not plan.ready or not seen_before:
        return await _import_page(request, session, shown, plan)
    for row in plan.rows:
        if row.change in ("new", "changed") and row.body is not None:
            await records(request).act("position_described", row.known or uuid7(), row.body, actor(session))
    return go("/desk/positions", "imported")


def _as_text(raw: bytes) -> str:
    """The file as it goes back into the form: the same line ends a browser sends, so that its hash holds."""
    coding = "utf-16" if raw.startswith((b"\xff\xfe", b"\xfe\xff")) else "utf-8-sig"
    held = raw.decode(coding, errors="replace")
    return held.replace("\r\n", "\n").replace("\r", "\n").replace("\n", "\r\n")


async def _position_page(
    request: Request,
    session: Any,
    position_id: str,
    typed: dict[str, str],
    problems: dict[str, str],
    status: int = 200,
) -> Response:
    view = await apart(records(request).position, position_id)
    held, lang = await apart(book.current, request), language(request)
    story = [("job", one.started_at, one) for one in view.jobs] + [
        ("failure", one.found_on, one) for one in view.failures
    ]
    story.sort(key=lambda one: str(one[1]), reverse=True)
    return page(
        request,
        "position.html",
        session,
        status,
        id=view.id,
        state=view.state,
        story=story,
        due=view.due,
        answers=view.answers,
        say_text=await apart(book.loose, request),
        facts=facts_shown(view.state.get("facts") or {}, held, lang),
        makers=makers_shown(view.state.get("maker") or {}, held.get("calc", {}), lang),
        plant=await apart(_plant_values, request, view.state.get("facts") or {}),
        wrong=await apart(_wrong, request, view.state.get("facts") or {}),
        asks=_asks(held, view.state, lang),
        people=await names(request),
        typed=typed,
        problems=problems,
    )


def _plant_values(request: Request, facts: dict[str, Any]) -> list[tuple[str, str, str]]:
    """The plant's values that would be used at a position with these facts."""
    program = book.current(request).get("calc", {})
    states = records(request).plant_values.all()
    found: dict[str, Any] = {}
    for sheet in program.get("sheets", {}):
        used, _ = that_hold(program, states, sheet, facts)
        found |= {f"{sheet}.{line}": one | {"origin": ""} for line, one in used.items()}
    return makers_shown(found, program, language(request))


def _wrong(request: Request, facts: dict[str, Any]) -> list[str]:
    """What cannot be so of a position's facts together, in the reader's language."""
    held, lang = book.current(request), language(request)
    if not held.get("facts") or "units" not in held.get("calc", {}):
        return []
    return [joined(name, ": ", say(message, lang)) for name, message in facts_wrong(held, facts)]


def _asks(held: dict[str, Any], state: dict[str, Any], lang: str) -> list[tuple[str, bool]]:
    """Facts that look like a slip of the unit, and whether somebody said they are as typed."""
    program, labels = held.get("calc", {}), {one["name"]: one.get("label") for one in held.get("facts", [])}
    if "slip.more" not in program.get("words", {}).get("en", {}):
        return []
    found = calc.fact_asks(program, state.get("facts") or {})
    answers = [(one["input"], one["typed"], one["unit"]) for one in state.get("as_typed") or []]
    return [
        (calc.say_ask(program, say(labels.get(one["input"]), lang), one, lang), (one["input"], one["typed"], one["unit"]) in answers)
        for one in found
    ]


@router.get("/desk/positions/{position_id}", response_class=HTMLResponse)
async def position(
    request: Request, position_id: str, session: Annotated[Any, Depends(signed_in)]
) -> Response:
    """One position: its history in order of time, its facts, the form to report a failure."""
    return await _position_page(request, session, position_id, {}, {})


@router.post("/desk/positions/{position_id}/failure", response_class=HTMLResponse)
async def report_failure(
    request: Request, position_id: str, session: Annotated[Any, Depends(signed_in)]
) -> Response:
    """Report a failure against a position: what was seen, never why."""
    form = await request.form()
    typed = {name: text(form, name) for name in ("found_on", "text", "running_h", "appearance")}
    problems: dict[str, str] = {}
    try:
        if date.fromisoformat(typed["found_on"]) > datetime.now(UTC).date():
            problems["found_on"] = tell("Found on: this day has not come yet.")
    except ValueError:
        problems["found_on"] = tell("Found on: give the day as year-month-day, for example 2026-03-31.")
    if not typed["text"]:
        problems["text"] = tell("Say what was seen, heard or measured.")
    if len(typed["text"]) > 4000 or len(typed["appearance"]) > 4000:
        problems["text"] = tell("At most 4000 characters in each text.")
    body: dict[str, Any] = {"position": position_id, "found_on": typed["found_on"], "text": typed["text"]}
    if typed["appearance"]:
        body["appearance"] = typed["appearance"]
    if typed["running_h"]:
        reader = numbers.number_reader(handbook(request).get("calc", {}))
        hours, wrong = reader(
            typed["running_h"], {"name": "running_h", "kind": "time", "unit": "h", "bare": True}
        )
        if wrong or hours is None:
            problems["running_h"] = joined(tell("Running hours: "), wrong or "")
        else:
            body["running_h"] = hours
    if problems:
        return await _position_page(request, session, position_id, typed, problems, 422)
    await apart(records(request).position, position_id)
    failure = uuid7()
    try:
        await records(request).act("failure_reported", failure, body, actor(session))
    except ShaftsideError as error:
        return await _position_page(
            request, session, position_id, typed, {"text": error.message}, error.status
        )
    return go(f"/desk/failures/{failure}", "reported")

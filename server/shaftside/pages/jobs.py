"""Installations: the list, one with its whole history, the working, the printable record."""

from __future__ import annotations

from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, Response

from shaftside.pages import book, filters, numbers, words
from shaftside.pages.job_context import context
from shaftside.pages.job_page import Reader
from shaftside.pages.ports import apart, names, records, signed_in
from shaftside.pages.render import language, page, system
from shaftside.records import JobLine
from shaftside.records.event import wall_now
from shaftside.review import write_csv

router = APIRouter()


async def _found(request: Request) -> tuple[list[JobLine], dict[str, str], dict[str, str]]:
    query, typed, problems = filters.read_filter(request.query_params)
    rows = await apart(records(request).search, query)
    return filters.in_order(rows, typed["sort"]), typed, problems


@router.get("/desk/jobs", response_class=HTMLResponse)
async def jobs(request: Request, session: Annotated[Any, Depends(signed_in)]) -> Response:
    """The list with its filter, sorted and paged."""
    found, typed, problems = await _found(request)
    cut = len(found) > filters.MOST
    found = found[: filters.MOST]
    pages = max(1, -(-len(found) // filters.PAGE))
    asked = request.query_params.get("page", "1")
    number = min(max(int(asked) if asked.isascii() and asked.isdigit() and len(asked) < 6 else 1, 1), pages)
    first = (number - 1) * filters.PAGE
    people = await names(request)
    positions = await apart(records(request).positions, "", retired=True)
    machines = sorted(
        {(one.machine, f"{one.machine_name} ({one.machine})") for one in positions},
        key=lambda m: m[1].casefold(),
    )
    return page(
        request,
        "jobs.html",
        session,
        rows=found[first : first + filters.PAGE],
        total=len(found),
        first=first + 1,
        number=number,
        pages=pages,
        cut=cut,
        most=filters.MOST,
        typed=typed,
        problems=problems,
        filtered=any(value for name, value in typed.items() if name != "sort"),
        query=urlencode({name: value for name, value in typed.items() if value}),
        people=people,
        machines=machines,
        positions=[(one.position, f"{one.machine_name}, {one.name}") for one in positions],
        methods=list(words.METHODS.items()),
        statuses=list(words.STATUS.items()),
        verdicts=[(key, text) for key, text in words.VERDICTS.items() if key != "open"],
        persons=sorted(people.items(), key=lambda one: one[1].casefold()),
    )


@router.get("/desk/jobs.csv")
async def jobs_csv(request: Request, session: Annotated[Any, Depends(signed_in)]) -> Response:
    """The same list, with the same filter and order, whole."""
    found, _, _ = await _found(request)
    people = await names(request)
    raw = write_csv(filters.CSV_HEADER, (filters.csv_row(job, people) for job in found[: filters.MOST]))
    return Response(
        raw,
        media_type="text/csv; charset=utf-8",
        headers={
            "Content-Disposition": 'attachment; filename="installations.csv"',
            "Cache-Control": "no-store",
        },
    )


def _gone(request: Request) -> dict[str, dict[str, Any]]:
    """The plant's values that were withdrawn, by id."""
    return {one["plant_value"]: one["withdrawn"] for one in records(request).plant_values.all() if one["withdrawn"]}


async def job_parts(request: Request, job_id: str) -> dict[str, Any]:
    """Everything a page of one job is rendered with. Raises not_found."""
    view = await apart(book.of_job, request, await apart(records(request).job, job_id))
    reader = Reader(view, numbers.show, system(request), language(request), await apart(_gone, request))
    return await apart(context, view, reader, await names(request))


def nothing_typed(event: str, name: str) -> str:
    """No form was refused, so nothing was typed."""
    return ""


@router.get("/desk/jobs/{job_id}", response_class=HTMLResponse)
async def job(request: Request, job_id: str, session: Annotated[Any, Depends(signed_in)]) -> Response:
    """One installation with its whole history."""
    parts = await job_parts(request, job_id)
    return page(
        request,
        "job.html",
        session,
        may_act="lead" in session.roles,
        act_back="job",
        typed_for=nothing_typed,
        problems={},
        **parts,
    )


@router.get("/desk/jobs/{job_id}/working", response_class=HTMLResponse)
async def working(request: Request, job_id: str, session: Annotated[Any, Depends(signed_in)]) -> Response:
    """The working of every judged reading, by the job's own handbook."""
    view = await apart(book.of_job, request, await apart(records(request).job, job_id))
    reader = Reader(view, numbers.show, system(request), language(request))
    bodies = {
        one.get("event"): one.get("body", {})
        for held in view.state.get("readings", {}).values()
        for one in held.get("all", [])
    }

    def work_out() -> list[tuple[Any, dict[str, Any], str]]:
        return [
            (row, *numbers.working(reader.program, bodies.get(row.event, {}), system(request), language(request)))
            for row in reader.readings()
            if row.sheet
        ]

    return page(
        request,
        "working.html",
        session,
        id=view.id,
        state=view.state,
        people=await names(request),
        workings=await apart(work_out),
    )


@router.get("/desk/jobs/{job_id}/print", response_class=HTMLResponse)
async def printable(request: Request, job_id: str, session: Annotated[Any, Depends(signed_in)]) -> Response:
    """The record for paper: black on white, whole."""
    parts = await job_parts(request, job_id)
    return page(
        request,
        "print.html",
        session,
        may_act=False,
        act_back="job",
        typed_for=nothing_typed,
        printed=wall_now(),
        **parts,
    )

"""What a lead does at the desk: sign off, return, decide, accept, choose, agree; and a person answers a claim."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, Response
from starlette.datastructures import FormData

from shaftside.errors import ShaftsideError
from shaftside.pages import sign_off, words
from shaftside.pages.jobs import job_parts, nothing_typed
from shaftside.pages.ports import actor, check_password, records, role, signed_in
from shaftside.pages.render import go, in_language, page
from shaftside.sentence import tell

router = APIRouter()
lead = role("lead")


def text(form: FormData, name: str) -> str:
    """A field of a form as text; empty where it is missing or a file."""
    value = form.get(name)
    return value.strip() if isinstance(value, str) else ""


async def _sign_page(
    request: Request,
    session: Any,
    job_id: str,
    problems: dict[str, str] | None = None,
    typed: dict[str, str] | None = None,
    status: int = 200,
    typed_for: Callable[[str, str], str] = nothing_typed,
) -> Response:
    parts = await job_parts(request, job_id)
    return page(
        request,
        "sign.html",
        session,
        status,
        problems=problems or {},
        typed=typed or {},
        own=session.person_id in parts["state"].get("workers", []),
        may_act="lead" in session.roles,
        act_back="sign",
        typed_for=typed_for,
        **parts,
        **sign_off.parts(parts),
    )


@router.get("/desk/jobs/{job_id}/sign", response_class=HTMLResponse)
async def sign_page(request: Request, job_id: str, session: Annotated[Any, Depends(lead)]) -> Response:
    """Everything a lead has to see before signing, the worst first, and the form that signs exactly that."""
    return await _sign_page(request, session, job_id)


@router.post("/desk/jobs/{job_id}/sign", response_class=HTMLResponse)
async def sign(request: Request, job_id: str, session: Annotated[Any, Depends(lead)]) -> Response:
    """Sign off on the heads that stood in the form, after the password."""
    form = await request.form()
    heads = [head for head in form.getlist("head") if isinstance(head, str)]
    if text(form, "meaning") != "yes":
        problem = {"meaning": tell("Tick what you mean by signing; without it nothing is signed.")}
        return await _sign_page(request, session, job_id, problem, status=422)
    password = form.get("password")
    try:
        good = isinstance(password, str) and await check_password(request, session, password)
        if not good:
            problem = {"password": tell("That is not your password. Nothing was signed; type it again.")}
            return await _sign_page(request, session, job_id, problem, status=403)
        await records(request).sign(job_id, actor(session), heads, in_language(request, words.STATEMENT))
    except ShaftsideError as error:
        if error.status == 404:
            raise
        return await _sign_page(request, session, job_id, {"sign": error.message}, status=error.status)
    return go(f"/desk/jobs/{job_id}", "signed")


@router.post("/desk/jobs/{job_id}/return", response_class=HTMLResponse)
async def send_back(request: Request, job_id: str, session: Annotated[Any, Depends(lead)]) -> Response:
    """Return for rework, with the reason."""
    form = await request.form()
    reason = text(form, "reason")
    typed = {"reason": reason}
    if not reason:
        problem = {"reason": tell("Say what has to be done, and why: the technician reads it on the phone.")}
        return await _sign_page(request, session, job_id, problem, typed, 422)
    try:
        await records(request).send_back(job_id, actor(session), reason)
    except ShaftsideError as error:
        if error.status == 404:
            raise
        return await _sign_page(request, session, job_id, {"reason": error.message}, typed, error.status)
    return go(f"/desk/jobs/{job_id}", "returned")


async def _act(
    request: Request,
    job_id: str,
    session: Any,
    form: FormData,
    key: str,
    wrong: str,
    do: Callable[[], Awaitable[Any]],
    said: str,
) -> Response:
    """Do one act; a refusal shows the page the form came from, with what was typed still in it."""
    status = 422
    if not wrong:
        try:
            await do()
            back = "/sign" if text(form, "back") == "sign" else ""
            return go(f"/desk/jobs/{job_id}{back}", said)
        except ShaftsideError as error:
            if error.status == 404 and error.code == "not_found":
                raise
            wrong, status = error.message, error.status

    def typed_for(event: str, name: str) -> str:
        return text(form, name) if event == key else ""

    if text(form, "back") == "sign" and "lead" in session.roles:
        return await _sign_page(request, session, job_id, {"act": wrong}, status=status, typed_for=typed_for)
    parts = await job_parts(request, job_id)
    return page(
        request,
        "job.html",
        session,
        status,
        may_act="lead" in session.roles,
        act_back="job",
        typed_for=typed_for,
        problems={"act": wrong},
        **parts,
    )


def _reason(form: FormData) -> str:
    return "" if text(form, "reason") else tell("Give a reason: it stays in the record beside the act.")


@router.post("/desk/jobs/{job_id}/decide", response_class=HTMLResponse)
async def decide(request: Request, job_id: str, session: Annotated[Any, Depends(lead)]) -> Response:
    """Decide a deviation."""
    form = await request.form()
    event, decision = text(form, "deviation"), text(form, "decision")
    wrong = tell("Choose a decision.") if decision not in words.DECISIONS else _reason(form)
    return await _act(
        request, job_id, session, form, event, wrong,
        lambda: records(request).decide(job_id, actor(session), event, decision, text(form, "reason")), "decided",
    )  # fmt: skip


@router.post("/desk/jobs/{job_id}/accept", response_class=HTMLResponse)
async def accept(request: Request, job_id: str, session: Annotated[Any, Depends(lead)]) -> Response:
    """Accept a reading as it is."""
    form = await request.form()
    event = text(form, "event")
    return await _act(
        request, job_id, session, form, event, _reason(form),
        lambda: records(request).accept(job_id, actor(session), event, text(form, "reason")), "accepted",
    )  # fmt: skip


@router.post("/desk/jobs/{job_id}/choose", response_class=HTMLResponse)
async def choose(request: Request, job_id: str, session: Annotated[Any, Depends(lead)]) -> Response:
    """Choose between two people's readings of one thing."""
    form = await request.form()
    step, reading, chosen = text(form, "step"), text(form, "reading"), text(form, "chosen")
    wrong = _reason(form) if chosen else tell("Choose the reading that counts.")
    return await _act(
        request, job_id, session, form, f"{step}/{reading}", wrong,
        lambda: records(request).choose(job_id, actor(session), step, reading, chosen, text(form, "reason")), "chosen",
    )  # fmt: skip


@router.post("/desk/jobs/{job_id}/agree", response_class=HTMLResponse)
async def agree(request: Request, job_id: str, session: Annotated[Any, Depends(lead)]) -> Response:
    """Agree that a step does not apply."""
    form = await request.form()
    event = text(form, "event")
    return await _act(
        request, job_id, session, form, event, _reason(form),
        lambda: records(request).agree(job_id, actor(session), event, text(form, "reason")), "agreed",
    )  # fmt: skip


@router.post("/desk/jobs/{job_id}/claim", response_class=HTMLResponse)
async def claim(request: Request, job_id: str, session: Annotated[Any, Depends(signed_in)]) -> Response:
    """The person named says mine or not mine; a lead strikes out. The service rules who may."""
    form = await request.form()
    event, mine = text(form, "event"), text(form, "mine") == "yes"
    return await _act(
        request, job_id, session, form, event, _reason(form),
        lambda: records(request).answer_claim(job_id, actor(session), event, mine, text(form, "reason")), "claim",
    )  # fmt: skip

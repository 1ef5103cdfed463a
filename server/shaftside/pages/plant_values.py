"""A plant's own maker's values on the desk: the list, setting one after a preview, withdrawing one. A lead's; others read."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, Response
from starlette.datastructures import FormData

from shaftside.errors import ShaftsideError
from shaftside.pages import book
from shaftside.pages.acts import text
from shaftside.pages.entries import entry_shown, facts_shown, makers_shown, units_of
from shaftside.pages.ports import actor, apart, handbook, names, records, role, signed_in
from shaftside.pages.render import go, language, page, system
from shaftside.records.plant import preview
from shaftside.review.record import say
from shaftside.sentence import tell

router = APIRouter()
lead = role("lead")
PARTS = ("line", "value", "document", "revision", "page", "record")


def _shown(state: dict[str, Any], held: dict[str, Any], lang: str) -> dict[str, Any]:
    """One value as the list shows it."""
    made = state["value"] | {key: state[key] for key in ("document", "revision", "page")}
    ((label, value, document),) = makers_shown({state["line"] or "": made}, held["calc"], lang)
    before = [
        (
            one["name"],
            one["at"],
            entry_shown(one["value"] or {}, units_of(held["calc"], lang), None, lang),
            one["document"],
            one["revision"],
        )
        for one in state["set"][:-1]
    ]
    return {
        "id": state["plant_value"],
        "label": label,
        "value": value,
        "document": document,
        "where": facts_shown(state["where"], held, lang),
        "by": state["by"],
        "name": state["name"],
        "at": state["at"],
        "holds": state["holds"],
        "conflict": state["conflict"],
        "withdrawn": state["withdrawn"],
        "before": before,
        "sheet": (state["line"] or "").partition(".")[0],
    }


async def _list_page(
    request: Request, session: Any, problems: dict[str, str] | None = None, status: int = 200
) -> Response:
    states = await apart(records(request).plant_values.all)
    rows = [_shown(state, book.current(request), language(request)) for state in states]
    return page(
        request,
        "plant_values.html",
        session,
        status,
        holding=[row for row in rows if row["holds"]],
        others=[row for row in rows if not row["holds"]],
        people=await names(request),
        problems=problems or {},
    )


@router.get("/desk/plant-values", response_class=HTMLResponse)
async def listed(request: Request, session: Annotated[Any, Depends(signed_in)]) -> Response:
    """Every plant's value: those that hold, and those that no longer do."""
    return await _list_page(request, session)


def _fields(specs: list[dict[str, Any]], prefix: str, empty: str, lang: str) -> list[dict[str, Any]]:
    """Form fields of facts or inputs; a closed list as choices."""
    out = []
    for spec in specs:
        options = None
        if spec["kind"] == "word":
            options = [("", empty), *((one["word"], say(one["label"], lang)) for one in spec["choices"])]
        elif spec["kind"] == "yesno":
            options = [("", empty), ("yes", tell("yes")), ("no", tell("no"))]
        shown = tell("A number with its unit, for example in %(unit)s", unit=spec["unit"]) if options is None else ""
        out.append(
            {"name": prefix + spec["name"], "label": say(spec["label"], lang), "options": options, "help": shown}
        )
    return out


def _form_page(
    request: Request,
    session: Any,
    typed: dict[str, str],
    problems: dict[str, str],
    told: dict[str, Any] | None = None,
    status: int = 200,
) -> Response:
    held, lang = book.current(request), language(request)
    sheets = {
        name: one
        for name, one in held["calc"]["sheets"].items()
        if any(line.get("maker") for line in one["lines"])
    }
    sheet = typed["line"].partition(".")[0]
    made = sheets.get(sheet)
    lines = [line for line in made["lines"] if line.get("maker")] if made else []
    facts = [fact for fact in held["facts"] if fact["kind"] != "text"]
    return page(
        request,
        "plant_value.html",
        session,
        status,
        sheets=[(name, say(one["title"], lang)) for name, one in sheets.items()],
        sheet=sheet if made else "",
        title=say(made["title"], lang) if made else "",
        lines=[(f"{sheet}.{line['name']}", say(line["label"], lang)) for line in lines],
        where=_fields(facts, "where.", tell("any"), lang),
        inputs=_fields(made["inputs"], "in.", tell("not said"), lang) if made else [],
        typed=typed,
        problems=problems,
        told=told,
        cautions=made.get("cautions", []) if made else [],
    )


@router.get("/desk/plant-values/set", response_class=HTMLResponse)
async def form(request: Request, session: Annotated[Any, Depends(lead)]) -> Response:
    """The form: first which sheet, then the value. With ?value= it starts from one that was set before."""
    asked = request.query_params
    typed = dict.fromkeys(PARTS, "") | {"line": asked.get("sheet", "")[:64] + "."}
    if asked.get("value"):
        state = await apart(records(request).plant_values.one, asked["value"])
        typed = {key: str(state[key] or "") for key in ("line", "document", "revision", "page")}
        typed |= {"record": state["plant_value"], "value": _as_text(state["value"])}
        typed |= {f"where.{name}": _as_text(entry) for name, entry in state["where"].items()}
    return _form_page(request, session, typed, {})


def _as_text(entry: dict[str, Any]) -> str:
    """An entry as it goes back into a field."""
    if "yes" in entry:
        return "yes" if entry["yes"] else "no"
    return str(entry.get("word") or f"{entry.get('typed', '')} {entry.get('unit', '')}".strip())


def _body(form: FormData) -> tuple[dict[str, str], dict[str, Any], dict[str, str]]:
    """(all that was typed, the value's body, the inputs to try it on)."""
    typed = {
        name: text(form, name)
        for name in [*PARTS, *(one for one in form if one.startswith(("where.", "in.")))]
    }

    def under(prefix: str) -> dict[str, str]:
        return {name[len(prefix) :]: one for name, one in typed.items() if name.startswith(prefix) and one}

    return (
        typed,
        {key: typed[key] for key in PARTS if key != "record"} | {"where": under("where.")},
        under("in."),
    )


@router.post("/desk/plant-values/set", response_class=HTMLResponse)
async def set_value(request: Request, session: Annotated[Any, Depends(lead)]) -> Response:
    """Preview a value, or set it."""
    form = await request.form()
    typed, body, inputs = _body(form)
    held = handbook(request)
    units = "inch" if system(request) == "inch" else "metric"
    try:
        told = await apart(preview, await apart(book.current, request), body, inputs, units, language(request))
        if text(form, "do") != "set":
            return _form_page(request, session, typed, {}, told)
        await records(request).plant_values.set(actor(session), held, body, typed["record"] or None)
    except ShaftsideError as error:
        if error.status == 404:
            raise
        field = error.field or "form"
        known = field in ("line", "value", "document", "form") or field.startswith("where.")
        return _form_page(
            request, session, typed, {field if known else f"in.{field}": error.message}, None, error.status
        )
    return go("/desk/plant-values", "saved")


@router.post("/desk/plant-values/{value}/withdraw", response_class=HTMLResponse)
async def withdraw(request: Request, value: str, session: Annotated[Any, Depends(lead)]) -> Response:
    """Withdraw a value, with the reason."""
    form = await request.form()
    try:
        await records(request).plant_values.withdraw(actor(session), value, text(form, "reason"))
    except ShaftsideError as error:
        if error.status == 404:
            raise
        return await _list_page(request, session, {value: error.message}, error.status)
    return go("/desk/plant-values", "withdrawn")

"""Labels for machines: a sheet to print, each with a QR code that opens the position on a phone, and a short code to type."""

from __future__ import annotations

import re
from typing import Annotated, Any

import segno
from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, Response
from markupsafe import Markup

from shaftside.errors import ShaftsideError
from shaftside.pages.ports import apart, records, signed_in
from shaftside.pages.render import page
from shaftside.records.label_code import label_code
from shaftside.sentence import tell

router = APIRouter()
MOST = 200
_ID = re.compile(r"^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$")


def address(base: str, position: str) -> str:
    """Where the label leads: a phone's own camera app opens it, and the app's scanner reads the id from it."""
    return f"{base.rstrip('/')}/phone/#/position/{position}"


def drawing(text: str) -> Markup:
    """The QR code as SVG, level M, with its quiet zone of four modules (ISO/IEC 18004)."""
    # segno writes paths and numbers only; nothing of the text stands in the SVG as text
    return Markup(segno.make(text, error="m", micro=False, boost_error=False).svg_inline(border=4, omitsize=True, light="#fff"))


@router.get("/desk/labels", response_class=HTMLResponse)
async def labels(request: Request, session: Annotated[Any, Depends(signed_in)]) -> Response:
    """Without positions: choose some. With `position=ID` once or more: the sheet to print. Raises 413 for more than 200."""
    chosen = [one for one in dict.fromkeys(request.query_params.getlist("position")) if _ID.match(one)]
    if len(chosen) > MOST:
        raise ShaftsideError(413, "too_large", tell("Print at most %(most)s labels at once.", most=MOST), "position", f"1 to {MOST}")
    rows = await apart(records(request).positions, "")
    rows = sorted(rows, key=lambda one: (one.area.casefold(), one.machine_name.casefold(), one.name.casefold()))
    if not chosen:
        return page(request, "labels.html", session, rows=rows, cards=None)
    base = str(request.base_url)
    cards = [
        {"row": row, "code": label_code(row.position), "qr": drawing(address(base, row.position))}
        for row in rows
        if row.position in chosen
    ]
    return page(request, "labels.html", session, rows=rows, cards=cards)

"""The one error shape of the API, and JSON that is already bytes."""

from __future__ import annotations

from typing import Any

from fastapi.responses import JSONResponse, Response
from pydantic import BaseModel, ConfigDict

from shaftside.errors import ShaftsideError


class Strict(BaseModel):
    """What comes in: nothing unknown, nothing bent into shape."""

    model_config = ConfigDict(extra="forbid", strict=True)


class Refusal(BaseModel):
    """What is wrong and what to do; field: the input at fault; request: the id to quote."""

    code: str
    message: str
    field: str | None
    expects: str | None
    details: list[Any]
    request: str


class Refused(BaseModel):
    """The body of every answer that is not a success."""

    error: Refusal


def error_body(error: ShaftsideError, request_id: str) -> dict[str, Any]:
    """`{"error": {code, message, field, expects, details, request}}`."""
    return {
        "error": {
            "code": error.code, "message": error.message, "field": error.field,
            "expects": error.expects, "details": error.details, "request": request_id,
        }
    }  # fmt: skip


def error_answer(error: ShaftsideError, request_id: str) -> JSONResponse:
    """The answer for an error."""
    return JSONResponse(error_body(error, request_id), status_code=error.status)


def ready(body: bytes, **headers: str) -> Response:
    """JSON bytes as they are: what is hashed must not be written again."""
    return Response(body, media_type="application/json", headers=headers)

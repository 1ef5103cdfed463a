"""The handbook: one immutable document, as the exact bytes its hash is of."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Request, Response

from shaftside.api.shape import ready
from shaftside.errors import ShaftsideError

router = APIRouter(prefix="/api/handbook", tags=["handbook"])


@router.get("")
def current(request: Request) -> Response:
    """The bundle that new work starts with."""
    bundle = request.app.state.handbooks.current
    etag = f'"{bundle.hash}"'
    if request.headers.get("if-none-match") == etag:
        return Response(status_code=304, headers={"ETag": etag})
    return ready(bundle.bytes, ETag=etag, **{"Cache-Control": "no-cache", "X-Handbook": bundle.hash})


@router.get("/{hash}")
def by_hash(request: Request, hash: Annotated[str, Path(pattern=r"^[0-9a-f]{64}$")]) -> Response:
    """Any bundle that was ever served."""
    bundle = request.app.state.handbooks.get(hash)
    if bundle is None:
        raise ShaftsideError(404, "no_such_handbook", "This server never had a handbook with that hash.")
    return ready(bundle.bytes, **{"Cache-Control": "public, max-age=31536000, immutable"})

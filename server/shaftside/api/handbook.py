"""The handbook: an immutable document and its packs, each as the exact bytes its hash is of."""

from __future__ import annotations

from functools import lru_cache
from typing import Annotated, Any

from fastapi import APIRouter, Path, Request, Response

from shaftside.errors import ShaftsideError
from shaftside.packing import Packed, choose, pack

router = APIRouter(prefix="/api/handbook", tags=["handbook"])


@router.get("")
def current(request: Request) -> Response:
    """The bundle that new work starts with."""
    return _answer(request, request.app.state.handbooks.current, "no-cache")


@router.get("/{hash}")
def by_hash(request: Request, hash: Annotated[str, Path(pattern=r"^[0-9a-f]{64}$")]) -> Response:
    """Any bundle or pack that was ever served."""
    bundle = request.app.state.handbooks.document(hash)
    if bundle is None:
        raise ShaftsideError(404, "no_such_handbook", "This server never had a handbook with that hash.")
    return _answer(request, bundle, "public, max-age=31536000, immutable")


def _answer(request: Request, bundle: Any, cache: str) -> Response:
    """The bundle's bytes, packed for whoever can unpack them: over a phone's network that is most of a first visit."""
    form = choose(_packed(bundle.hash, bundle.bytes), request.headers.get("accept-encoding", ""))
    etag = f'"{bundle.hash}{f"-{form[0]}" if form else ""}"'
    headers = {"Cache-Control": cache, "ETag": etag, "Vary": "Accept-Encoding", "X-Handbook": bundle.hash}
    if request.headers.get("if-none-match") == etag:
        return Response(status_code=304, headers=headers)
    content = bundle.bytes
    if form:
        headers["Content-Encoding"], content = form
    return Response(content, media_type="application/json", headers=headers)


@lru_cache(maxsize=16)
def _packed(hash: str, content: bytes) -> Packed:
    return pack(content)

"""Photos by the hash of what the phone sent."""

from __future__ import annotations

import asyncio
from typing import Annotated

from fastapi import APIRouter, Depends, Path, Request
from fastapi.responses import FileResponse

from shaftside.errors import ShaftsideError
from shaftside.people import Session
from shaftside.people.guard import signed_in
from shaftside.photo_store import FORMATS, MOST_BYTES, PhotoStore, too_large, unsupported

router = APIRouter(prefix="/api/photos", tags=["photos"])
Hash = Annotated[str, Path(pattern=r"^[0-9a-f]{64}$")]
Signed = Annotated[Session, Depends(signed_in)]


def _store(request: Request) -> PhotoStore:
    found: PhotoStore = request.app.state.photos
    return found


@router.put("/{sha256}", status_code=201)
async def put(request: Request, sha256: Hash, session: Signed) -> dict[str, str]:
    """Keep a photo. The body is the picture itself. Idempotent."""
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind not in FORMATS:
        raise unsupported(kind)
    body = bytearray()
    async for piece in request.stream():
        body += piece
        if len(body) > MOST_BYTES:
            raise too_large()
    async with request.app.state.drawing:  # a picture of 40 million pixels takes 120 MB while it is drawn anew
        kept = await asyncio.to_thread(_store(request).put, sha256, bytes(body), kind)
    return {"sha256": kept.sent, "kept": kept.kept}


@router.get("/{sha256}")
def get(request: Request, sha256: Hash, session: Signed) -> FileResponse:
    """A photo, as it was written anew, without its metadata."""
    found = _store(request).find(sha256)
    if found is None:
        raise ShaftsideError(404, "not_found", "That photo has not arrived.")
    ending = "png" if found.type == "image/png" else "jpg"
    headers = {
        "Cache-Control": "private, max-age=31536000, immutable",
        "Content-Disposition": f'inline; filename="photo-{sha256[:12]}.{ending}"',
        "Content-Security-Policy": "sandbox; default-src 'none'",
    }
    return FileResponse(found.path, media_type=found.type, headers=headers)

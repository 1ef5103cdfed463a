"""Photos as files, found by the hash of the bytes that the phone sent.

What is kept is not what was sent: the picture is decoded, turned upright, and written anew without its metadata
(place, owner, device), so that no other file hides in it. `sent/<hash>` names the kept file and its type.
Temp, fsync, rename, fsync the folder: a hash that can be found has its whole picture.
"""

from __future__ import annotations

import hashlib
import io
import json
import os
import re
import shutil
import struct
import uuid
from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageOps

from shaftside.errors import ShaftsideError

MOST_BYTES = 10 * 1024 * 1024
MOST_PIXELS = 40_000_000
LEAST_FREE = 200 * 1024 * 1024
FORMATS = {"image/jpeg": "JPEG", "image/png": "PNG", "image/webp": "WEBP"}
_HASH = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True)
class Photo:
    """A kept picture. sent: hash of what the phone sent. kept: hash of the file at `path`. bytes: its size."""

    sent: str
    kept: str
    type: str
    bytes: int
    path: Path


class PhotoStore:
    """A folder of photos; made when the first one comes."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def find(self, sent: str) -> Photo | None:
        """The photo whose sent bytes have this SHA-256 (64 hex digits), or None."""
        if not _HASH.fullmatch(sent):
            return None
        try:
            told = json.loads((self.folder / "sent" / sent).read_text(encoding="ascii"))
        except FileNotFoundError:
            return None
        return Photo(sent, told["kept"], told["type"], told["bytes"], self.folder / "kept" / told["kept"])

    def has(self, sent: str) -> bool:
        """Whether this photo is here."""
        return self.find(sent) is not None

    def path(self, sent: str) -> Path | None:
        """The file of the kept picture, or None."""
        found = self.find(sent)
        return found.path if found else None

    def put(self, sent: str, content: bytes, kind: str) -> Photo:
        """Keep a photo; the same one again is the same answer.

        Raises ShaftsideError: bad_hash, hash_differs, too_large, unsupported_type, not_a_picture, too_many_pixels, disk_full.
        """
        if not _HASH.fullmatch(sent):
            raise ShaftsideError(
                422, "bad_hash", "A photo is named by the SHA-256 of its bytes.", "sha256", "64 hex digits"
            )
        if len(content) > MOST_BYTES:
            raise too_large()
        if kind not in FORMATS:
            raise unsupported(kind)
        if hashlib.sha256(content).hexdigest() != sent:
            raise ShaftsideError(
                422, "hash_differs", "The photo did not arrive as it was sent. Send it again.", "sha256"
            )
        found = self.find(sent)
        if found is not None:
            return found
        clean, kind = _written_anew(content, FORMATS[kind])
        kept = hashlib.sha256(clean).hexdigest()
        for part in ("kept", "sent"):
            (self.folder / part).mkdir(parents=True, exist_ok=True)
        if shutil.disk_usage(self.folder).free < LEAST_FREE:
            raise ShaftsideError(
                507, "disk_full", "The server's disk is nearly full: it takes no photos now. The phone keeps this one."
            )
        path = self.folder / "kept" / kept
        _write(path, clean)
        told = {"kept": kept, "type": kind, "bytes": len(clean)}
        _write(self.folder / "sent" / sent, json.dumps(told).encode("ascii"))
        return Photo(sent, kept, kind, len(clean), path)


def too_large() -> ShaftsideError:
    """The refusal of a photo over the limit."""
    return ShaftsideError(413, "too_large", "A photo may have 10 MiB at most.", expects="10 MiB at most")


def unsupported(kind: str) -> ShaftsideError:
    """The refusal of a type that is not taken."""
    told = kind[:60] or "something without a type"
    return ShaftsideError(
        415,
        "unsupported_type",
        f"A photo comes as JPEG, PNG or WebP, not as {told}.",
        "content-type",
        ", ".join(FORMATS),
    )


def _written_anew(content: bytes, wanted: str) -> tuple[bytes, str]:
    """The same picture, upright, without metadata: JPEG, or PNG where it came as PNG."""
    try:
        with Image.open(io.BytesIO(content), formats=[wanted]) as opened:
            width, height = opened.size  # from the header; nothing is unpacked yet
            if width * height > MOST_PIXELS:
                raise _too_many(f"The photo has {width} by {height} pixels")
            opened.load()
            upright = ImageOps.exif_transpose(opened)
    except Image.DecompressionBombError as problem:
        raise _too_many("The photo has far too many pixels") from problem
    except (OSError, SyntaxError, ValueError, EOFError, IndexError, TypeError, struct.error) as problem:
        raise ShaftsideError(
            422,
            "not_a_picture",
            f"This is not a whole {wanted} picture: it is cut short, damaged or another kind of file.",
        ) from problem
    out = io.BytesIO()
    if wanted == "PNG":
        clear = "A" in upright.getbands() or "transparency" in upright.info
        _bare(upright.convert("RGBA" if clear else "RGB")).save(out, "PNG")
        return out.getvalue(), "image/png"
    _bare(upright.convert("RGB")).save(out, "JPEG", quality=88)
    return out.getvalue(), "image/jpeg"


def _too_many(what: str) -> ShaftsideError:
    return ShaftsideError(
        413, "too_many_pixels", f"{what}; 40 million are the most.", expects="40 million pixels at most"
    )


def _bare(picture: Image.Image) -> Image.Image:
    """The pixels alone: what a format would carry over from `info` is left behind."""
    bare = Image.new(picture.mode, picture.size)
    bare.paste(picture)
    return bare


def _write(path: Path, content: bytes) -> None:
    beside = path.with_name(f".{path.name}.{uuid.uuid4().hex}")
    try:
        with beside.open("xb") as out:
            out.write(content)
            out.flush()
            os.fsync(out.fileno())
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)

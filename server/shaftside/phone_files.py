"""The phone app's files: read once at start, served under /phone with their hashes; the service worker's first line."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from dataclasses import dataclass
from pathlib import Path

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from shaftside.errors import ShaftsideError
from shaftside.packing import Packed, choose, pack
from shaftside.script import shortened
from shaftside.strip_js import NotUnderstood, strip

TYPES = {
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".html": "text/html; charset=utf-8",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".webmanifest": "application/manifest+json",
    ".woff2": "font/woff2",
    ".txt": "text/plain; charset=utf-8",
    "": "text/plain; charset=utf-8",  # LICENSE
}
NOT_SERVED = {"vendor.toml", "vendor.lock.json", "types.js"}  # types.js: shapes for the checker, no code
NOT_LISTED = {"sw.js"}
FIRST = ("", "sw.js", "boot.js", "worker_url.js")  # with styles, font and icons: what a first visit asks for beside the pack
LISTED_HASH = 16  # figures of SHA-256 that the worker checks: 64 bits tell a damaged or mixed-up file; who may send it is https's to say
SQUEEZED_LEAST = 200  # bytes; below that the packing is as long as what it saves
WORKER_POLICY = "default-src 'none'; script-src 'self'; connect-src 'self'"
_IMPORT_MAP = re.compile(r'<script type="importmap">(.*?)</script>', re.DOTALL)


class PhoneFilesMissing(Exception):
    """The folder does not hold the phone app; the message says what lacks."""


@dataclass(frozen=True)
class File:
    """One file as it is served. squeezed: its packed forms; none for what is small or packed already."""

    content: bytes
    type: str
    sha256: str
    squeezed: Packed

    @classmethod
    def of(cls, content: bytes, type: str) -> File:
        """With its hash and, for text, its packed forms; the same bytes every time."""
        squeezed: Packed = ()
        if type.startswith(("text/", "image/svg", "application/")) and len(content) >= SQUEEZED_LEAST:
            squeezed = pack(content)
        return cls(content, type, hashlib.sha256(content).hexdigest(), squeezed)


class PhoneFiles:
    """Everything under web/, by its path below /phone/. Only what was there at the start can ever be served."""

    def __init__(self, folder: Path) -> None:
        """Raises PhoneFilesMissing without index.html, its import map or sw.js."""
        found: dict[str, File] = {}
        for path in sorted(folder.rglob("*")):
            name = path.relative_to(folder).as_posix()
            hidden = any(
                part.startswith(".") or part in ("node_modules", "tests") for part in Path(name).parts
            )
            if path.is_file() and not hidden and name not in NOT_SERVED and path.suffix in TYPES:
                found[name] = File.of(_as_served(path, name), TYPES[path.suffix])
        if "index.html" not in found or "sw.js" not in found:
            raise PhoneFilesMissing(f"{folder} does not hold the phone app: index.html or sw.js is missing")
        match = _IMPORT_MAP.search(found["index.html"].content.decode())
        if match is None:
            raise PhoneFilesMissing(f"{folder}/index.html has no import map")
        self.import_map_hash = base64.b64encode(hashlib.sha256(match.group(1).encode()).digest()).decode()
        self.assets = [
            {
                "path": "/phone/" if name == "index.html" else f"/phone/{name}",
                "hash": file.sha256[:LISTED_HASH],
            }
            for name, file in found.items()
            if name not in NOT_LISTED and Path(name).name != "LICENSE"
        ]
        worker = found["sw.js"].content
        whole = json.dumps(self.assets).encode() + worker
        self.version = hashlib.sha256(whole).hexdigest()[:16]
        found["pack"] = File.of(_packed(found), "application/json")
        first = json.dumps(
            {"version": self.version, "pack": "/phone/pack", "assets": self.assets}, separators=(",", ":")
        )
        found["sw.js"] = File.of(f"const SHAFTSIDE = {first};\n".encode() + worker, TYPES[".js"])
        found[""] = found.pop("index.html")
        self.files = found

    def weight(self, coding: str) -> tuple[int, int]:
        """(own scripts packed together, whole first visit without pictures), bytes as sent in a coding: br or gzip."""
        ours = [
            [name, file.content.decode()]
            for name, file in self.files.items()
            if name.endswith(".js") and not name.startswith("vendor/")
        ]
        scripts = dict(pack(json.dumps(ours, ensure_ascii=False).encode()))[coding]
        visit = [
            file
            for name, file in self.files.items()
            if name == "pack" or name in FIRST or name.endswith((".css", ".svg", ".woff2", ".webmanifest"))
        ]
        return len(scripts), sum(len(dict(file.squeezed).get(coding, file.content)) for file in visit)

    def router(self) -> APIRouter:
        """Public routes `/phone`, `/phone/` and `/phone/{path}`."""
        out = APIRouter(include_in_schema=False)
        out.add_api_route("/phone", _to_slash, methods=["GET"])
        out.add_api_route("/phone/{path:path}", self._serve, methods=["GET", "HEAD"])
        return out

    async def _serve(self, request: Request, path: str) -> Response:
        file = self.files.get("" if path == "index.html" else path)
        if file is None:
            raise ShaftsideError(404, "not_found", "The phone app has no such file.")
        # always asked again, rarely sent again: an old module beside a new one would be a broken app
        headers = {"Cache-Control": "no-cache", "Vary": "Accept-Encoding"}
        if path == "sw.js":
            headers["Content-Security-Policy"] = WORKER_POLICY
        body = file.content
        tag = file.sha256[:32]
        if (form := choose(file.squeezed, request.headers.get("accept-encoding", ""))) is not None:
            headers["Content-Encoding"], body = form
            tag += f"-{form[0]}"
        headers["ETag"] = f'"{tag}"'
        held = [one.strip().removeprefix("W/") for one in request.headers.get("if-none-match", "").split(",")]
        if headers["ETag"] in held:
            headers.pop("Content-Encoding", None)
            return Response(status_code=304, headers=headers)
        return Response(body, media_type=file.type, headers=headers)


def _as_served(path: Path, name: str) -> bytes:
    """A file's bytes; ours of the scripts shortened, others' only without comments. Raises PhoneFilesMissing for a damaged one."""
    content = path.read_bytes()
    if path.suffix != ".js":
        return content
    try:
        text = content.decode("utf-8")
        return (strip(text) if name.startswith("vendor/") else shortened(text)).encode("utf-8")
    except (NotUnderstood, UnicodeDecodeError) as problem:
        raise PhoneFilesMissing(f"{path} cannot be read as a script: {problem}") from problem


def _packed(found: dict[str, File]) -> bytes:
    """The listed texts as `[path, text, headers]` in one JSON: packed together they are a fifth smaller than each alone.

    The page itself is not in it: it comes with the headers of its answer, the content policy among them. The reader of
    labels is not in it either: the worker fetches it by itself, for the day a label is scanned with no network.
    """
    texts = [
        [f"/phone/{name}", file.content.decode(), [["content-type", file.type]]]
        for name, file in found.items()
        if name not in {*NOT_LISTED, "index.html"} and Path(name).name != "LICENSE" and not name.startswith("vendor/qr/") and file.squeezed
    ]
    return json.dumps(texts, ensure_ascii=False, separators=(",", ":")).encode()


async def _to_slash() -> Response:
    """The service worker's scope is /phone/, with its slash."""
    return RedirectResponse("/phone/", 308)

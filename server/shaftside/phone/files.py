"""The phone app's files: read and joined once at start, served under /phone with their hashes; the service worker's first line."""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import dataclass
from pathlib import Path

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from shaftside.errors import ShaftsideError
from shaftside.packing import Packed, choose, pack
from shaftside.phone.linking import attach, link, needs
from shaftside.phone.script import shortened
from shaftside.phone.strip_js import NotUnderstood, strip

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
ENTRY = "app.js"  # the module that starts the app; with all it needs it is sent as one script
NOT_LISTED = {"sw.js"}
SQUEEZED_LEAST = 200  # bytes; below that the packing is as long as what it saves
WORKER_POLICY = "default-src 'none'; script-src 'self'; connect-src 'self'"
_IMPORT_MAP = re.compile(r'<script type="importmap">(.*?)</script>\n?', re.DOTALL)


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
        paths = {name: path for path in sorted(folder.rglob("*")) if (name := _served_name(folder, path)) is not None}
        if not {"index.html", "sw.js", ENTRY} <= paths.keys():
            raise PhoneFilesMissing(f"{folder} does not hold the phone app: index.html, {ENTRY} or sw.js is missing")
        page = paths["index.html"].read_text(encoding="utf-8")
        if (named := _IMPORT_MAP.search(page)) is None:
            raise PhoneFilesMissing(f"{folder}/index.html has no import map")
        scripts = _scripts(paths, json.loads(named[1]).get("imports", {}))
        made = scripts | {"index.html": _plain(page).encode()}
        found = {
            name: File.of(made[name] if name in made else path.read_bytes(), TYPES[path.suffix])
            for name, path in paths.items()
            if name in made or path.suffix != ".js"
        }
        self.assets = [
            {
                "path": "/phone/" if name == "index.html" else f"/phone/{name}",
                "hash": file.sha256,
            }
            for name, file in found.items()
            if name not in NOT_LISTED and Path(name).name != "LICENSE"
        ]
        worker = found["sw.js"].content
        whole = json.dumps(self.assets).encode() + worker
        self.version = hashlib.sha256(whole).hexdigest()[:16]
        first = json.dumps({"version": self.version, "assets": self.assets}, separators=(",", ":"))
        found["sw.js"] = File.of(f"const SHAFTSIDE = {first};\n".encode() + worker, TYPES[".js"])
        found[""] = found.pop("index.html")
        self.files = found

    def weight(self, coding: str) -> tuple[int, int]:
        """(the app's script with the libraries in it, whole first visit without pictures), bytes as sent: br or gzip."""

        def sent(name: str) -> int:
            file = self.files[name]
            return len(dict(file.squeezed).get(coding, file.content))

        endings = (".css", ".svg", ".woff2", ".webmanifest")
        visit = [name for name in self.files if name in ("", ENTRY, "sw.js") or name.endswith(endings)]
        return sent(ENTRY), sum(sent(name) for name in visit)

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


def _served_name(folder: Path, path: Path) -> str | None:
    """A file's path below the folder; None for what no phone gets."""
    name = path.relative_to(folder).as_posix()
    hidden = any(part.startswith(".") or part in ("node_modules", "tests") for part in name.split("/"))
    return name if path.is_file() and not hidden and name not in NOT_SERVED and path.suffix in TYPES else None


def _plain(page: str) -> str:
    """The page for the joined script: nothing asks the import map any more, and the script is no module."""
    return _IMPORT_MAP.sub("", page).replace(f'<script type="module" src="/phone/{ENTRY}">', f'<script defer src="/phone/{ENTRY}">')


def _scripts(paths: dict[str, Path], named: dict[str, str]) -> dict[str, bytes]:
    """Every script by its name as it is sent: the app joined into one, what comes later each by itself, without comments and
    shortened. Raises PhoneFilesMissing where one cannot be read or joined."""
    named = {name: path.removeprefix("/phone/") for name, path in named.items()}
    bare = {name: _bare(path, name) for name, path in paths.items() if path.suffix == ".js"}
    try:
        linked = link(ENTRY, bare.__getitem__, named, lambda _, text: shortened(text))
        later = {
            name: shortened(attach(name, text, linked, named) if needs(name, text, named) & linked.offers.keys() else text)
            for name, text in bare.items()
            if name not in linked.offers
        }
    except NotUnderstood as problem:
        raise PhoneFilesMissing(f"the phone app cannot be joined: {problem}") from problem
    return {name: text.encode() for name, text in (later | {ENTRY: linked.sent}).items()}


def _bare(path: Path, name: str) -> str:
    """A script without its comments. Raises PhoneFilesMissing for a damaged one."""
    try:
        return strip(path.read_text(encoding="utf-8"))
    except (UnicodeDecodeError, NotUnderstood) as problem:
        raise PhoneFilesMissing(f"{path} cannot be read as a script: {problem}") from problem


async def _to_slash() -> Response:
    """The service worker's scope is /phone/, with its slash."""
    return RedirectResponse("/phone/", 308)

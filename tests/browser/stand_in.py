"""A small server for the app's life on a phone: serves a web folder that a test may change, and answers the few calls.

It judges nothing. The whole story against the real server is in test_phone_story.py.
"""

from __future__ import annotations

import base64
import hashlib
import json
import re
import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

MIME = {
    ".js": "text/javascript",
    ".css": "text/css",
    ".html": "text/html; charset=utf-8",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".webmanifest": "application/manifest+json",
    ".woff2": "font/woff2",
}
UNLISTED = ("sw.js", "vendor.toml", "vendor.lock.json")


def text(words: str) -> dict[str, str]:
    """A handbook text."""
    return {"en": words}


STEPS = [
    {"step": "lock", "phase": "make_safe", "do": text("Lock every isolator."), "readings": [], "not_applicable": "lead", "needs": []},
    {"step": "note", "phase": "prepare", "do": text("Write down what you see."), "needs": [], "not_applicable": "reason",
     "readings": [{"reading": "seen", "label": text("What you see"), "kind": "text", "required": True}]},
]
LATER = [{"follow_up": f"look_{n}", "title": text(f"Look at the lock, {n}"), "why": text("Locked out."), "after": {"running_h": n}} for n in (24, 168)]
BUNDLE: dict[str, Any] = {
    "format": 1,
    "languages": ["en"],
    "calc": {"evaluator": 1, "units": {}, "kinds": {}, "words": {"en": {}}, "tables": {}, "sheets": {}},
    "facts": [{"name": "locking_method", "label": text("Locking"), "kind": "word", "asked_for": ["ring_set_screws"],
               "choices": [{"word": "ring_set_screws", "label": text("Set screws")}]}],
    "methods": {"ring_set_screws": {"title": text("Set screws")}},
    "procedures": {"ring_set_screws_mount": {"procedure": "ring_set_screws_mount", "method": "ring_set_screws", "work": "mount",
                   "title": text("Mount"), "source": {"text": "none", "certainty": "common_practice"}, "cautions": [], "steps": STEPS, "follow_ups": LATER}},
}


class StandIn:
    """`with StandIn(folder) as server:` serves `folder` on loopback; `stop()` and `start()` cut and restore the network."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.port = 0
        self.events: list[dict[str, Any]] = []
        self.asked: list[str] = []
        self.outcomes: dict[str, dict[str, str]] = {}  # by event kind, where it is not simply kept
        self.server: ThreadingHTTPServer | None = None
        self.start()

    @property
    def address(self) -> str:
        """Where the phone reaches it."""
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        """Bring the network (back), on the same port."""
        self.server = ThreadingHTTPServer(("127.0.0.1", self.port), handler(self))
        self.server.daemon_threads = True
        self.port = self.server.server_address[1]
        threading.Thread(target=self.server.serve_forever, daemon=True).start()

    def stop(self) -> None:
        """Cut it: nothing listens any more."""
        if self.server:
            self.server.shutdown()
            self.server.server_close()
            self.server = None

    def assets(self) -> list[dict[str, str]]:
        """What the service worker must hold, by the contract's preamble."""
        listed = []
        for path in sorted(self.folder.rglob("*")):
            name = path.relative_to(self.folder).as_posix()
            if path.is_dir() or name in UNLISTED or "LICENSE" in name:
                continue
            address = "/phone/" if name == "index.html" else f"/phone/{name}"
            listed.append({"path": address, "hash": hashlib.sha256(path.read_bytes()).hexdigest()})
        return listed

    def worker(self) -> bytes:
        """sw.js with its first line."""
        assets = self.assets()
        version = hashlib.sha256(json.dumps(assets).encode()).hexdigest()[:16]
        return f"const SHAFTSIDE = {json.dumps({'version': version, 'assets': assets})};\n".encode() + (self.folder / "sw.js").read_bytes()

    def policy(self) -> str:
        """The strict header, with the import map's hash."""
        found = re.search(r'<script type="importmap">(.*?)</script>', (self.folder / "index.html").read_text(encoding="utf-8"), re.S)
        assert found
        digest = base64.b64encode(hashlib.sha256(found[1].encode()).digest()).decode()
        return (
            f"default-src 'none'; script-src 'self' 'sha256-{digest}'; style-src 'self'; img-src 'self' blob: data:; "
            "connect-src 'self'; font-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; "
            "frame-ancestors 'none'; base-uri 'none'; object-src 'none'; require-trusted-types-for 'script'; "
            "trusted-types lit-html app"
        )

    def __enter__(self) -> StandIn:
        return self

    def __exit__(self, *_: object) -> None:
        self.stop()


def handler(owner: StandIn) -> type[BaseHTTPRequestHandler]:
    """Request handling bound to one StandIn."""

    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def log_message(self, format: str, *args: object) -> None:
            owner.asked.append(self.path)

        def give(self, body: bytes, mime: str = "application/json", status: int = 200) -> None:
            self.send_response(status)
            self.send_header("content-type", mime)
            self.send_header("content-length", str(len(body)))
            self.send_header("content-security-policy", owner.policy())
            self.send_header("cache-control", "no-cache")
            self.send_header("connection", "close")
            self.end_headers()
            self.wfile.write(body)

        def do_GET(self) -> None:
            name = self.path.split("?")[0]
            if name == "/phone/sw.js":
                self.give(owner.worker(), MIME[".js"])
            elif name.startswith("/phone/"):
                path = owner.folder / (name.removeprefix("/phone/") or "index.html")
                self.give(path.read_bytes(), MIME.get(path.suffix, "text/plain")) if path.is_file() else self.give(b"", status=404)
            elif name.startswith("/api/handbook"):
                self.give(json.dumps(BUNDLE, ensure_ascii=False, separators=(",", ":")).encode())
            else:
                self.give(b'{"error":{"code":"not_found","message":"Not here."}}', status=404)

        def do_POST(self) -> None:
            body = json.loads(self.rfile.read(int(self.headers["content-length"])))
            if self.path == "/api/sign-in":
                self.give(json.dumps({"person": {"id": f"p-{body['login']}", "name": body["login"].title(), "roles": ["technician"]}}).encode())
            elif self.path == "/api/sync":
                acks = []
                for event in body["events"]:
                    import rfc8785

                    owner.events.append(event)
                    acks.append({"id": event["id"], "hash": hashlib.sha256(rfc8785.dumps(event)).hexdigest(), "position": len(owner.events),
                                 "received": "2026-11-25T00:00:00.000Z", "outcome": "kept"} | owner.outcomes.get(event["kind"], {}))
                self.give(json.dumps({"acks": acks, "events": [], "cursor": "1", "more": False, "server_time": ""}).encode())
            else:
                self.give(b"{}")

    return Handler

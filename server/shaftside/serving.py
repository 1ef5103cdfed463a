"""Running the server: checks before the first request, what is printed at the start, and the end."""

from __future__ import annotations

import ipaddress
import logging
import sys
import threading
from typing import Any

import uvicorn

from shaftside import logs, tls, trust
from shaftside.app import Rooms, create_app
from shaftside.settings import Settings

INSECURE = (
    "Plain http beyond this machine: passwords and records can be read on the way, and phones will not\n"
    "work offline (browsers allow service workers on https only). Use --https."
)


class StartRefused(Exception):
    """The server will not start like this; the message says why and what to do."""


def is_loopback(host: str) -> bool:
    """Whether only this machine can reach that address."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def serve(settings: Settings, rooms: Rooms | None = None, lines: list[str] | None = None) -> int:
    """Run until stopped. lines: what to print once everything is ready."""
    if not settings.secure and not is_loopback(settings.host):
        if not settings.insecure_lan:
            raise StartRefused(
                f"{settings.host} can be reached from outside this machine. Use --https, or --insecure-lan if you must."
            )
        print(f"\n{INSECURE}\n", file=sys.stderr)
    logs.configure(logging.WARNING if lines else logging.INFO)  # the demo's terminal is for a person to read
    held = rooms or Rooms(settings)
    try:
        options: dict[str, Any] = {}
        told = None
        scheme = "https" if settings.secure else "http"
        if settings.secure:
            files = _files(settings)
            options = {"ssl_certfile": str(files.certificate), "ssl_keyfile": str(files.key)}
            shown = _shown(settings.host, files.names)
            if files.authority is not None and files.fingerprint is not None:
                told = trust.Trust.read(
                    files.authority.read_bytes(), files.fingerprint, f"https://{shown}:{settings.port}/phone/"
                )
                _tell_how_to_trust(settings, told, files, shown)
        for line in lines or []:
            print(line)
        host = shown if settings.secure else _shown(settings.host, tls.own_names())
        print(f"Shaftside is at {scheme}://{host}:{settings.port}/   (Ctrl-C stops it)", flush=True)
        if held.people.needs_setup():
            print(
                f"Nobody can sign in yet. Open {scheme}://{host}:{settings.port}/desk/setup; one-time code, 15 minutes: {held.people.new_setup_code()}",
                flush=True,
            )
        uvicorn.run(
            create_app(settings, held, told), host=settings.host, port=settings.port,
            log_level="warning", access_log=False, server_header=False, proxy_headers=False, **options,
        )  # fmt: skip
    finally:
        if rooms is None:
            held.close()
    return 0


def _files(settings: Settings) -> tls.Files:
    if settings.certificate is not None:
        if settings.key is None:
            raise StartRefused("--certificate needs its --key.")
        return tls.own(settings.certificate, settings.key)
    return tls.prepare(settings.data / "tls")


def _shown(host: str, names: tuple[str, ...]) -> str:
    """What a person types: the host itself, or for all of them the machine's first name that is not loopback's."""
    if host not in ("0.0.0.0", "::"):
        return host
    return next((one for one in names if not is_loopback(one)), "localhost")


def _tell_how_to_trust(settings: Settings, told: trust.Trust, files: tls.Files, shown: str) -> None:
    """A phone that does not trust the certificate yet reads the page that says how over plain http, one port up."""
    port = settings.port + 1
    server = uvicorn.Server(
        uvicorn.Config(
            trust.application(told), host=settings.host, port=port, log_level="warning", access_log=False, server_header=False
        )
    )  # fmt: skip
    threading.Thread(target=server.run, daemon=True).start()
    if files.made_authority:
        print("A new certificate authority was made: every phone has to be told to trust it.")
    if files.left_out:
        print(f"The authority phones trust does not cover {', '.join(files.left_out)}; use {', '.join(files.names)}.")
        print(f"To cover them, remove {files.authority} and start again; every phone must then trust the new one.")
    print(f"A phone that warns about the certificate: open http://{shown}:{port}/trust on it; compare the fingerprint")
    print(f"  {told.fingerprint}")

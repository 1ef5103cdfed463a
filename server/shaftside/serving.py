"""Running the server: checks before the first request, what is printed at the start, and the end."""

from __future__ import annotations

import ipaddress
import logging
import socket
import sys
import threading
from typing import Any

import uvicorn

from shaftside import listening, logs, tls, trust
from shaftside.app import Rooms, create_app
from shaftside.settings import Settings, StartRefused

INSECURE = (
    "Plain http beyond this machine: passwords and records can be read on the way, and phones will not\n"
    "work offline (browsers allow service workers on https only). Use --https."
)


def is_loopback(host: str) -> bool:
    """Whether only this machine can reach that address."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def serve(
    settings: Settings,
    rooms: Rooms | None = None,
    lines: list[str] | None = None,
    sockets: list[socket.socket] | None = None,
) -> int:
    """Run until stopped. lines: what to print once everything is ready. sockets: already open, else opened here.

    Raises StartRefused and TlsProblem, before the database is touched.
    """
    if not settings.secure and not is_loopback(settings.host):
        if not settings.insecure_lan:
            raise StartRefused(
                f"{settings.host} can be reached from outside this machine. Use --https, or --insecure-lan if you must."
            )
        print(f"\n{INSECURE}\n", file=sys.stderr)
    # the demo's terminal is for a person to read
    logs.configure(logging.WARNING if lines else logging.INFO)
    files = _files(settings) if settings.secure else None
    open_here = listening.listen(settings.host, settings.port) if sockets is None else sockets
    port = listening.number(open_here)
    names = tls.own_names() if files is None else files.names
    address = f"{'https' if files else 'http'}://{_shown(settings.host, names)}:{port}"
    told = _trust(files, address)
    beside = listening.listen(settings.host, port + 1 if settings.port else 0) if told else []
    held = rooms or Rooms(settings)
    try:
        if files and told:
            _tell_how_to_trust(told, files, _shown(settings.host, names), beside)
        for line in lines or []:
            print(line)
        print(f"Shaftside is at {address}/   (Ctrl-C stops it)", flush=True)
        if held.people.needs_setup():
            print(
                f"Nobody can sign in yet. Open {address}/desk/setup; one-time code, 15 minutes: {held.people.new_setup_code()}",
                flush=True,
            )
        options = {"ssl_certfile": str(files.certificate), "ssl_keyfile": str(files.key)} if files else {}
        _server(create_app(settings, held, told), options).run(sockets=open_here)
    finally:
        listening.close(open_here + beside)
        if rooms is None:
            held.close()
    return 0


def _server(application: Any, options: dict[str, Any]) -> uvicorn.Server:
    return uvicorn.Server(
        uvicorn.Config(
            application, log_level="warning", access_log=False, server_header=False, proxy_headers=False, **options
        )
    )  # fmt: skip


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


def _trust(files: tls.Files | None, address: str) -> trust.Trust | None:
    """What a phone is told of an authority of our own; None with the plant's own certificate."""
    if files is None or files.authority is None or files.fingerprint is None:
        return None
    return trust.Trust.read(files.authority.read_bytes(), files.fingerprint, f"{address}/phone/")


def _tell_how_to_trust(told: trust.Trust, files: tls.Files, shown: str, sockets: list[socket.socket]) -> None:
    """A phone that does not trust the certificate yet reads the page that says how over plain http, one port up."""
    server = _server(trust.application(told), {})
    threading.Thread(target=server.run, kwargs={"sockets": sockets}, daemon=True).start()
    if files.made_authority:
        print("A new certificate authority was made: every phone has to be told to trust it.")
    if files.left_out:
        print(f"The authority phones trust does not cover {', '.join(files.left_out)}; use {', '.join(files.names)}.")
        print(f"To cover them, remove {files.authority} and start again; every phone must then trust the new one.")
    port = listening.number(sockets)
    print(f"A phone that warns about the certificate: open http://{shown}:{port}/trust on it; compare the fingerprint")
    print(f"  {told.fingerprint}")

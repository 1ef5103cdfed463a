"""The sockets the server listens on, opened before any work is done, so that a taken port is said at once."""

from __future__ import annotations

import errno
import socket

from shaftside.settings import StartRefused

BACKLOG = 2048  # as uvicorn's own
_WHY = {
    errno.EADDRINUSE: "port {port} on {host} is taken: another program listens there, perhaps another Shaftside. Stop it, or choose another with --port.",
    errno.EACCES: "this user may not listen on port {port}. Choose one over 1023 with --port.",
    errno.EADDRNOTAVAIL: "this machine has no address {host}.",
}


def listen(host: str, port: int) -> list[socket.socket]:
    """Listening sockets for every address of `host`; port 0 takes a free one, the same for all.

    Raises StartRefused with a whole sentence.
    """
    try:
        found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)
    except (OSError, UnicodeError):
        raise StartRefused(f"{host} is not an address or a name of this machine.") from None
    held: list[socket.socket] = []
    refused: OSError | None = None
    for family, address in dict.fromkeys((one[0], str(one[4][0])) for one in found):
        try:
            held.append(socket.create_server((address, number(held) or port), family=family, backlog=BACKLOG))
        except OSError as problem:
            # a machine without IPv6 may still know localhost as ::1
            if problem.errno not in (errno.EADDRNOTAVAIL, errno.EAFNOSUPPORT):
                close(held)
                raise _refusal(host, port, problem) from None
            refused = problem
    if not held:
        raise _refusal(host, port, refused or OSError("no address"))
    return held


def number(held: list[socket.socket]) -> int:
    """The port they listen on; 0 for none."""
    return int(held[0].getsockname()[1]) if held else 0


def close(held: list[socket.socket]) -> None:
    """Let them go."""
    for one in held:
        one.close()


def _refusal(host: str, port: int, problem: OSError) -> StartRefused:
    said = _WHY.get(problem.errno or 0, "{host}, port {port}, cannot be listened on: {problem}.")
    return StartRefused(said.format(host=host, port=port, problem=problem.strerror or problem))

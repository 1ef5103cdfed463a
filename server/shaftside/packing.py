"""The packed forms of a text that is sent often, and the choice among them by what the browser takes."""

from __future__ import annotations

import gzip

import brotli

Packed = tuple[tuple[str, bytes], ...]
"""(name of the coding, bytes), the smallest first; the same bytes every time."""


def pack(content: bytes) -> Packed:
    """Brotli and gzip of `content`, each at its best: half a second for a handbook, so keep what you get."""
    return ("br", brotli.compress(content, quality=11)), ("gzip", gzip.compress(content, 9, mtime=0))


def choose(packed: Packed, accept_encoding: str) -> tuple[str, bytes] | None:
    """The first form that an Accept-Encoding header takes, or None. A coding refused with q=0 is not taken."""
    taken = set()
    for one in accept_encoding.split(","):
        name, _, weight = one.replace(" ", "").partition(";q=")
        if weight not in ("0", "0.0", "0.00", "0.000"):
            taken.add(name.lower())
    return next(((coding, content) for coding, content in packed if coding in taken), None)

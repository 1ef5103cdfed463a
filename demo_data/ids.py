"""Ids that are the same at every run: UUIDs made of a name and, for events, of their moment."""

from __future__ import annotations

import hashlib
import random
import uuid
from datetime import datetime


def rng(*parts: object) -> random.Random:
    """A random source of its own for one thing, so that a change here moves nothing elsewhere."""
    text = "/".join(str(part) for part in parts)
    return random.Random(hashlib.sha256(text.encode()).digest())


def uuid7(at: datetime, *parts: object) -> str:
    """A UUIDv7 whose milliseconds are `at` and whose other bits come from the names given."""
    digest = hashlib.sha256("/".join(str(part) for part in parts).encode()).digest()
    milliseconds = int(at.timestamp() * 1000)
    value = (milliseconds & (2**48 - 1)) << 80 | int.from_bytes(digest[:10], "big") & (2**80 - 1)
    value = value & ~(0xF << 76) | 0x7 << 76
    value = value & ~(0x3 << 62) | 0x2 << 62
    return str(uuid.UUID(int=value))


def wall(at: datetime) -> str:
    """A moment as an event writes it: UTC, milliseconds, `Z`."""
    return at.isoformat(timespec="milliseconds").replace("+00:00", "Z")

"""Passwords: argon2id with stated parameters, at most two at once, and what a new one must be."""

from __future__ import annotations

import asyncio
from weakref import WeakKeyDictionary

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from shaftside.errors import ShaftsideError
from shaftside.sentence import tell

LEAST = 15  # characters; NIST SP 800-63B, password as the only factor
MOST_BYTES = 256
TOO_COMMON = frozenset(
    {"passwordpassword", "123456789012345", "1234567890123456", "qwertyuiopasdfgh", "letmeinletmeinletmein"}
)

# 19 MiB, two passes, one lane: the least that OWASP's list gives for argon2id
_hasher = PasswordHasher(time_cost=2, memory_cost=19_456, parallelism=1)
_nobody = _hasher.hash("nobody signs in with this one")
_turns: WeakKeyDictionary[asyncio.AbstractEventLoop, asyncio.Semaphore] = WeakKeyDictionary()


def _turn() -> asyncio.Semaphore:
    return _turns.setdefault(asyncio.get_running_loop(), asyncio.Semaphore(2))


def check_new(password: str, login: str = "") -> None:
    """Raise ShaftsideError 422 when a new password is too short, too long or too easily guessed."""
    if len(password) < LEAST:
        raise ShaftsideError(
            422, "password_short", tell("Use at least %(least)s characters; a few words are good.", least=LEAST), field="password"
        )
    if len(password.encode()) > MOST_BYTES:
        raise ShaftsideError(422, "password_long", tell("Use at most %(most)s bytes.", most=MOST_BYTES), field="password")
    plain = password.lower()
    if plain in TOO_COMMON or len(set(plain)) < 4 or (login and plain.replace(login.lower(), "") == ""):
        raise ShaftsideError(
            422, "password_common", tell("That password is too easily guessed. Choose another."), field="password"
        )


async def make_hash(password: str) -> str:
    """The argon2id hash to keep."""
    async with _turn():
        return await asyncio.to_thread(_hasher.hash, password)


async def matches(password: str, kept: str | None) -> bool:
    """Whether it is the password. For nobody (kept is None) the same work is done, so that time tells nothing."""
    if len(password.encode()) > MOST_BYTES:
        password = ""
    async with _turn():
        right = await asyncio.to_thread(_verify, kept or _nobody, password)
    return right and kept is not None


def _verify(kept: str, password: str) -> bool:
    try:
        return _hasher.verify(kept, password)
    except (VerificationError, InvalidHashError):
        return False

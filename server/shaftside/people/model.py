"""The shapes that leave the people room."""

from __future__ import annotations

from dataclasses import dataclass

ROLES = ("technician", "lead", "planner", "admin")


@dataclass(frozen=True)
class Session:
    """Who is signed in, on which device. sign_in: id of the sign-in, no secret."""

    person_id: str
    name: str
    roles: frozenset[str]
    device_id: str
    sign_in: str


@dataclass(frozen=True)
class Listed:
    """One person in a list."""

    id: str
    name: str
    login: str
    roles: frozenset[str]
    disabled: bool


@dataclass(frozen=True)
class OpenSignIn:
    """One sign-in that is open. Times are ISO UTC."""

    id: str
    device: str
    device_id: str
    since: str
    last: str | None

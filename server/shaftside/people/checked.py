"""What is taken as a name, a sign-in name and a choice of roles."""

from __future__ import annotations

import re
from collections.abc import Iterable

from shaftside.errors import ShaftsideError
from shaftside.people.model import ROLES
from shaftside.sentence import tell

_LOGIN = re.compile(r"^[a-z0-9][a-z0-9._@-]{1,63}$")


def checked_roles(roles: Iterable[str]) -> str:
    """The roles as they are kept, in their order. Raises 422 for none or an unknown one."""
    wanted = list(dict.fromkeys(roles))
    if not wanted or any(role not in ROLES for role in wanted):
        raise ShaftsideError(
            422, "bad_roles", tell("Choose at least one role."), field="roles", expects=", ".join(ROLES)
        )
    return " ".join(role for role in ROLES if role in wanted)


def checked_name(name: str) -> str:
    """A name with single spaces. Raises 422."""
    name = " ".join(name.split())
    if not 1 <= len(name) <= 100:
        raise ShaftsideError(422, "bad_name", tell("Give a name of 1 to 100 characters."), field="name")
    return name


def checked_login(login: str) -> str:
    """A sign-in name in small letters. Raises 422."""
    login = login.strip().lower()
    if not _LOGIN.match(login):
        raise ShaftsideError(
            422,
            "bad_login",
            tell("Use 2 to 64 small letters, digits, dots, hyphens or underscores."),
            field="login",
        )
    return login

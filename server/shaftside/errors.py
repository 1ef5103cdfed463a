"""Errors that speak for themselves: a refusal with its code and sentence, and a database that cannot be used."""

from __future__ import annotations

from typing import Any


class ShaftsideError(Exception):
    """A refusal that reaches a person.

    status: HTTP status. code: stable, snake_case. message: a whole sentence, what is wrong and what to do.
    field: the input at fault. expects: what it takes instead. details: further sentences or objects.
    """

    def __init__(
        self,
        status: int,
        code: str,
        message: str,
        field: str | None = None,
        expects: str | None = None,
        details: list[Any] | None = None,
    ) -> None:
        self.status, self.code, self.message = status, code, message
        self.field, self.expects, self.details = field, expects, details or []
        super().__init__(f"{code}: {message}")


class DatabaseProblem(Exception):
    """The database cannot be opened or used; the message says why and what to do."""

"""The opaque cursor of the exchange: where a device is in the log, or in its opening scan."""

from __future__ import annotations

import base64
import binascii
from dataclasses import dataclass

from shaftside.errors import ShaftsideError
from shaftside.sentence import tell


@dataclass(frozen=True)
class Cursor:
    """position: the last one seen. upto: the log's head when the opening scan began; None after it."""

    position: int
    upto: int | None = None

    def text(self) -> str:
        """As the device keeps it."""
        plain = f"log:{self.position}" if self.upto is None else f"scan:{self.upto}:{self.position}"
        return base64.urlsafe_b64encode(plain.encode()).decode().rstrip("=")

    @classmethod
    def read(cls, text: str) -> Cursor:
        """Raises bad_cursor for anything this server did not write."""
        try:
            plain = base64.b64decode(text + "=" * (-len(text) % 4), altchars=b"-_", validate=True).decode()
            kind, *numbers = plain.split(":")
            found = [int(one) for one in numbers]
            if kind == "log" and len(found) == 1:
                return cls(found[0])
            if kind == "scan" and len(found) == 2:
                return cls(found[1], found[0])
        except (binascii.Error, ValueError):
            pass
        raise ShaftsideError(
            400,
            "bad_cursor",
            tell("The place in the log is not one this server gave; begin again without it."),
            "cursor",
        )

"""A device's proof: a secret made at its first sign-in. A device's id is in every record, so it proves nothing.

The browser keeps the secret in an HttpOnly cookie, the server keeps its SHA-256. Whoever cannot show it comes in
as a new device; what the phone had not sent under its old id is then kept as claimed, for a person to answer for.
"""

from __future__ import annotations

import hashlib
import re
import secrets

from sqlmodel import Session as Db

from shaftside.database import Database
from shaftside.errors import ShaftsideError
from shaftside.people.tables import DevicePersonRow, DeviceRow
from shaftside.sentence import tell

_OURS = re.compile(r"^[A-Za-z0-9_-]{43}$")  # what new_secret makes: 256 bits


def new_secret(held: str | None = None) -> str:
    """The secret a browser holds already, if it is one of ours, or a new one."""
    return held if held and _OURS.match(held) else secrets.token_urlsafe(32)


def digest(secret: str) -> str:
    """What is kept of a secret or a token: its SHA-256, hex."""
    return hashlib.sha256(secret.encode()).hexdigest()


def enter(db: Db, device: str, name: str, person: str, secret: str | None, now: str) -> None:
    """Note that a person came in on a device, made here when it is new. Raises 409 for somebody else's device.

    A device from before secrets (or from the demo) takes one from whoever has signed in on it before.
    """
    row = db.get(DeviceRow, device)
    link = db.get(DevicePersonRow, (device, person))
    kept = digest(secret) if secret else None
    if row is None:
        db.add(DeviceRow(id=device, name=name[:100] or "unnamed", first_at=now, secret_hash=kept))
        db.flush()
    elif row.secret_hash is None and link is not None:
        row.secret_hash = kept
        db.add(row)
    elif row.secret_hash is None or kept is None or not secrets.compare_digest(row.secret_hash, kept):
        raise ShaftsideError(
            409,
            "device_unproved",
            tell("This browser cannot show that it is the device it names. Sign in on it as a new device."),
            field="device_id",
        )
    if link is None:
        db.add(DevicePersonRow(device=device, person=person, first_at=now))


def check(database: Database, device: str, secret: str | None) -> None:
    """Raise 401 unless the secret is the device's: a stolen sign-in alone cannot write under a phone's name."""
    with database.read() as db:
        row = db.get(DeviceRow, device)
        kept = row.secret_hash if row else None
    if kept is None or secret is None or not secrets.compare_digest(kept, digest(secret)):
        raise ShaftsideError(
            401,
            "device_unproved",
            tell("This browser cannot show that it is its device. Sign in again."),
            field="device",
        )

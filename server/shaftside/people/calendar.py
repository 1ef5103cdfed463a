"""The key of a person's calendar: a calendar program cannot sign in, so its address carries a secret that can be ended."""

from __future__ import annotations

import secrets
from datetime import datetime

from sqlmodel import Session as Db
from sqlmodel import select

from shaftside.database import Database
from shaftside.people.proof import digest
from shaftside.people.tables import CalendarKeyRow, PersonRow


async def make_key(database: Database, person: str, now: datetime) -> str:
    """A new key, shown once; the one before it ends."""
    key = secrets.token_urlsafe(32)

    def change(db: Db) -> None:
        row = db.get(CalendarKeyRow, person) or CalendarKeyRow(person=person, key_hash="", made_at="")
        row.key_hash, row.made_at = digest(key), now.strftime("%Y-%m-%dT%H:%M:%SZ")
        db.add(row)

    await database.write(change)
    return key


async def end_key(database: Database, person: str) -> None:
    """End a person's key; nothing happens where there is none."""

    def change(db: Db) -> None:
        row = db.get(CalendarKeyRow, person)
        if row is not None:
            db.delete(row)

    await database.write(change)


def made_at(database: Database, person: str) -> str | None:
    """Since when a person's calendar has an address, ISO UTC; None where it has none."""
    with database.read() as db:
        row = db.get(CalendarKeyRow, person)
        return row.made_at if row else None


def owner(database: Database, key: str) -> str | None:
    """Whose key it is; None for a key that ended or whose person is disabled."""
    with database.read() as db:
        row = db.exec(select(CalendarKeyRow).where(CalendarKeyRow.key_hash == digest(key))).first()
        person = db.get(PersonRow, row.person) if row else None
        return person.id if person is not None and not person.disabled else None

"""Phones and desk browsers: who came in on each, and which sign-ins are open there."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlmodel import col, select

from shaftside.database import Database
from shaftside.people.spans import run_out
from shaftside.people.tables import DevicePersonRow, DeviceRow, PersonRow, SignInRow


@dataclass(frozen=True)
class OpenHere:
    """One open sign-in on a device. Times are ISO UTC."""

    sign_in: str
    person: str
    name: str
    since: str
    last: str


@dataclass(frozen=True)
class Device:
    """A device: people are the names of everybody who ever signed in there, in order of name."""

    id: str
    name: str
    first_at: str
    people: list[str]
    open: list[OpenHere]


def devices(database: Database, now: datetime) -> list[Device]:
    """Every device that somebody ever signed in on, the ones with an open sign-in first, then the newest."""
    with database.read() as db:
        rows = db.exec(select(DeviceRow).order_by(col(DeviceRow.first_at).desc())).all()
        names = {row.id: row.name for row in db.exec(select(PersonRow)).all()}
        ever: dict[str, list[str]] = {}
        for link in db.exec(select(DevicePersonRow)).all():
            ever.setdefault(link.device, []).append(names.get(link.person, link.person))
        held: dict[str, list[OpenHere]] = {}
        for row in db.exec(select(SignInRow).order_by(col(SignInRow.last).desc())).all():
            if run_out(row.since, row.last, now):
                continue
            name = names.get(row.person, row.person)
            held.setdefault(row.device, []).append(OpenHere(row.id, row.person, name, row.since, row.last))
        found = [
            Device(row.id, row.name, row.first_at, sorted(ever.get(row.id, [])), held.get(row.id, []))
            for row in rows
        ]
    return sorted(found, key=lambda one: not one.open)

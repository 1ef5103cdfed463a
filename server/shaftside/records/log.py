"""Reading from and adding to the log. Everything here runs inside somebody else's transaction."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import Connection, delete, func, insert, select, update

from shaftside.records.model import LogLine
from shaftside.records.tables import EventAside, EventMissing, EventRow, JobRow, RecordRow, ServerValue

EVENT = EventRow.__table__  # type: ignore[attr-defined]
MISSING = EventMissing.__table__  # type: ignore[attr-defined]
ASIDE = EventAside.__table__  # type: ignore[attr-defined]
RECORD = RecordRow.__table__  # type: ignore[attr-defined]
VALUE = ServerValue.__table__  # type: ignore[attr-defined]
JOB = JobRow.__table__  # type: ignore[attr-defined]
_LINE = (EVENT.c.position, EVENT.c.hash, EVENT.c.received, EVENT.c.outcome, EVENT.c.raw)


def head(connection: Connection) -> int:
    """The last position given; 0 for an empty log."""
    return int(connection.execute(select(func.max(EVENT.c.position))).scalar() or 0)


def known(connection: Connection, ids: Sequence[str]) -> dict[str, Any]:
    """Rows of the log (without raw) by event id."""
    if not ids:
        return {}
    columns = (
        EVENT.c.id, EVENT.c.hash, EVENT.c.position, EVENT.c.received, EVENT.c.outcome, EVENT.c.code, EVENT.c.reason,
        EVENT.c.record, EVENT.c.kind, EVENT.c.actor,
    )  # fmt: skip
    return {row.id: row for row in connection.execute(select(*columns).where(EVENT.c.id.in_(ids)))}


def held(connection: Connection, hashes: Iterable[str]) -> set[str]:
    """Those of the hashes that are in the log."""
    wanted = list(hashes)
    if not wanted:
        return set()
    return set(connection.execute(select(EVENT.c.hash).where(EVENT.c.hash.in_(wanted))).scalars())


def add(connection: Connection, rows: list[dict[str, Any]]) -> None:
    """Add rows; positions are already given, under the lock this transaction holds."""
    if rows:
        connection.execute(insert(EVENT), rows)


def record_kinds(connection: Connection, records: Iterable[str]) -> dict[str, str]:
    """The sort of each record that has one."""
    rows = connection.execute(select(RECORD.c.id, RECORD.c.kind).where(RECORD.c.id.in_(list(records))))
    return {row.id: row.kind for row in rows}


def add_record(connection: Connection, record: str, kind: str) -> None:
    """Remember what sort of record this is."""
    connection.execute(insert(RECORD), {"id": record, "kind": kind})


def add_missing(connection: Connection, event_hash: str, parents: Iterable[str]) -> None:
    """Remember which parents an event waits for."""
    rows = [{"missing": parent, "event": event_hash} for parent in parents]
    if rows:
        connection.execute(insert(MISSING), rows)


def arrived(connection: Connection, hashes: list[str]) -> list[str]:
    """These events are here: let go whoever waited for them. Returns hashes of events now complete."""
    waited = set(connection.execute(select(MISSING.c.event).where(MISSING.c.missing.in_(hashes))).scalars())
    if not waited:
        return []
    connection.execute(delete(MISSING).where(MISSING.c.missing.in_(hashes)))
    still = set(connection.execute(select(MISSING.c.event).where(MISSING.c.event.in_(waited))).scalars())
    complete = sorted(waited - still)
    if complete:
        connection.execute(
            update(EVENT)
            .where(EVENT.c.hash.in_(complete), EVENT.c.outcome == "waiting")
            .values(outcome="kept")
        )
    return complete


def proved(connection: Connection, hash: str, outcome: str) -> None:
    """An event that was only claimed has come from the device that wrote it."""
    connection.execute(
        update(EVENT).where(EVENT.c.hash == hash).values(outcome=outcome, code=None, reason=None)
    )


def set_aside(connection: Connection, row: dict[str, Any]) -> str:
    """Keep raw bytes that cannot enter the log, once. Returns when they were first received."""
    where = (ASIDE.c.hash == row["hash"], ASIDE.c.code == row["code"])
    first = connection.execute(select(ASIDE.c.received).where(*where)).scalar()
    if first is not None:
        return str(first)
    connection.execute(insert(ASIDE), row)
    return str(row["received"])


def of_record(connection: Connection, record: str) -> list[LogLine]:
    """All events of a record in the order of the log."""
    rows = connection.execute(select(*_LINE).where(EVENT.c.record == record).order_by(EVENT.c.position))
    return [_line(row) for row in rows]


def after(connection: Connection, position: int, limit: int) -> list[tuple[str, LogLine]]:
    """(device, line) of the events after a position, in order."""
    rows = connection.execute(
        select(*_LINE, EVENT.c.device)
        .where(EVENT.c.position > position)
        .order_by(EVENT.c.position)
        .limit(limit)
    )
    return [(row.device, _line(row)) for row in rows]


def last_received(connection: Connection) -> dict[str, str]:
    """When the last entry of each device arrived, ISO UTC by device."""
    rows = connection.execute(select(EVENT.c.device, func.max(EVENT.c.received)).group_by(EVENT.c.device))
    return {row[0]: row[1] for row in rows}


def open_records(connection: Connection, upto: int, position: int, limit: int) -> list[LogLine]:
    """Events up to `upto` and after `position` of positions, people and jobs that are not signed.

    With them the jobs, signed or not, that closed later work of such a job: without them a phone would ask for it again.
    """
    closed = RECORD.c.closed_position
    parent = RECORD.alias("parent")
    child = JOB.c.parent_job == parent.c.id
    answers = select(JOB.c.job).join(parent, child).where(JOB.c.follow_up.is_not(None), parent.c.closed_position.is_(None) | (parent.c.closed_position > upto))
    rows = connection.execute(
        select(*_LINE)
        .join(RECORD, RECORD.c.id == EVENT.c.record)
        .where(
            EVENT.c.position > position,
            EVENT.c.position <= upto,
            RECORD.c.kind != "failure",
            closed.is_(None) | (closed > upto) | RECORD.c.id.in_(answers),
        )
        .order_by(EVENT.c.position)
        .limit(limit)
    )
    return [_line(row) for row in rows]


def heads(lines: Iterable[LogLine]) -> list[str]:
    """Hashes that no other of these events names as a parent, sorted."""
    hashes: set[str] = set()
    named: set[str] = set()
    for line in lines:
        hashes.add(line.hash)
        named.update(json.loads(line.raw)["parents"])
    return sorted(hashes - named)


def chain_end(connection: Connection, device: str) -> tuple[int, str | None]:
    """Sequence number and hash of a device's last event; (0, None) before its first."""
    row = connection.execute(
        select(EVENT.c.seq, EVENT.c.hash)
        .where(EVENT.c.device == device)
        .order_by(EVENT.c.seq.desc(), EVENT.c.position.desc())
        .limit(1)
    ).first()
    return (int(row.seq), str(row.hash)) if row else (0, None)


def value(connection: Connection, key: str) -> str | None:
    """A small fact about this server."""
    found = connection.execute(select(VALUE.c.value).where(VALUE.c.key == key)).scalar()
    return None if found is None else str(found)


def set_value(connection: Connection, key: str, text: str) -> None:
    """Set a small fact about this server."""
    if connection.execute(update(VALUE).where(VALUE.c.key == key).values(value=text)).rowcount == 0:
        connection.execute(insert(VALUE), {"key": key, "value": text})


def _line(row: Any) -> LogLine:
    return LogLine(int(row.position), row.hash, row.received, row.outcome, bytes(row.raw))


def record_kinds_after(connection: Connection, position: int, upto: int) -> dict[str, str]:
    """The sort of every record that something was written to between two positions."""
    rows = connection.execute(
        select(RECORD.c.id, RECORD.c.kind).where(
            RECORD.c.id.in_(
                select(EVENT.c.record).where(EVENT.c.position > position, EVENT.c.position <= upto).distinct()
            )
        )
    )
    return {row.id: row.kind for row in rows}


def conflicts(connection: Connection) -> int:
    """How many entries were set aside because their id was taken."""
    asked = select(func.count()).select_from(ASIDE).where(ASIDE.c.code == "same_id_other_content")
    return int(connection.execute(asked).scalar() or 0)

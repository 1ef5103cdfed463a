"""The read model: rows that lists are made from, worked out anew for whatever changed in the log."""

from __future__ import annotations

import json
import threading
from typing import Any

from sqlalchemy import Connection, delete, insert, select, update

from shaftside.database import Database
from shaftside.records import due, log
from shaftside.records.model import Kept, State
from shaftside.records.state import reduce_failure, reduce_job, reduce_position
from shaftside.records.tables import FailureRow, FollowUpRow, JobRow, PositionRow

JOB = JobRow.__table__  # type: ignore[attr-defined]
FOLLOW_UP = FollowUpRow.__table__  # type: ignore[attr-defined]
POSITION = PositionRow.__table__  # type: ignore[attr-defined]
FAILURE = FailureRow.__table__  # type: ignore[attr-defined]

WORST = ("refused", "stop", "cannot_tell", "over", "under", "not_yet", "caution", "inside", "none")
_MARK = "read_model"
_lock = threading.Lock()


def refresh(database: Database) -> None:
    """Bring the read model up to the log's head. Cheap when nothing was written since."""
    with _lock:
        with database.read_core() as connection:
            done = int(log.value(connection, _MARK) or 0)
            head = log.head(connection)
            if done == head:
                return
            touched = connection.execute(
                select(log.EVENT.c.record)
                .where(log.EVENT.c.position > done, log.EVENT.c.position <= head)
                .distinct()
            ).scalars()
            kinds = log.record_kinds_after(connection, done, head)
            work = []
            for record in touched:
                lines = [line for line in log.of_record(connection, record) if line.position <= head]
                work.append((record, kinds.get(record), [line.kept() for line in lines]))
        rows = [made for record, kind, kept in work if (made := _rows(record, kind, kept)) is not None]

        def store(connection: Connection) -> None:
            if int(log.value(connection, _MARK) or 0) > head:
                return  # another process was quicker
            for one in rows:
                one.store(connection)
            log.set_value(connection, _MARK, str(head))

        database.write_core_now(store)


class _Rows:
    """What one record puts into the tables."""

    def __init__(self, table: Any, key: str, row: dict[str, Any]) -> None:
        self.table, self.key, self.row = table, key, row
        self.follow_ups: list[dict[str, Any]] = []
        self.closed: int | None = None
        self.is_job = table is JOB

    def store(self, connection: Connection) -> None:
        column = self.table.c[self.key]
        connection.execute(delete(self.table).where(column == self.row[self.key]))
        connection.execute(insert(self.table), self.row)
        if self.is_job:
            job = self.row["job"]
            connection.execute(delete(FOLLOW_UP).where(FOLLOW_UP.c.job == job))
            if self.follow_ups:
                connection.execute(insert(FOLLOW_UP), self.follow_ups)
            where = log.RECORD.c.id == job
            connection.execute(update(log.RECORD).where(where).values(closed_position=self.closed))


def _rows(record: str, kind: str | None, kept: list[Kept]) -> _Rows | None:
    if kind == "job":
        return _job(record, kept)
    if kind == "position":
        return _position(record, kept)
    if kind == "failure":
        return _failure(record, kept)
    return None


def _job(record: str, kept: list[Kept]) -> _Rows | None:
    state = reduce_job(kept)
    if state["started"] is None:
        return None
    machine = state["machine"]
    current = [
        one
        for held in state["readings"].values()
        for one in held["all"]
        if one["event"] == held["current"] or held["conflict"]
    ]
    verdicts = sorted({one["verdict"] for one in current} - {"none"}, key=_rank)
    signed, completed = state["signed"], state["completed"]
    words = [
        machine["name"], machine.get("area", ""), state["position_name"], record,
        *(one["text"] for one in state["notes"] + state["deviations"]),
        *(one["reason"] for one in state["steps"].values() if one["reason"]),
        *(one["reason"] for one in state["returned"]),
    ]  # fmt: skip
    rows = _Rows(
        JOB,
        "job",
        {
            "job": record,
            "position": state["position"],
            "position_name": state["position_name"],
            "machine": machine["id"],
            "machine_name": machine["name"],
            "area": machine.get("area", ""),
            "method": state["method"],
            "work": state["work"],
            "procedure": state["procedure"],
            "status": state["status"],
            "started_at": state["started"]["at"],
            "started_by": state["started"]["by"],
            "completed_at": completed["at"] if completed else None,
            "completed_by": completed["by"] if completed else None,
            "signed_at": signed["at"] if signed else None,
            "signed_by": signed["by"] if signed else None,
            "last_at": max(one["event"]["wall"] for one in kept),
            "people": _spaced({one["event"]["actor"] for one in kept} - {"server"}),
            "verdicts": _spaced(verdicts),
            "worst": verdicts[0] if verdicts else "none",
            "deviations": len(state["deviations"]),
            "deviations_open": sum(1 for one in state["deviations"] if one["decision"] is None),
            "claimed": len(state["claimed"]),
            "refused": len(state["refused"]),
            "events": state["count"],
            "parent_job": state["parent_job"],
            "follow_up": state["follow_up"],
            "closed_at": due.closed_at(state),
            "words": " ".join(words).casefold(),
        },
    )
    rows.follow_ups = _follow_ups(record, state)
    if state["status"] == "signed":
        rows.closed = next(one["position"] for one in kept if one["event"]["id"] == signed["event"])
    return rows


def _follow_ups(record: str, state: State) -> list[dict[str, Any]]:
    completed = state["completed"]
    done = {one["follow_up"]: one["at"] for one in state["follow_ups_done"]}
    return [
        {
            "job": record,
            "follow_up": str(one.get("follow_up")),
            "title": json.dumps(one.get("title") or {}),
            "after": json.dumps(one.get("after") or {}),
            "from_at": completed["at"],
            "due_at": due.soonest(state, one),
            "done_at": done.get(str(one.get("follow_up"))),
        }
        for one in {str(one.get("follow_up")): one for one in state["outstanding"]}.values()
    ]


def _position(record: str, kept: list[Kept]) -> _Rows | None:
    state = reduce_position(kept)
    if state["machine"] is None:
        return None
    machine, facts = state["machine"], state["facts"]
    return _Rows(
        POSITION,
        "position",
        {
            "position": record,
            "name": state["name"],
            "machine": machine["id"],
            "machine_name": machine["name"],
            "area": machine.get("area", ""),
            "method": (facts.get("locking_method") or {}).get("word", ""),
            "housing": (facts.get("housing") or {}).get("word", ""),
            "retired": state["retired"] is not None,
            "last_at": max(one["event"]["wall"] for one in kept),
            "words": f"{machine['id']} {machine['name']} {machine.get('area', '')} {state['name']}".casefold(),
        },
    )


def _failure(record: str, kept: list[Kept]) -> _Rows | None:
    state = reduce_failure(kept)
    if state["position"] is None:
        return None
    names = ("position", "found_on", "by", "at", "text")
    return _Rows(FAILURE, "failure", {"failure": record} | {name: state[name] for name in names})


def _rank(verdict: str) -> int:
    return WORST.index(verdict) if verdict in WORST else 0


def _spaced(items: Any) -> str:
    listed = items if isinstance(items, list) else sorted(items)
    return f" {' '.join(listed)} " if listed else ""

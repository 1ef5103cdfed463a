"""Questions to the read model."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, and_, select, true

from shaftside.records.due import standing
from shaftside.records.model import DueLine, FailureLine, JobLine, JobQuery, PositionLine
from shaftside.records.readmodel import FAILURE, FOLLOW_UP, JOB, POSITION

MOST = 5001


def jobs(connection: Connection, query: JobQuery) -> list[JobLine]:
    """Jobs that match, the last started first."""
    asked = select(JOB)
    for word in query.text.casefold().split():
        asked = asked.where(JOB.c.words.contains(word, autoescape=True))
    for name in ("machine", "position", "area", "method", "work"):
        wanted = getattr(query, name)
        if wanted:
            asked = asked.where(JOB.c[name] == wanted)
    if query.status:
        asked = asked.where(JOB.c.status.in_(query.status))
    if query.person:
        asked = asked.where(JOB.c.people.contains(f" {query.person} ", autoescape=True))
    if query.verdict:
        wanted_any = [JOB.c.verdicts.contains(f" {one} ", autoescape=True) for one in query.verdict]
        clause = wanted_any[0]
        for more in wanted_any[1:]:
            clause = clause | more
        asked = asked.where(clause)
    if query.deviations == "any":
        asked = asked.where(JOB.c.deviations > 0)
    elif query.deviations == "open":
        asked = asked.where(JOB.c.deviations_open > 0)
    elif query.deviations == "none":
        asked = asked.where(JOB.c.deviations == 0)
    if query.since:
        asked = asked.where(JOB.c.started_at >= query.since)
    if query.until:
        asked = asked.where(JOB.c.started_at < f"{query.until[:10]}~")
    asked = asked.order_by(JOB.c.started_at.desc(), JOB.c.job)
    rows = connection.execute(asked.limit(max(0, min(query.limit, MOST))).offset(max(0, query.offset)))
    return [_job(row) for row in rows]


def waiting(connection: Connection) -> list[JobLine]:
    """Jobs that wait for a lead, the longest waiting first."""
    asked = (
        select(JOB).where(JOB.c.status.in_(("completed", "amended"))).order_by(JOB.c.completed_at, JOB.c.job)
    )
    return [_job(row) for row in connection.execute(asked)]


# a job begun for later work of another, at the same place
CHILD = JOB.alias("child")
ANSWERS = and_(
    CHILD.c.parent_job == FOLLOW_UP.c.job, CHILD.c.follow_up == FOLLOW_UP.c.follow_up, CHILD.c.position == JOB.c.position
)


def due(connection: Connection, position: str | None = None) -> list[DueLine]:
    """Follow-ups not done, the soonest first; those with no date last."""
    open_ = and_(FOLLOW_UP.c.done_at.is_(None), JOB.c.position == position if position else true())
    closed = select(CHILD.c.job).where(ANSWERS, CHILD.c.closed_at.is_not(None)).correlate(FOLLOW_UP, JOB)
    asked = (
        select(FOLLOW_UP, JOB)
        .join(JOB, JOB.c.job == FOLLOW_UP.c.job)
        .where(open_, ~closed.exists())
        .order_by(FOLLOW_UP.c.due_at.is_(None), FOLLOW_UP.c.due_at, FOLLOW_UP.c.job)
    )
    begun: dict[tuple[str, str], list[JobLine]] = {}
    going = select(CHILD).join(FOLLOW_UP, CHILD.c.parent_job == FOLLOW_UP.c.job).join(JOB, JOB.c.job == FOLLOW_UP.c.job)
    for row in connection.execute(going.where(open_, ANSWERS)):
        child = _job(row, CHILD)
        begun.setdefault((str(child.parent_job), str(child.follow_up)), []).append(child)
    lines = []
    for row in connection.execute(asked):
        got = row._mapping
        lines.append(
            DueLine(
                job=_job(row),
                follow_up=got[FOLLOW_UP.c.follow_up],
                title=json.loads(got[FOLLOW_UP.c.title]),
                after=json.loads(got[FOLLOW_UP.c.after]),
                from_at=got[FOLLOW_UP.c.from_at],
                due_at=got[FOLLOW_UP.c.due_at],
                doing=standing(begun.get((got[FOLLOW_UP.c.job], got[FOLLOW_UP.c.follow_up]), [])),
            )
        )
    return lines


def begun_for(connection: Connection, job: str) -> dict[str, JobLine]:
    """By follow-up of a job, the job of its own that speaks for it."""
    asked = select(CHILD).join(FOLLOW_UP, CHILD.c.parent_job == FOLLOW_UP.c.job).join(JOB, JOB.c.job == FOLLOW_UP.c.job)
    begun: dict[str, list[JobLine]] = {}
    for row in connection.execute(asked.where(ANSWERS, FOLLOW_UP.c.job == job)):
        child = _job(row, CHILD)
        begun.setdefault(str(child.follow_up), []).append(child)
    return {name: spoke for name, jobs in begun.items() if (spoke := standing(jobs))}


def answers(connection: Connection, jobs: Sequence[str]) -> dict[str, dict[str, str]]:
    """By job, the title of the later work it was begun for; those begun for none are left out."""
    asked = select(CHILD.c.job, FOLLOW_UP.c.title).join(FOLLOW_UP, CHILD.c.parent_job == FOLLOW_UP.c.job).join(JOB, JOB.c.job == FOLLOW_UP.c.job)
    return {row.job: json.loads(row.title) for row in connection.execute(asked.where(ANSWERS, CHILD.c.job.in_(jobs)))}


def positions(connection: Connection, text: str, retired: bool) -> list[PositionLine]:
    """Positions by area, machine and name."""
    asked = select(POSITION)
    if not retired:
        asked = asked.where(POSITION.c.retired.is_(False))
    for word in text.casefold().split():
        asked = asked.where(POSITION.c.words.contains(word, autoescape=True))
    order = (POSITION.c.area, POSITION.c.machine_name, POSITION.c.name, POSITION.c.position)
    return [
        PositionLine(**{name: row._mapping[POSITION.c[name]] for name in PositionLine.__dataclass_fields__})
        for row in connection.execute(asked.order_by(*order))
    ]


def failures(connection: Connection, position: str | None, failure: str | None = None) -> list[FailureLine]:
    """Failures, the last found first, each with the last mounting started by that day."""
    asked = select(FAILURE, POSITION.c.name, POSITION.c.machine, POSITION.c.machine_name).join(
        POSITION, POSITION.c.position == FAILURE.c.position, isouter=True
    )
    if position is not None:
        asked = asked.where(FAILURE.c.position == position)
    if failure is not None:
        asked = asked.where(FAILURE.c.failure == failure)
    lines = []
    for row in connection.execute(asked.order_by(FAILURE.c.found_on.desc(), FAILURE.c.failure)):
        got = row._mapping
        lines.append(
            FailureLine(
                failure=got[FAILURE.c.failure],
                position=got[FAILURE.c.position],
                position_name=got[POSITION.c.name] or "",
                machine=got[POSITION.c.machine] or "",
                machine_name=got[POSITION.c.machine_name] or "",
                found_on=got[FAILURE.c.found_on],
                by=got[FAILURE.c.by],
                at=got[FAILURE.c.at],
                text=got[FAILURE.c.text],
                follows=mounting_before(connection, got[FAILURE.c.position], got[FAILURE.c.found_on]),
            )
        )
    return lines


def mounting_before(connection: Connection, position: str, day: str) -> JobLine | None:
    """The last mounting at a position that had been started by the end of a day (ISO)."""
    asked = select(JOB).where(
        JOB.c.position == position, JOB.c.work == "mount", JOB.c.started_at < f"{day[:10]}~"
    )
    row = connection.execute(asked.order_by(JOB.c.started_at.desc()).limit(1)).first()
    return None if row is None else _job(row)


def _job(row: Any, table: Any = JOB) -> JobLine:
    got = row._mapping
    values = {name: got[table.c[name]] for name in JobLine.__dataclass_fields__}
    for name in ("people", "verdicts"):
        values[name] = values[name].split()
    return JobLine(**values)

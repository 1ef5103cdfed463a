"""The tables of the records room: the log, what is set aside, and the read model.

The log (`event`) is only ever added to; its one changing column is `outcome`, from waiting to
kept. Everything named `*_row` can be thrown away and made again from the log.
"""

from __future__ import annotations

from sqlalchemy import BigInteger, CheckConstraint, Column, Index, Integer, LargeBinary
from sqlmodel import Field, SQLModel

OUTCOMES = ("kept", "claimed", "refused", "waiting")
_BIG = BigInteger().with_variant(Integer, "sqlite")


class EventRow(SQLModel, table=True):
    """One event in the log. `raw` is the canonical JSON whose SHA-256 is `hash`."""

    __tablename__ = "event"
    __table_args__ = (
        CheckConstraint("outcome in ('kept','claimed','refused','waiting')", name="event_outcome"),
        CheckConstraint("seq >= 1", name="event_seq"),
        CheckConstraint("length(hash) = 64", name="event_hash"),
        Index("event_of_record", "record", "position"),
        Index("event_of_device", "device", "seq"),
    )
    position: int = Field(sa_column=Column(_BIG, primary_key=True, autoincrement=False))
    id: str = Field(unique=True)
    hash: str = Field(unique=True)
    record: str
    kind: str
    device: str
    seq: int = Field(sa_column=Column(BigInteger, nullable=False))
    actor: str
    wall: str
    received: str
    outcome: str
    code: str | None = None
    reason: str | None = None
    raw: bytes = Field(sa_column=Column(LargeBinary, nullable=False))


class EventMissing(SQLModel, table=True):
    """A parent that an event names and the log does not hold yet."""

    __tablename__ = "event_missing"
    missing: str = Field(primary_key=True)
    event: str = Field(primary_key=True)


class EventAside(SQLModel, table=True):
    """What arrived and could not enter the log, byte for byte: nothing is dropped."""

    __tablename__ = "event_aside"
    hash: str = Field(primary_key=True)
    code: str = Field(primary_key=True)
    event_id: str | None = Field(default=None, index=True)
    device: str
    person: str
    received: str
    reason: str
    raw: bytes = Field(sa_column=Column(LargeBinary, nullable=False))


class RecordRow(SQLModel, table=True):
    """One record: a position, a job, a failure or a person. closed_position: where it was signed."""

    __tablename__ = "record"
    id: str = Field(primary_key=True)
    kind: str = Field(index=True)
    closed_position: int | None = Field(default=None, sa_column=Column(BigInteger))


class ServerValue(SQLModel, table=True):
    """Small facts about this server: its device id, how far the read model has come."""

    __tablename__ = "server_value"
    key: str = Field(primary_key=True)
    value: str


class HandbookBundle(SQLModel, table=True):
    """Every handbook bundle ever served, by content hash."""

    __tablename__ = "handbook_bundle"
    hash: str = Field(primary_key=True)
    kept_at: str
    content: bytes = Field(sa_column=Column("bytes", LargeBinary, nullable=False))


class JobRow(SQLModel, table=True):
    """Read model of one job. `people` and `verdicts` are space-separated, with a space at each end."""

    __tablename__ = "job_row"
    job: str = Field(primary_key=True)
    position: str = Field(index=True)
    position_name: str
    machine: str = Field(index=True)
    machine_name: str
    area: str
    method: str
    work: str
    procedure: str
    status: str = Field(index=True)
    started_at: str = Field(index=True)
    started_by: str
    completed_at: str | None = None
    completed_by: str | None = None
    signed_at: str | None = None
    signed_by: str | None = None
    last_at: str
    people: str
    verdicts: str
    worst: str
    deviations: int
    deviations_open: int
    claimed: int
    refused: int
    events: int
    parent_job: str | None = Field(default=None, index=True)
    follow_up: str | None = None
    closed_at: str | None = None
    words: str


class FollowUpRow(SQLModel, table=True):
    """Read model of work that comes due later. `title` and `after` are JSON; `due_at` the soonest."""

    __tablename__ = "follow_up_row"
    job: str = Field(primary_key=True)
    follow_up: str = Field(primary_key=True)
    title: str
    after: str
    from_at: str
    due_at: str | None = None
    done_at: str | None = None


class PositionRow(SQLModel, table=True):
    """Read model of one position on a machine."""

    __tablename__ = "position_row"
    position: str = Field(primary_key=True)
    name: str
    machine: str = Field(index=True)
    machine_name: str
    area: str
    method: str
    housing: str
    retired: bool
    last_at: str
    words: str


class FailureRow(SQLModel, table=True):
    """Read model of one reported failure."""

    __tablename__ = "failure_row"
    failure: str = Field(primary_key=True)
    position: str = Field(index=True)
    found_on: str = Field(index=True)
    by: str
    at: str
    text: str

"""The shapes that pass between the records room and whoever calls it."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from typing import Any, Literal, NotRequired, Protocol, TypedDict

Event = dict[str, Any]
State = dict[str, Any]
Outcome = Literal["kept", "claimed", "refused", "conflict", "waiting"]


class Kept(TypedDict):
    """An event with the hash of its canonical JSON; position and received where the log gave them."""

    hash: str
    event: Event
    position: NotRequired[int]
    received: NotRequired[str]
    outcome: NotRequired[str]


class Bundle(Protocol):
    """A handbook bundle as the handbook room hands it out."""

    @property
    def hash(self) -> str: ...
    @property
    def data(self) -> dict[str, Any]: ...


class Bundles(Protocol):
    """Where every bundle ever served is kept."""

    def get(self, hash: str) -> Bundle | None: ...


@dataclass(frozen=True)
class DeviceSession:
    """Who is speaking: the person signed in, on which device, and who else ever signed in on it."""

    person_id: str
    device_id: str
    roles: frozenset[str]
    known_people: frozenset[str]


@dataclass(frozen=True)
class Actor:
    """A person who acts online."""

    id: str
    name: str
    roles: frozenset[str]


@dataclass(frozen=True)
class Push:
    """One exchange asked for: at most 100 events, the cursor of the last answer (null: a new phone).

    limit: how many events are wanted back, 0 to 1000.
    """

    device: str
    cursor: str | None = None
    events: list[Any] = field(default_factory=list)
    limit: int = 300


@dataclass(frozen=True)
class Ack:
    """What became of one pushed event. hash: as the server computed it over what it received.

    position and received are null where it did not enter the log. The same event sent again
    gets the same answer, but that `waiting` becomes `kept` once its parents are here.
    """

    id: str | None
    hash: str | None
    position: int | None
    received: str
    outcome: Outcome
    code: str | None = None
    reason: str | None = None

    def as_json(self) -> dict[str, Any]:
        """The JSON object of the API; code and reason only where there are any."""
        out: dict[str, Any] = {
            "id": self.id,
            "hash": self.hash,
            "position": self.position,
            "received": self.received,
            "outcome": self.outcome,
        }
        if self.code is not None:
            out |= {"code": self.code, "reason": self.reason}
        return out


@dataclass(frozen=True)
class LogLine:
    """One event as the log holds it; raw is its canonical JSON."""

    position: int
    hash: str
    received: str
    outcome: str
    raw: bytes

    def as_json(self) -> bytes:
        """`{"event","hash","outcome","position","received"}`, the event exactly as it was hashed."""
        return b'{"event":%s,"hash":"%s","outcome":"%s","position":%d,"received":"%s"}' % (
            self.raw,
            self.hash.encode(),
            self.outcome.encode(),
            self.position,
            self.received.encode(),
        )

    def kept(self) -> Kept:
        """The same, parsed."""
        return {
            "hash": self.hash,
            "event": json.loads(self.raw),
            "position": self.position,
            "received": self.received,
            "outcome": self.outcome,
        }


@dataclass(frozen=True)
class Exchange:
    """The answer to a Push. `json()` is the body to send; more: ask again at once with this cursor."""

    acks: list[Ack]
    events: list[LogLine]
    cursor: str
    more: bool
    server_time: str

    def json(self) -> bytes:
        """The answer as UTF-8 JSON."""
        return b'{"acks":%s,"events":[%s],"cursor":%s,"more":%s,"server_time":"%s"}' % (
            json.dumps([ack.as_json() for ack in self.acks], separators=(",", ":")).encode(),
            b",".join(line.as_json() for line in self.events),
            json.dumps(self.cursor).encode(),
            b"true" if self.more else b"false",
            self.server_time.encode(),
        )


@dataclass(frozen=True)
class JobView:
    """One job as it stands. blockers: all that stands between it and a sign-off.

    later: by follow-up, the job of its own that speaks for it. answers: title of the later work this job was begun for.
    """

    id: str
    state: State
    progress: dict[str, Any] | None
    procedure: dict[str, Any] | None
    bundle: dict[str, Any] | None
    events: list[Kept]
    position: State | None
    blockers: list[dict[str, Any]]
    later: dict[str, JobLine] = field(default_factory=dict)
    answers: dict[str, str] | None = None


@dataclass(frozen=True)
class PositionView:
    """One position with its whole history: jobs newest first, failures newest first, later work that is outstanding.

    answers: by job, the title of the later work it was begun for.
    """

    id: str
    state: State
    events: list[Kept]
    jobs: list[JobLine]
    failures: list[FailureLine]
    due: list[DueLine] = field(default_factory=list)
    answers: dict[str, dict[str, str]] = field(default_factory=dict)


@dataclass(frozen=True)
class JobLine:
    """One row of a list of jobs. Times are ISO UTC; people are ids; verdicts the distinct ones, worst first."""

    job: str
    position: str
    position_name: str
    machine: str
    machine_name: str
    area: str
    method: str
    work: str
    procedure: str
    status: str
    started_at: str
    started_by: str
    completed_at: str | None
    completed_by: str | None
    signed_at: str | None
    signed_by: str | None
    last_at: str
    people: list[str]
    verdicts: list[str]
    worst: str
    deviations: int
    deviations_open: int
    claimed: int
    refused: int
    events: int
    parent_job: str | None
    follow_up: str | None = None
    closed_at: str | None = None


@dataclass(frozen=True)
class JobQuery:
    """What to look for; None or empty means any. Dates are ISO days, both ends included, of the start."""

    text: str = ""
    machine: str | None = None
    position: str | None = None
    area: str | None = None
    method: str | None = None
    work: str | None = None
    status: tuple[str, ...] = ()
    person: str | None = None
    verdict: tuple[str, ...] = ()
    deviations: Literal["any", "open", "none"] | None = None
    since: str | None = None
    until: str | None = None
    limit: int = 200
    offset: int = 0


@dataclass(frozen=True)
class PositionLine:
    """One row of a list of positions."""

    position: str
    name: str
    machine: str
    machine_name: str
    area: str
    method: str
    housing: str
    retired: bool
    last_at: str


@dataclass(frozen=True)
class DueLine:
    """Work that comes due later. due_at: the soonest it can be due, if the machine has run without a stop.

    doing: the job of its own in which it goes on.
    """

    job: JobLine
    follow_up: str
    title: dict[str, str]
    after: dict[str, Any]
    from_at: str
    due_at: str | None
    doing: JobLine | None = None


@dataclass(frozen=True)
class FailureLine:
    """A reported failure and the last mounting at that position that had started by that day."""

    failure: str
    position: str
    position_name: str
    machine: str
    machine_name: str
    found_on: str
    by: str
    at: str
    text: str
    follows: JobLine | None


@dataclass(frozen=True)
class FailureView:
    """One failure report, the job it follows, and its events."""

    id: str
    state: State
    events: list[Kept]
    follows: JobLine | None


@dataclass(frozen=True)
class Difference:
    """One thing that does not recompute to what is recorded."""

    record: str
    event: str | None
    code: str
    expected: str
    found: str
    message: str

"""What an event is: its envelope, its kinds, the shape of each kind's body.

An event is `{id, schema, record, device, seq, previous, parents, actor, kind, body, wall,
offset_min, monotonic_ms}`. Unknown fields are allowed everywhere and kept: an older server
must not damage what a newer phone wrote. The models check; the record keeps what was sent.
"""

from __future__ import annotations

import re
import secrets
import time
import uuid
from datetime import UTC, datetime
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

UUID = r"^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$"
HASH = r"^[0-9a-f]{64}$"
WALL = r"^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}\.\d{3}Z$"
MAX_EVENT_BYTES = 256 * 1024

Id = Annotated[str, Field(pattern=UUID)]
Hash = Annotated[str, Field(pattern=HASH)]
Wall = Annotated[str, Field(pattern=WALL)]
Name = Annotated[str, Field(min_length=1, max_length=200)]
Word = Annotated[str, Field(min_length=1, max_length=120)]
Reason = Annotated[str, Field(min_length=1, max_length=4000)]
Text = Annotated[str, Field(max_length=20000)]


class _Open(BaseModel):
    """Strict about what it knows, silent about what it does not."""

    model_config = ConfigDict(extra="allow", strict=True, frozen=True)


class Envelope(_Open):
    """The thirteen fields every event has."""

    id: Id
    schema_: Annotated[int, Field(alias="schema", ge=1)]
    record: Id
    device: Id
    seq: Annotated[int, Field(ge=1, lt=2**53)]
    previous: Hash | None
    parents: Annotated[list[Hash], Field(max_length=1000)]
    actor: Annotated[str, Field(min_length=1, max_length=64)]
    kind: Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{0,63}$")]
    body: dict[str, Any]
    wall: Wall
    offset_min: Annotated[int, Field(ge=-24 * 60, le=24 * 60)]
    monotonic_ms: Annotated[float, Field(ge=0)]


class _Machine(_Open):
    id: Word
    name: Name
    area: Annotated[str, Field(max_length=200)] = ""


Entry = dict[str, Any]
Maker = dict[str, Any]


class AsTyped(_Open):
    """A number that was asked about as a slip of its unit, and stands as typed. factor: None for a temperature."""

    input: Word
    typed: Word | list[Word]
    unit: Word
    meant_unit: Word
    factor: float | int | None


class PositionDescribed(_Open):
    machine: _Machine
    name: Name
    facts: dict[str, Entry]
    maker: Maker = {}
    as_typed: list[AsTyped] = []


class PositionRetired(_Open):
    reason: Reason


class JobStarted(_Open):
    position: Id
    machine: _Machine
    position_name: Name
    procedure: Word
    method: Word
    work: Literal["mount", "remove", "check"]
    bundle: Hash
    facts: dict[str, Entry]
    maker: Maker = {}
    parent_job: Id | None = None
    follow_up: Word | None = None  # of the parent's later work, the one this job was begun for


class StepDone(_Open):
    step: Word
    note: Text | None = None
    lang: Word = "en"
    afterwards: Wall | None = None


class StepConfirmed(_Open):
    step: Word
    name_of_second_person: Annotated[str, Field(max_length=200)] | None = None
    confirmed_by: Literal["pin", "password"] | None = None


class StepNotApplicable(_Open):
    step: Word
    reason: Reason


class StepReopened(_Open):
    step: Word
    reason: Reason


class ReadingTaken(_Open):
    step: Word
    reading: Word
    sheet: Word | None = None
    entries: dict[str, Entry] = {}
    maker: Maker | None = None
    value: Entry | None = None
    instrument: dict[str, Any] | None = None
    result: dict[str, Any] | None = None
    as_typed: list[AsTyped] = []
    bundle: Hash
    lang: Word = "en"
    afterwards: Wall | None = None


class ZeroEnergyProved(_Open):
    step: Word
    how: Reason
    tried: Reason
    tester: Text | None = None
    lang: Word = "en"


class ZeroEnergyLost(_Open):
    step: Word | None = None
    reason: Reason


Rows = Literal["source", "lock", "hold", "test", "member", "handover", "test_run"]


Ids = Annotated[list[Id], Field(max_length=50)]


class RowAdded(_Open):
    """A row of the board of the control of energy; its id is the event's. of: the rows it is about; comer: of a shift
    change, the person who comes, where that person signs in on this phone."""

    step: Word | None = None
    list: Rows
    of: Ids = []
    comer: Word | None = None
    fields: dict[str, Entry]
    lang: Word = "en"
    afterwards: Wall | None = None


class RowEnded(_Open):
    """A row is over: a lock off, a restraint out, a person gone, a test run done, or the row was a mistake."""

    step: Word | None = None
    row: Id
    list: Rows
    by_owner: bool = True
    exception: dict[str, Entry] = {}
    mistake: bool = False
    note: Text = ""
    afterwards: Wall | None = None


class RowChecked(_Open):
    """What can come back was looked at again."""

    row: Id
    showed: Reason


class NoteAdded(_Open):
    step: Word | None = None
    text: Annotated[str, Field(min_length=1, max_length=20000)]


class PhotoAdded(_Open):
    step: Word | None = None
    sha256: Hash
    bytes: Annotated[int, Field(ge=1)]
    type: Word


class DeviationRaised(_Open):
    step: Word | None = None
    text: Reason


class DeviationDecided(_Open):
    deviation: Id
    decision: Literal["accept", "rework", "stop"]
    reason: Reason


class ReadingAccepted(_Open):
    reading: Id
    reason: Reason


class ReadingChosen(_Open):
    step: Word
    reading: Word
    chosen: Id
    reason: Reason


class NotApplicableAgreed(_Open):
    event: Id
    reason: Reason


class JobCompleted(_Open):
    outstanding: list[dict[str, Any]] = []


class JobReturned(_Open):
    reason: Reason


class JobSigned(_Open):
    heads: list[Hash]
    statement: Reason
    name: Name
    role: Word


class FollowUpDone(_Open):
    follow_up: Word
    note: Text = ""


class MachineStarted(_Open):
    """When the machine ran for the first time after the work, where no step of the job said so."""

    at: Wall
    note: Text = ""


class FailureReported(_Open):
    position: Id
    found_on: Annotated[str, Field(pattern=r"^\d{4}-\d{2}-\d{2}")]
    stopped_at: str | None = None
    text: Reason
    appearance: Any = None
    running_h: Entry | None = None


class EventRefused(_Open):
    event: Word
    code: Word
    reason: Reason


class ActorClaimed(_Open):
    event: Id
    actor: Word
    carried_by: Id | None = None


class ClaimAnswered(_Open):
    """The named person says of a claimed event: mine, or not mine; a lead may only strike it.

    Its actor is the server where the device that wrote the event sent it too.
    """

    event: Id
    mine: bool
    reason: Reason


class VerdictDiffers(_Open):
    event: Id
    verdict: Word
    result: dict[str, Any] | None = None


class PlantValueSet(_Open):
    """A maker's value that holds for the whole plant. where: facts that must be exactly so; name: the lead's."""

    line: Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{0,63}\.[a-z][a-z0-9_]{0,63}$")]
    value: Entry
    document: Name
    revision: Annotated[str, Field(max_length=200)] = ""
    page: Annotated[str, Field(max_length=200)] = ""
    where: Annotated[dict[str, Entry], Field(max_length=20)] = {}
    name: Name


class PlantValueWithdrawn(_Open):
    reason: Reason


class PersonAdded(_Open):
    name: Name
    roles: list[Word]


class RolesChanged(_Open):
    roles: list[Word]


class PersonDisabled(_Open):
    reason: Text = ""


BODIES: dict[str, type[_Open]] = {
    "position_described": PositionDescribed,
    "position_retired": PositionRetired,
    "job_started": JobStarted,
    "step_done": StepDone,
    "step_confirmed": StepConfirmed,
    "step_not_applicable": StepNotApplicable,
    "step_reopened": StepReopened,
    "reading_taken": ReadingTaken,
    "zero_energy_proved": ZeroEnergyProved,
    "zero_energy_lost": ZeroEnergyLost,
    "row_added": RowAdded,
    "row_ended": RowEnded,
    "row_checked": RowChecked,
    "note_added": NoteAdded,
    "photo_added": PhotoAdded,
    "deviation_raised": DeviationRaised,
    "deviation_decided": DeviationDecided,
    "reading_accepted": ReadingAccepted,
    "reading_chosen": ReadingChosen,
    "not_applicable_agreed": NotApplicableAgreed,
    "job_completed": JobCompleted,
    "job_returned": JobReturned,
    "job_signed": JobSigned,
    "follow_up_done": FollowUpDone,
    "machine_started": MachineStarted,
    "failure_reported": FailureReported,
    "event_refused": EventRefused,
    "actor_claimed": ActorClaimed,
    "claim_answered": ClaimAnswered,
    "verdict_differs": VerdictDiffers,
    "person_added": PersonAdded,
    "roles_changed": RolesChanged,
    "person_disabled": PersonDisabled,
    "person_enabled": PersonDisabled,
    "plant_value_set": PlantValueSet,
    "plant_value_withdrawn": PlantValueWithdrawn,
}

SERVER_KINDS = frozenset(
    {
        "event_refused",
        "actor_claimed",
        "claim_answered",
        "verdict_differs",
        "person_added",
        "roles_changed",
        "person_disabled",
        "person_enabled",
    }
)
LEAD_KINDS = frozenset(
    {
        "deviation_decided",
        "reading_accepted",
        "reading_chosen",
        "not_applicable_agreed",
        "job_returned",
        "job_signed",
        "plant_value_set",
        "plant_value_withdrawn",
    }
)
ANY_RECORD = frozenset({"note_added", "photo_added", "event_refused", "actor_claimed", "claim_answered"})


def record_kind(kind: str) -> str | None:
    """The sort of record an event of this kind belongs to: position, job, failure, person or plant_value.

    None where the kind may stand in any record, or is one this version does not know.
    """
    if kind in ANY_RECORD or kind not in BODIES:
        return None
    if kind.startswith("position_"):
        return "position"
    if kind.startswith("plant_value_"):
        return "plant_value"
    if kind == "failure_reported":
        return "failure"
    if kind in ("person_added", "roles_changed", "person_disabled", "person_enabled"):
        return "person"
    return "job"


def envelope_problems(event: Any) -> list[str]:
    """What is wrong with an event's thirteen fields, one short sentence each; empty when nothing is."""
    return _problems(Envelope, event)


def body_problems(kind: str, body: Any) -> list[str]:
    """What is wrong with the body of an event of a known kind; an unknown kind has no rules here."""
    model = BODIES.get(kind)
    return [] if model is None else _problems(model, body, "body.")


def _problems(model: type[BaseModel], value: Any, where: str = "") -> list[str]:
    try:
        model.model_validate(value)
    except ValidationError as found:
        return [
            f"{where}{'.'.join(str(part) for part in one['loc']) or 'event'}: {one['msg']}"
            for one in found.errors(include_url=False, include_input=False, include_context=False)
        ]
    return []


def uuid7(wall: str | None = None) -> str:
    """A new UUIDv7 (RFC 9562): 48 bits of milliseconds, then 74 random bits. Not a secret.

    wall: the moment it carries, as an event writes it; now when None.
    """
    milliseconds = time.time_ns() // 1_000_000
    if wall is not None:
        milliseconds = round(datetime.fromisoformat(wall).timestamp() * 1000)
    value = (milliseconds & (2**48 - 1)) << 80 | secrets.randbits(80)
    value = value & ~(0xF << 76) | 0x7 << 76
    value = value & ~(0x3 << 62) | 0x2 << 62
    return str(uuid.UUID(int=value))


def wall_now() -> str:
    """This moment as an event writes it: UTC, milliseconds, `Z`."""
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def is_uuid(text: object) -> bool:
    """Whether a value is a lower-case UUID in its usual text form."""
    return isinstance(text, str) and re.match(UUID, text) is not None

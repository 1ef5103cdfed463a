"""What the rest of the program may ask of the records. Handlers translate; this rules."""

from __future__ import annotations

import asyncio
import uuid
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection

from shaftside.database import Database
from shaftside.errors import ShaftsideError
from shaftside.records import log, readmodel, search, signoff, sync, verify
from shaftside.records.canonical import nfc
from shaftside.records.cursor import Cursor
from shaftside.records.event import body_problems, is_uuid, record_kind
from shaftside.records.model import (
    Actor,
    Bundles,
    DeviceSession,
    Difference,
    DueLine,
    Event,
    Exchange,
    FailureLine,
    FailureView,
    JobLine,
    JobQuery,
    JobView,
    Kept,
    LogLine,
    PositionLine,
    PositionView,
    Push,
    State,
)
from shaftside.records.plant import PlantValues
from shaftside.records.progress import progress
from shaftside.records.state import reduce_failure, reduce_job, reduce_position
from shaftside.records.verdict import fact_values
from shaftside.sentence import tell

MOST_EVENTS = 100
MOST_BACK = 1000
INLINE = 4  # more events than this are prepared off the event loop


class Records:
    """The log and everything read from it.

    Methods marked async write through the one writer. The others read, are not async and may
    take some milliseconds: call them from plain (not async) handlers, or `asyncio.to_thread`.
    Rules that are broken raise `shaftside.errors.ShaftsideError` with a stable code.
    `clock` gives the time of everything the server writes; a demo may set it back.
    """

    def __init__(
        self, database: Database, bundles: Bundles, clock: Callable[[], datetime] | None = None
    ) -> None:
        self.database = database
        self.bundles = bundles
        self.clock: Callable[[], datetime] = clock or (lambda: datetime.now(UTC))
        self.server = self._server_id()
        self.plant_values = PlantValues(self)

    def _server_id(self) -> str:
        with self.database.read_core() as connection:
            found = log.value(connection, "server_device")
        if found is not None or self.database.read_only:
            return found or "no server yet"

        def first(connection: Connection) -> str:
            already = log.value(connection, "server_device")
            if already is None:
                already = str(uuid.uuid4())
                log.set_value(connection, "server_device", already)
            return already

        return self.database.write_core_now(first)

    def now(self) -> str:
        """This moment by `clock`, ISO UTC with milliseconds."""
        return self.clock().astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")

    # -- writing ------------------------------------------------------------------------------

    async def exchange(self, push: Push, session: DeviceSession) -> Exchange:
        """Take in what a device sends and give back what it has not seen. Idempotent.

        Raises too_many_events, bad_cursor, other_device.
        """
        if len(push.events) > MOST_EVENTS:
            raise ShaftsideError(
                413,
                "too_many_events",
                tell("Send at most %(most)s entries at once.", most=MOST_EVENTS),
                "events",
                f"0 to {MOST_EVENTS}",
            )
        if push.device != session.device_id:
            raise ShaftsideError(403, "other_device", tell("This sign-in belongs to another device."), "device")
        cursor = Cursor.read(push.cursor) if push.cursor else None
        acks = []
        if push.events:
            if len(push.events) <= INLINE:
                prepared = [sync.prepare(event) for event in push.events]
            else:
                prepared = await asyncio.to_thread(lambda: [sync.prepare(event) for event in push.events])
            acks = await self.database.write_core(
                lambda connection: sync.receive(
                    connection, prepared, session, self.server, self.now(), self.bundles
                )
            )
        limit = max(0, min(push.limit, MOST_BACK))
        if limit == 0:
            back: list[LogLine] = []
            after, more = cursor, cursor is None
        else:
            back, after, more = await asyncio.to_thread(self._pull, cursor, session.device_id, limit)
        return Exchange(acks, back, after.text() if after else "", more, self.now())

    def _pull(self, cursor: Cursor | None, device: str, limit: int) -> tuple[list[LogLine], Cursor, bool]:
        if cursor is None:
            readmodel.refresh(self.database)
        with self.database.read_core() as connection:
            head = log.head(connection)
            if cursor is None:
                cursor = Cursor(0, head)
            if cursor.upto is not None:
                back = log.open_records(connection, cursor.upto, cursor.position, limit)
                if len(back) == limit:
                    return back, Cursor(back[-1].position, cursor.upto), True
                return back, Cursor(cursor.upto), head > cursor.upto
            if cursor.position > head:
                # the log is shorter than the device remembers: a restored backup. Begin again.
                return [], Cursor(0, head), True
            lines = log.after(connection, cursor.position, limit)
        back = [line for author, line in lines if author != device]
        if not lines:
            return back, cursor, False
        return back, Cursor(lines[-1][1].position), lines[-1][1].position < head

    async def act(self, kind: str, record: str, body: dict[str, Any], actor: Actor) -> Event:
        """Append one event online, in the server's own chain, with the person as its actor.

        For what the desk writes (positions, failures, people, notes). A lead's decisions about a
        job have methods of their own, which know their rules. Raises bad_body, wrong_record.
        """
        return await self._append(kind, record, body, actor, None)

    async def _append(
        self,
        kind: str,
        record: str,
        body: dict[str, Any],
        actor: Actor,
        rule: Callable[[State, list[Kept]], None] | None,
    ) -> Event:
        body = nfc(body)
        problems = body_problems(kind, body)
        if not is_uuid(record):
            problems.append("record: not a UUID")
        if problems:
            raise ShaftsideError(422, "bad_body", tell("%(kind)s cannot be recorded: %(problems)s.", kind=kind, problems="; ".join(problems)))

        def do(connection: Connection) -> Event:
            belongs = record_kind(kind)
            stands = log.record_kinds(connection, [record]).get(record)
            if belongs is not None and stands is not None and belongs != stands:
                raise ShaftsideError(
                    409, "wrong_record", tell("%(kind)s belongs to a %(belongs)s; this record is a %(stands)s.", kind=kind, belongs=belongs, stands=stands)
                )
            if rule is not None:
                kept = [line.kept() for line in log.of_record(connection, record)]
                if stands != "job":
                    raise _not_found("job", record)
                rule(reduce_job(kept), kept)
            return sync.append_own(connection, self.server, record, kind, body, actor.id, self.now())

        return await self.database.write_core(do)

    async def sign(self, job_id: str, lead: Actor, heads: list[str], statement: str) -> Event:
        """Sign a job off, on exactly the heads the lead saw. The caller has re-checked the password.

        Raises not_found, not_lead, own_work, heads_changed, not_completed, already_signed, and
        blocked with the blockers as details.
        """

        def rule(state: State, kept: list[Kept]) -> None:
            _, _, _, blockers = self._progress(state)
            signoff.check_sign(lead, state, blockers, heads, statement)

        body = {"heads": sorted(set(heads)), "statement": statement or " ", "name": lead.name, "role": "lead"}
        return await self._append("job_signed", job_id, body, lead, rule)

    async def send_back(self, job_id: str, lead: Actor, reason: str) -> Event:
        """Return a job for rework. Raises not_lead, own_work, not_completed."""

        def rule(state: State, kept: list[Kept]) -> None:
            signoff.check_lead(lead, state)
            signoff.check_return(state)

        return await self._append("job_returned", job_id, {"reason": reason}, lead, rule)

    async def decide(self, job_id: str, lead: Actor, deviation: str, decision: str, reason: str) -> Event:
        """Decide a deviation: accept, rework or stop."""

        def rule(state: State, kept: list[Kept]) -> None:
            signoff.check_lead(lead, state)
            signoff.check_open(state)
            signoff.check_deviation(state, deviation)

        body = {"deviation": deviation, "decision": decision, "reason": reason}
        return await self._append("deviation_decided", job_id, body, lead, rule)

    async def accept(self, job_id: str, lead: Actor, reading: str, reason: str) -> Event:
        """Accept a reading that is outside its window or needs a lead's word. reading: its event id."""

        def rule(state: State, kept: list[Kept]) -> None:
            signoff.check_lead(lead, state)
            signoff.check_open(state)
            signoff.check_reading(state, reading)

        return await self._append(
            "reading_accepted", job_id, {"reading": reading, "reason": reason}, lead, rule
        )

    async def choose(
        self, job_id: str, lead: Actor, step: str, reading: str, chosen: str, reason: str
    ) -> Event:
        """Choose between two people's readings of one thing. chosen: the event id that counts."""

        def rule(state: State, kept: list[Kept]) -> None:
            signoff.check_lead(lead, state)
            signoff.check_open(state)
            signoff.check_choice(state, f"{step}/{reading}", chosen)

        body = {"step": step, "reading": reading, "chosen": chosen, "reason": reason}
        return await self._append("reading_chosen", job_id, body, lead, rule)

    async def agree(self, job_id: str, lead: Actor, event: str, reason: str) -> Event:
        """Agree that a step does not apply. event: id of its step_not_applicable."""

        def rule(state: State, kept: list[Kept]) -> None:
            signoff.check_lead(lead, state)
            signoff.check_open(state)
            signoff.check_agreement(state, event)

        return await self._append(
            "not_applicable_agreed", job_id, {"event": event, "reason": reason}, lead, rule
        )

    async def answer_claim(self, record: str, person: Actor, event: str, mine: bool, reason: str) -> Event:
        """The person named in a claimed event says mine or not mine; a lead may only strike it out."""

        def rule(state: State, kept: list[Kept]) -> None:
            events = {one["event"]["id"]: one["event"] for one in kept}
            signoff.check_answer(state, events, person, event, mine)

        return await self._append(
            "claim_answered", record, {"event": event, "mine": mine, "reason": reason}, person, rule
        )

    # -- reading ------------------------------------------------------------------------------

    def _lines(self, record: str) -> list[LogLine]:
        with self.database.read_core() as connection:
            return log.of_record(connection, record)

    def events(self, record: str) -> list[Kept]:
        """All events of one record in the order of the log; empty when there are none."""
        return [line.kept() for line in self._lines(record)]

    def events_json(self, record: str) -> bytes:
        """The same as a JSON array of `{event, hash, outcome, position, received}`."""
        return b"[%s]" % b",".join(line.as_json() for line in self._lines(record))

    def job(self, job_id: str) -> JobView:
        """One job as it stands. Raises not_found."""
        kept = self.events(job_id)
        state = reduce_job(kept)
        if state["started"] is None:
            raise _not_found("job", job_id)
        bundle, procedure, told, blockers = self._progress(state)
        place = reduce_position(self.events(state["position"]))
        with self._model() as connection:
            later = search.begun_for(connection, job_id)
            answers = search.answers(connection, [job_id]).get(job_id)
        return JobView(
            id=job_id,
            state=state,
            progress=told,
            procedure=procedure,
            bundle=bundle,
            events=kept,
            position=place if place["machine"] is not None else None,
            blockers=blockers,
            later=later,
            answers=answers,
        )

    def _progress(
        self, state: State
    ) -> tuple[dict[str, Any] | None, dict[str, Any] | None, dict[str, Any] | None, list[dict[str, Any]]]:
        """Bundle, procedure, progress and all blockers; without the bundle nothing can be signed."""
        bundle = self.bundles.get(state["bundle"]) if state["bundle"] else None
        procedure = bundle.data["procedures"].get(state["procedure"]) if bundle else None
        if bundle is None or procedure is None:
            return (bundle.data if bundle else None), None, None, [{"code": "bundle_unknown"}]
        told = progress(procedure, fact_values(bundle.data, state["facts"]), state)
        return bundle.data, procedure, told, told["blockers"]

    def position(self, position_id: str) -> PositionView:
        """One position and its history. Raises not_found."""
        kept = self.events(position_id)
        state = reduce_position(kept)
        if state["machine"] is None:
            raise _not_found("position", position_id)
        with self._model() as connection:
            jobs = search.jobs(connection, JobQuery(position=position_id, limit=search.MOST))
            failures = search.failures(connection, position_id)
            due = search.due(connection, position_id)
            answers = search.answers(connection, [one.job for one in jobs if one.follow_up])
        return PositionView(position_id, state, kept, jobs, failures, due, answers)

    def failure(self, failure_id: str) -> FailureView:
        """One failure report. Raises not_found."""
        kept = self.events(failure_id)
        state = reduce_failure(kept)
        if state["position"] is None:
            raise _not_found("failure report", failure_id)
        with self._model() as connection:
            follows = search.mounting_before(connection, state["position"], state["found_on"])
        return FailureView(failure_id, state, kept, follows)

    def _model(self) -> Any:
        """A reading connection with the read model up to date."""
        if not self.database.read_only:
            readmodel.refresh(self.database)
        return self.database.read_core()

    def positions(self, text: str = "", *, retired: bool = False) -> list[PositionLine]:
        """Positions by machine and name."""
        with self._model() as connection:
            return search.positions(connection, text, retired)

    def search(self, query: JobQuery) -> list[JobLine]:
        """Jobs that match, newest first."""
        with self._model() as connection:
            return search.jobs(connection, query)

    def waiting_for_sign_off(self) -> list[JobLine]:
        """Completed or amended jobs, longest waiting first."""
        with self._model() as connection:
            return search.waiting(connection)

    def due(self) -> list[DueLine]:
        """Follow-ups that are outstanding, soonest first."""
        with self._model() as connection:
            return search.due(connection)

    def failures(self, position: str | None = None) -> list[FailureLine]:
        """Reported failures, newest first, each with the installation it follows."""
        with self._model() as connection:
            return search.failures(connection, position)

    def alarms(self) -> int:
        """How many entries arrived with the number of another: a device that must be looked at."""
        with self.database.read_core() as connection:
            return log.conflicts(connection)

    def last_received(self) -> dict[str, str]:
        """When the last entry of each device arrived, ISO UTC by device id."""
        with self.database.read_core() as connection:
            return log.last_received(connection)

    def verify(self, job_id: str | None = None) -> list[Difference]:
        """Recompute hashes, chains and verdicts of one job, or of everything; empty when all agree."""
        with self.database.read_core() as connection:
            return verify.verify(connection, self.bundles, job_id)


_CALLED = {"job": tell("job"), "position": tell("position"), "failure report": tell("failure report")}


def _not_found(what: str, record: str) -> ShaftsideError:
    return ShaftsideError(404, "not_found", tell("There is no %(what)s %(record)s here.", what=_CALLED[what], record=record))

"""What the rest of the program may ask of the records. Handlers translate; this rules."""

from __future__ import annotations

from typing import Any

from shaftside.database import Database
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
    PositionLine,
    PositionView,
    Push,
)


class Records:
    """The log and everything read from it.

    Methods marked async write through the one writer. The others read, are not async and may
    take some milliseconds: call them from plain (not async) handlers, or `asyncio.to_thread`.
    Rules that are broken raise `shaftside.errors.ShaftsideError` with a stable code.
    """

    def __init__(self, database: Database, bundles: Bundles) -> None:
        self.database = database
        self.bundles = bundles

    async def exchange(self, push: Push, session: DeviceSession) -> Exchange:
        """Take in what a device sends and give back what it has not seen. Idempotent."""
        raise NotImplementedError

    async def act(self, kind: str, record: str, body: dict[str, Any], actor: Actor) -> Event:
        """Append one event online, in the server's own chain, with the person as its actor."""
        raise NotImplementedError

    async def sign(self, job_id: str, lead: Actor, heads: list[str], statement: str) -> Event:
        """Sign a job off, on exactly the heads the lead saw. The caller has re-checked the password."""
        raise NotImplementedError

    async def send_back(self, job_id: str, lead: Actor, reason: str) -> Event:
        """Return a job for rework."""
        raise NotImplementedError

    async def decide(self, job_id: str, lead: Actor, deviation: str, decision: str, reason: str) -> Event:
        """Decide a deviation: accept, rework or stop."""
        raise NotImplementedError

    async def accept(self, job_id: str, lead: Actor, reading: str, reason: str) -> Event:
        """Accept a reading that is outside its window or needs a lead's word. reading: its event id."""
        raise NotImplementedError

    async def choose(
        self, job_id: str, lead: Actor, step: str, reading: str, chosen: str, reason: str
    ) -> Event:
        """Choose between two people's readings of one thing. chosen: the event id that counts."""
        raise NotImplementedError

    async def agree(self, job_id: str, lead: Actor, event: str, reason: str) -> Event:
        """Agree that a step does not apply. event: id of its step_not_applicable."""
        raise NotImplementedError

    async def answer_claim(self, record: str, person: Actor, event: str, mine: bool, reason: str) -> Event:
        """The person named in a claimed event says mine or not mine; a lead may only strike it out."""
        raise NotImplementedError

    def job(self, job_id: str) -> JobView:
        """One job as it stands. Raises not_found."""
        raise NotImplementedError

    def position(self, position_id: str) -> PositionView:
        """One position and its history. Raises not_found."""
        raise NotImplementedError

    def failure(self, failure_id: str) -> FailureView:
        """One failure report. Raises not_found."""
        raise NotImplementedError

    def events(self, record: str) -> list[Kept]:
        """All events of one record in the order of the log; empty when there are none."""
        raise NotImplementedError

    def events_json(self, record: str) -> bytes:
        """The same as a JSON array of `{event, hash, outcome, position, received}`."""
        raise NotImplementedError

    def positions(self, text: str = "", *, retired: bool = False) -> list[PositionLine]:
        """Positions by machine and name."""
        raise NotImplementedError

    def search(self, query: JobQuery) -> list[JobLine]:
        """Jobs that match, newest first."""
        raise NotImplementedError

    def waiting_for_sign_off(self) -> list[JobLine]:
        """Completed or amended jobs, longest waiting first."""
        raise NotImplementedError

    def due(self) -> list[DueLine]:
        """Follow-ups that are outstanding, soonest first."""
        raise NotImplementedError

    def failures(self, position: str | None = None) -> list[FailureLine]:
        """Reported failures, newest first, each with the installation it follows."""
        raise NotImplementedError

    def verify(self, job_id: str | None = None) -> list[Difference]:
        """Recompute hashes, chains and verdicts of one job, or of everything; empty when all agree."""
        raise NotImplementedError

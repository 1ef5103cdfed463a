"""The demo plant: its history as events, and loading it through the real sync and services.

events(today, bundle, people)                -> batches of events, phone by phone
await load(records, people, bundle, today)   -> what was made, and where to look first
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, datetime
from typing import Any

from shaftside.records import Actor, DeviceSession, Push

from . import photos
from .history import History, Send, SendBack, Settle
from .phone import Phone, heads_of
from .scenario import Person, Scenario

BATCH = 100  # the most events one exchange takes


def events(
    today: date, bundle: Any, people: dict[str, str] | None = None
) -> Iterator[tuple[str, list[dict[str, Any]]]]:
    """`(device id, at most 100 events)` in the order of time, as the phones alone would write them.

    today: the day the history ends. bundle: has `.hash` and `.data`. people: ids of people by
    key, where they already have one. Pure: the same arguments give the same bytes.
    """
    scenario = Scenario.read(today, people)
    phones = {key: Phone(device) for key, device in scenario.devices.items()}
    heads: dict[str, set[str]] = {}
    for act in History(scenario, bundle.hash, bundle.data).acts():
        if not isinstance(act, Send):
            continue
        phone = phones[act.device]
        for record in act.look:
            phone.saw(record, heads.get(record, set()))
        made = [phone.write(one.record, one.kind, one.body, one.by, one.at, one.id) for one in act.drafts]
        for event in made:
            heads.setdefault(event["record"], set()).difference_update(event["parents"])
            heads[event["record"]] |= phone.heads[event["record"]]
        for start in range(0, len(made), BATCH):
            yield phone.device.id, made[start : start + BATCH]


class DemoProblem(Exception):
    """The demo plant cannot be loaded; the message says why and what to do."""


async def load(records: Any, people: Any, bundle: Any, today: date, pictures: Any = None) -> dict[str, Any]:
    """Make people, phones and two years of records; everything goes through the real services.

    Loading again changes nothing and answers the same ids. people: the people service, or None
    to leave sign-ins out. pictures: the store of photos, or None to leave their files out. Returns `{"people": {"technician","lead","planner": id}, "jobs": n,
    "events": n, "failures": n, "examples": {story: record id}}`.
    Raises DemoProblem when an earlier load was cut short, or an event was not taken in as meant.
    """
    scenario = Scenario.read(today)
    history = History(scenario, bundle.hash, bundle.data)
    acts = list(history.acts())
    if not _already(records, scenario, acts):
        if people is not None:
            await _make_people(people, scenario)
        loader = _Loader(records, scenario)
        await loader.run(acts)
        await loader.set_plant_values(bundle.data)
        for name in set(scenario.raw["photos"].values()) if pictures is not None else ():
            content = photos.picture(name)
            pictures.put(photos.body(name, "")["sha256"], content, "image/png")
    jobs = {
        draft.record
        for act in acts
        if isinstance(act, Send)
        for draft in act.drafts
        if draft.kind == "job_started"
    }
    told = {**scenario.stories, **{one.key: one for one in scenario.failures}}
    return {
        "people": {one.demo: one.id for one in scenario.people.values() if one.demo},
        "jobs": len(jobs),
        "events": sum(len(act.drafts) for act in acts if isinstance(act, Send)),
        "failures": len(scenario.failures),
        "examples": {key: history.jobs[key] for key in told},
    }


def _already(records: Any, scenario: Scenario, acts: list[Any]) -> bool:
    """Whether this very history is loaded. Raises DemoProblem when only a part of it is."""
    first = next(iter(scenario.positions.values())).id
    last = [act for act in acts if isinstance(act, Send) and act.drafts][-1].drafts[-1]
    if not records.events(first):
        return False
    if any(one["event"]["kind"] == last.kind for one in records.events(last.record)):
        return True
    raise DemoProblem("an earlier load of the demo plant was cut short; start it with a new, empty database")


async def _make_people(people: Any, scenario: Scenario) -> None:
    for one in scenario.people.values():
        await people.import_person(
            id=one.id, name=one.name, login=one.login, roles=list(one.roles), at=scenario.start
        )
    for device in scenario.devices.values():
        await people.import_device(
            id=device.id, name=device.name, people=[one.id for one in device.people], at=scenario.start
        )


class _Loader:
    """Carries the acts out, with the server's clock put to the time of each."""

    def __init__(self, records: Any, scenario: Scenario) -> None:
        self.records = records
        self.scenario = scenario
        self.phones = {key: Phone(device) for key, device in scenario.devices.items()}
        self.by_id = {one.id: one for one in scenario.people.values()}
        self.now = scenario.start

    async def run(self, acts: list[Any]) -> None:
        with _clock(self.records, lambda: self.now):
            for act in acts:
                self.now = act.at
                if isinstance(act, Send):
                    await self._send(act)
                elif isinstance(act, Settle):
                    await self._settle(act)
                elif isinstance(act, SendBack):
                    await self.records.send_back(act.job, self._actor(act.lead), act.reason)

    async def set_plant_values(self, bundle: dict[str, Any]) -> None:
        """What a lead set for the whole plant when the history had ended."""
        with _clock(self.records, lambda: self.now):
            for one in self.scenario.raw.get("plant_values", []):
                await self.records.plant_values.set(self._actor(self.scenario.people[one["lead"]].id), bundle, one["body"])

    async def _send(self, act: Send) -> None:
        phone = self.phones[act.device]
        for record in act.look:
            phone.saw(record, heads_of(self.records.events(record)))
        made = [phone.write(one.record, one.kind, one.body, one.by, one.at, one.id) for one in act.drafts]
        person = self.by_id[act.person]
        session = DeviceSession(
            person.id,
            phone.device.id,
            frozenset(person.roles),
            frozenset(one.id for one in phone.device.people),
        )
        for start in range(0, len(made), BATCH):
            push = Push(phone.device.id, None, made[start : start + BATCH], 0)
            answer = await self.records.exchange(push, session)
            for ack in answer.acks:
                if ack.outcome not in ("kept", "claimed"):
                    raise DemoProblem(f"event {ack.id} was {ack.outcome}: {ack.code} {ack.reason}")

    def _actor(self, person: str) -> Actor:
        one: Person = self.by_id[person]
        return Actor(one.id, one.name, frozenset(one.roles))

    async def _settle(self, act: Settle) -> None:
        lead = self._actor(act.lead)
        view = self.records.job(act.job)
        for blocker in view.blockers:
            await self._answer(act, lead, view, blocker)
        if view.blockers:
            view = self.records.job(act.job)
        await self.records.sign(
            act.job,
            lead,
            list(view.state["heads"]),
            "I looked at every step, reading and deviation listed here.",
        )

    async def _answer(self, act: Settle, lead: Actor, view: Any, blocker: dict[str, Any]) -> None:
        code = blocker["code"]
        reason = act.accept or "Looked at with the technician; acceptable as it stands for this duty."
        if code == "outside_unaccepted":
            await self.records.accept(act.job, lead, blocker["event"], reason)
        elif code == "deviation_undecided":
            await self.records.decide(act.job, lead, blocker["event"], "accept", reason)
        elif code == "lead_agreement_missing":
            await self.records.agree(act.job, lead, blocker["event"], reason)
        elif code == "conflict":
            where = f"{blocker['step']}/{blocker['reading']}"
            tightest = view.state["readings"][where]["all"][0]["event"]
            await self.records.choose(
                act.job,
                lead,
                blocker["step"],
                blocker["reading"],
                tightest,
                "The first reading was taken with the rollers seated by turning; both people agree.",
            )
        else:
            raise DemoProblem(f"job {act.job} cannot be signed off: {blocker}")


@contextmanager
def _clock(records: Any, now: Callable[[], datetime]) -> Iterator[None]:
    """The server's clock put to the history's time, and put right again."""
    kept = records.clock
    records.clock = now
    try:
        yield
    finally:
        records.clock = kept

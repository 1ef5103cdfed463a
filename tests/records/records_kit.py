"""Phones that write events by hand, and a whole honest job; for the tests of the records."""

from __future__ import annotations

import asyncio
import json
from dataclasses import dataclass, field
from typing import Any

from shaftside import calc
from shaftside.records import Actor, DeviceSession, Push, Records
from shaftside.records.canonical import hash_of
from shaftside.records.event import uuid7, wall_now


@dataclass
class TinyBundle:
    hash: str
    data: dict[str, Any]


class TinyBundles:
    def __init__(self, bundle: TinyBundle) -> None:
        self.bundle = bundle

    def get(self, hash: str) -> TinyBundle | None:
        return self.bundle if hash == self.bundle.hash else None


@dataclass
class Phone:
    """A phone with its own chain. people: who has signed in on it."""

    person: str = "tess"
    people: frozenset[str] = frozenset()
    device: str = field(default_factory=uuid7)
    seq: int = 0
    previous: str | None = None
    kept: dict[str, dict[str, Any]] = field(default_factory=dict)
    outbox: list[dict[str, Any]] = field(default_factory=list)
    cursor: str | None = None

    def session(self) -> DeviceSession:
        return DeviceSession(self.person, self.device, frozenset({"technician"}), self.people | {self.person})

    def of(self, record: str) -> list[dict[str, Any]]:
        return [one for one in self.kept.values() if one["event"]["record"] == record]

    def write(self, record: str, kind: str, body: dict[str, Any], actor: str | None = None) -> dict[str, Any]:
        mine = self.of(record)
        named = {parent for one in mine for parent in one["event"]["parents"]}
        event = {
            "id": uuid7(),
            "schema": 1,
            "record": record,
            "device": self.device,
            "seq": self.seq + 1,
            "previous": self.previous,
            "parents": sorted(one["hash"] for one in mine if one["hash"] not in named),
            "actor": actor or self.person,
            "kind": kind,
            "body": body,
            "wall": wall_now(),
            "offset_min": 60,
            "monotonic_ms": 1000 * self.seq,
        }
        hash = hash_of(event)
        self.seq, self.previous = self.seq + 1, hash
        self.kept[hash] = {"hash": hash, "event": event}
        self.outbox.append(event)
        return event

    def take(self, answer: Any) -> None:
        """Believe an answer as the app does: what is acknowledged leaves the outbox."""
        got = json.loads(answer.json())
        done = {ack["id"] for ack in got["acks"]}
        self.outbox = [event for event in self.outbox if event["id"] not in done]
        for one in got["events"]:
            assert hash_of(one["event"]) == one["hash"]
            self.kept[one["hash"]] = {"hash": one["hash"], "event": one["event"]}
        self.cursor = got["cursor"]

    def sync(self, records: Records, limit: int = 300) -> Any:
        more = True
        first = None
        while more or self.outbox:
            answer = asyncio.run(
                records.exchange(Push(self.device, self.cursor, self.outbox[:100], limit), self.session())
            )
            first = first or answer
            self.take(answer)
            more = answer.more
        return first


LEAD = Actor("lena", "Lena Invented", frozenset({"lead"}))


def start_job(phone: Phone, bundle: TinyBundle, job: str | None = None, end: str = "fixed") -> str:
    job = job or uuid7()
    phone.write(
        job,
        "job_started",
        {
            "position": uuid7(),
            "machine": {"id": "F1", "name": "Fan 1 (invented)", "area": "Cleaning"},
            "position_name": "Drive end",
            "procedure": "tiny_mount",
            "method": "ring_set_screws",
            "work": "mount",
            "bundle": bundle.hash,
            "facts": {"screw": {"word": "M8"}, "end": {"word": end}},
            "maker": {},
        },
    )
    return job


def reading(bundle: TinyBundle, set_to: str, screw: str = "M8") -> dict[str, Any]:
    entries = {
        "screw": {"word": screw},
        "place": {"word": "ring"},
        "set_to": {"typed": set_to, "unit": "N.m"},
    }
    values, problems = calc.read_inputs(bundle.data["calc"], "set_screw_torque", entries)
    assert not problems
    result = json.loads(json.dumps(calc.evaluate(bundle.data["calc"], "set_screw_torque", values, {})))
    return {
        "step": "tighten",
        "reading": "first",
        "sheet": "set_screw_torque",
        "entries": entries,
        "result": result,
        "bundle": bundle.hash,
        "lang": "en",
        "units": "metric",
    }


def whole_job(phone: Phone, bundle: TinyBundle, set_to: str | None = None) -> str:
    """A complete job, as an honest technician and a second person do it."""
    job = start_job(phone, bundle)
    phone.write(job, "step_done", {"step": "lock", "lang": "en", "units": "metric"})
    phone.write(job, "zero_energy_proved", {"step": "prove", "how": "try to start", "tried": "did not start"})
    phone.write(job, "reading_taken", reading(bundle, set_to or good_torque(bundle)))
    phone.write(job, "step_done", {"step": "tighten"})
    phone.write(job, "step_done", {"step": "check"})
    phone.write(job, "step_confirmed", {"step": "check", "name_of_second_person": "Sam Invented"})
    phone.write(job, "zero_energy_lost", {"step": "unlock", "reason": "locks off"})
    phone.write(job, "step_done", {"step": "unlock"})
    phone.write(
        job,
        "job_completed",
        {"outstanding": [{"follow_up": "again", "title": {"en": "Again"}, "after": {"running_h": 24}}]},
    )
    return job


def good_torque(bundle: TinyBundle) -> str:
    """A setting inside the window of the sheet, found by asking the sheet for its window."""
    result = reading(bundle, "0.9")["result"]
    window = result["windows"][0]
    return f"{(window['low'] + window['high']) / 2:.3f}"

"""The board of the control of energy: each source locked or held and tested, each lock taken off by its owner.

What is asked is what 29 CFR 1910.147 (d)(4)-(6), (e)(3) and (f)(1), (3), (4) ask of a lockout (secondary; clause details
from memory), read from the real handbook's procedures.
"""

from __future__ import annotations

from typing import Any

import pytest
from records_kit import Phone, TinyBundle, start_job

from shaftside import content, handbook
from shaftside.records.event import body_problems, uuid7
from shaftside.records.progress import progress
from shaftside.records.state import reduce_job

PROCEDURE = handbook.build(content.folder("procedures", None)).data["procedures"]["ring_set_screws_mount"]


class Job:
    """One job on one phone, as far as the board."""

    def __init__(self, bundle: TinyBundle) -> None:
        self.phone = Phone()
        self.id = start_job(self.phone, bundle)

    def row(self, name: str, /, step: str | None = None, of: list[str] | None = None, comer: str | None = None, **fields: Any) -> str:
        body: dict[str, Any] = {"list": name, "fields": fields or {"what": {"text": "w"}}, "of": of or []}
        body |= {"comer": comer} if comer else {}
        event = self.phone.write(self.id, "row_added", body | ({"step": step} if step else {}))
        return str(event["id"])

    def end(self, row: str, name: str, **more: Any) -> None:
        self.phone.write(self.id, "row_ended", {"row": row, "list": name, **more})

    def write(self, kind: str, **body: Any) -> dict[str, Any]:
        return self.phone.write(self.id, kind, body)

    @property
    def state(self) -> dict[str, Any]:
        return reduce_job(self.phone.of(self.id))

    def told(self) -> dict[str, Any]:
        return progress(PROCEDURE, {}, self.state)

    def lacks(self, step: str) -> list[dict[str, Any]]:
        return next(one["rows"] for one in self.told()["steps"] if one["id"] == step)

    def codes(self) -> set[str]:
        return {one["code"] for one in self.told()["blockers"]}


@pytest.fixture
def job(bundle: TinyBundle) -> Job:
    return Job(bundle)


def test_every_source_wants_a_lock_or_a_hold_and_a_test(job: Job) -> None:
    assert [one["code"] for one in job.lacks("list_energy")] == ["row_missing"]
    motor, weight = job.row("source", "list_energy"), job.row("source", "list_energy")
    assert job.lacks("list_energy") == []
    job.row("lock", "lock_and_tag", [motor])
    job.row("hold", "release_energy", [motor], placed={"yes": False})
    assert [one.get("of") for one in job.lacks("restrain_rotation")] == [None, weight]
    job.row("hold", "restrain_rotation", [weight], placed={"yes": True}, how={"word": "clamped"})
    assert job.lacks("restrain_rotation") == []
    job.row("test", "test_sources", [motor])
    assert [one.get("of") for one in job.lacks("test_sources")] == [weight]
    job.row("test", "test_sources", [weight])
    assert job.lacks("test_sources") == []
    late = job.row("source")
    assert [one.get("of") for one in job.lacks("test_sources")] == [late], "a source found later is asked for too"


def test_a_lock_off_loses_zero_energy_even_when_only_claimed(job: Job) -> None:
    lock = job.row("lock", "lock_and_tag")
    job.write("zero_energy_proved", step="prove_zero", how="h", tried="t")
    assert job.state["zero_energy"]["proved"]
    other = Phone("server", kept=dict(job.phone.kept))
    ended = other.write(job.id, "row_ended", {"row": lock, "list": "lock"})
    other.write(job.id, "actor_claimed", {"event": ended["id"], "actor": "x"})
    job.phone.kept |= other.kept
    assert not job.state["zero_energy"]["proved"]
    assert [one["reason"] for one in job.state["zero_energy"]["lost"]] == ["lock off"]
    assert job.state["board"][0]["ended"] is None, "but the lock counts as on: the less favourable reading of both"
    assert "row_on" in job.codes()


def test_a_hold_out_does_not_lose_it_but_must_come_out(job: Job) -> None:
    held = job.row("hold", "restrain_rotation", placed={"yes": True})
    job.row("hold", "release_energy", placed={"yes": False})
    job.write("zero_energy_proved", step="prove_zero", how="h", tried="t")
    assert [one["row"] for one in job.lacks("restraints_out")] == [held], "what was only bled has nothing to take out"
    job.end(held, "hold", step="restraints_out")
    assert job.lacks("restraints_out") == []
    assert job.state["zero_energy"]["proved"]


@pytest.mark.parametrize(("name", "why"), [("handover", "shift change"), ("test_run", "test run")])
def test_a_shift_change_and_a_test_run_ask_for_a_new_proof(job: Job, name: str, why: str) -> None:
    job.write("zero_energy_proved", step="prove_zero", how="h", tried="t")
    row = job.row(name)
    assert not job.state["zero_energy"]["proved"]
    assert job.state["zero_energy"]["lost"][0]["reason"] == why
    job.phone.write(job.id, "zero_energy_proved", {"step": "prove_zero", "how": "h", "tried": "t"}, actor="sami")
    assert job.state["zero_energy"]["proved"]
    assert ("row_on" in job.codes()) is (name == "test_run"), "a test run is a cycle that has to be closed"
    job.end(row, name, note="runs true")
    assert "row_on" not in job.codes()


def test_nobody_completes_while_a_lock_or_a_person_is_on(job: Job) -> None:
    lock, person = job.row("lock"), job.row("member")
    on = [one for one in job.told()["blockers"] if one["code"] == "row_on"]
    assert [one["row"] for one in on] == [lock, person]
    assert not job.told()["can_complete"]
    job.end(person, "member")
    job.end(lock, "lock", by_owner=False, exception={"away": {"text": "Left at two, seen at the gate"}})
    assert "row_on" not in job.codes()
    ended = job.state["board"][0]["ended"]
    assert ended["by_owner"] is False
    assert ended["exception"]["away"] == {"text": "Left at two, seen at the gate"}


def test_a_mistake_covers_nothing(job: Job) -> None:
    motor = job.row("source", "list_energy")
    lock = job.row("lock", "lock_and_tag", [motor])
    job.end(lock, "lock", mistake=True, note="wrong isolator")
    assert [one["code"] for one in job.lacks("lock_and_tag")] == ["row_missing"]
    assert "row_on" not in job.codes()


def test_what_can_come_back_keeps_its_looks(job: Job) -> None:
    held = job.row("hold", "restrain_rotation", every={"typed": "60", "unit": "1"})
    job.write("row_checked", row=held, showed="strap tight")
    assert [one["showed"] for one in job.state["board"][0]["checks"]] == ["strap tight"]


def test_a_row_of_an_unknown_list_is_refused_with_its_field() -> None:
    assert body_problems("row_added", {"list": "key", "fields": {}}) != []
    assert body_problems("row_ended", {"row": uuid7(), "list": "lock"}) == []

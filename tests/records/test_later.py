"""A job of its own closes the later work it was begun for: completed it closes it, returned or stopped it opens it again.

The rule is ours (DEVELOPERS.md, "later work"); that a screw once tightened is tightened again after a run is the trade's.
"""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar
from records_kit import LEAD, Phone, TinyBundle, good_torque, reading, start_job, whole_job

from shaftside.pages import ics
from shaftside.records import Records, due
from shaftside.records.event import uuid7
from shaftside.records.model import JobLine


def begin(phone: Phone, bundle: TinyBundle, parent: str, follow_up: str = "again", position: str | None = None) -> str:
    """A job begun for later work of another, at its place unless told otherwise."""
    job = uuid7()
    body = next(one["event"]["body"] for one in phone.of(parent) if one["event"]["kind"] == "job_started")
    phone.write(job, "job_started", {**body, "parent_job": parent, "follow_up": follow_up, "position": position or body["position"]})
    return job


def do(phone: Phone, bundle: TinyBundle, job: str) -> None:
    """All of its steps, and its completion."""
    phone.write(job, "step_done", {"step": "lock"})
    phone.write(job, "zero_energy_proved", {"step": "prove", "how": "try to start", "tried": "did not start"})
    phone.write(job, "reading_taken", reading(bundle, good_torque(bundle)))
    phone.write(job, "step_done", {"step": "tighten"})
    phone.write(job, "step_done", {"step": "check"})
    phone.write(job, "step_confirmed", {"step": "check", "name_of_second_person": "Sam Invented"})
    phone.write(job, "zero_energy_lost", {"step": "unlock", "reason": "locks off"})
    phone.write(job, "step_done", {"step": "unlock"})
    phone.write(job, "job_completed", {"outstanding": []})


def stands(records: Records, parent: str) -> tuple[bool, str | None, str | None]:
    """(still due?, the job in which it is being done, the job that closed it) as list, job, position and feed have it."""
    line = next((one for one in records.due() if (one.job.job, one.follow_up) == (parent, "again")), None)
    view = records.job(parent)
    if not records.events(view.state["position"]):
        body = {"machine": view.state["machine"], "name": "Drive end", "facts": {}, "maker": {}}
        asyncio.run(records.act("position_described", view.state["position"], body, LEAD))
    place = records.position(view.state["position"])
    assert [one for one in place.due if one.job.job == parent] == ([line] if line else [])
    feed = Calendar.from_ical(ics.calendar(records.due(), "https://plant.example", datetime.now(UTC))).walk("VEVENT")
    entry = next((one for one in feed if str(one["uid"]) == f"{parent}.again@shaftside"), None)
    assert (entry is not None) == (line is not None)
    own = view.later.get("again")
    doing = line.doing.job if line and line.doing else None
    if entry is not None:
        assert (f"/desk/jobs/{doing}" in str(entry["description"])) == (doing is not None)
    if own is not None:
        assert own.job == (doing or own.job)
        assert place.answers[own.job] == {"en": "Again"}
        assert records.job(own.job).answers == {"en": "Again"}
    return line is not None, doing, own.job if own and own.closed_at else None


def test_begun_completed_returned_completed_again_and_stopped(records: Records, bundle: TinyBundle) -> None:
    phone = Phone()
    parent = whole_job(phone, bundle)
    phone.sync(records)
    assert stands(records, parent) == (True, None, None)
    child = begin(phone, bundle, parent)
    phone.sync(records)
    assert stands(records, parent) == (True, child, None)
    do(phone, bundle, child)
    phone.sync(records)
    assert stands(records, parent) == (False, None, child)
    asyncio.run(records.send_back(child, LEAD, "Screw B has no reading."))
    assert stands(records, parent) == (True, child, None)
    phone.sync(records)
    phone.write(child, "job_completed", {"outstanding": []})
    phone.sync(records)
    assert stands(records, parent) == (False, None, child)
    deviation = phone.write(child, "deviation_raised", {"text": "The ring is cracked."})
    phone.sync(records)
    asyncio.run(records.decide(child, LEAD, deviation["id"], "stop", "Another bearing goes in."))
    assert stands(records, parent) == (True, None, None)
    other = begin(phone, bundle, parent)
    phone.sync(records)
    assert stands(records, parent) == (True, other, None)
    assert records.verify() == []


def test_by_hand_closes_it_too_and_a_job_without_a_name_closes_nothing(records: Records, bundle: TinyBundle) -> None:
    phone = Phone()
    parent = whole_job(phone, bundle)
    plain = start_job(phone, bundle)  # an older phone names no later work
    do(phone, bundle, plain)
    phone.sync(records)
    assert stands(records, parent) == (True, None, None)
    phone.write(parent, "follow_up_done", {"follow_up": "again", "note": "n"})
    phone.sync(records)
    assert stands(records, parent)[0] is False


def test_a_job_that_is_only_claimed_to_be_complete_closes_nothing(records: Records, bundle: TinyBundle) -> None:
    phone = Phone()
    parent = whole_job(phone, bundle)
    child = begin(phone, bundle, parent)
    do(phone, bundle, child)
    done = phone.outbox[-1]
    assert done["kind"] == "job_completed"
    phone.outbox.pop()
    phone.kept.popitem()
    phone.seq, phone.previous = done["seq"] - 1, done["previous"]
    phone.write(child, "job_completed", {"outstanding": []}, actor="somebody who never signed in here")
    phone.sync(records)
    assert stands(records, parent) == (True, child, None)


@pytest.mark.parametrize(("follow_up", "elsewhere"), [("no_such_work", False), ("again", True)])
def test_what_the_parent_does_not_name_closes_nothing_and_verify_says_so(
    records: Records, bundle: TinyBundle, follow_up: str, elsewhere: bool
) -> None:
    phone = Phone()
    parent = whole_job(phone, bundle)
    child = begin(phone, bundle, parent, follow_up, uuid7() if elsewhere else None)
    do(phone, bundle, child)
    phone.sync(records)
    assert stands(records, parent) == (True, None, None)
    assert [one.code for one in records.verify()] == ["follow_up_differs"]
    assert [one.record for one in records.verify(child)] == [child]


def test_a_new_phone_gets_the_signed_job_that_closed_open_work(records: Records, bundle: TinyBundle) -> None:
    """The mounting is not signed, its re-torque is: without it the new phone would ask for the re-torque again."""
    phone = Phone()
    parent = whole_job(phone, bundle)
    child = begin(phone, bundle, parent)
    do(phone, bundle, child)
    lone = whole_job(phone, bundle)
    phone.sync(records)
    for job in (child, lone):
        asyncio.run(records.sign(job, LEAD, records.job(job).state["heads"], "I accept."))
    records.due()  # the lists are up to date
    fresh = Phone(person="nina")
    fresh.sync(records)
    assert fresh.of(parent)
    assert fresh.of(child)
    assert not fresh.of(lone)


AT = st.integers(0, 5).map(lambda n: f"2026-03-0{n + 1}T08:00:00.000Z")
CHILD = st.fixed_dictionaries(
    {
        "id": st.uuids().map(str),
        "status": st.sampled_from(["open", "returned", "completed", "signed", "amended", "stopped"]),
        "started": AT,
        "completed": st.none() | st.tuples(AT, st.booleans()),
    }
)


@pytest.mark.node
@settings(max_examples=150, deadline=None)
@given(st.lists(CHILD, max_size=6, unique_by=lambda one: one["id"]))
def test_phone_and_desk_let_the_same_job_speak(node: Any, children: list[dict[str, Any]]) -> None:
    states = [
        {
            "id": one["id"],
            "state": {
                "status": one["status"],
                "started": {"at": one["started"]},
                "completed": {"at": one["completed"][0], "claimed": one["completed"][1]} if one["completed"] else None,
            },
        }
        for one in children
    ]
    closed = [due.closed_at(one["state"]) for one in states]
    rows = [line(one["id"], one["state"], at) for one, at in zip(states, closed, strict=True)]
    spoke = due.standing(rows)
    assert node.ask("standing", states) == [closed, spoke.job if spoke else None]
    for one, at in zip(children, closed, strict=True):
        assert at is None or (one["status"] != "stopped" and not one["completed"][1])
    if any(closed):
        assert spoke is not None
        assert spoke.closed_at == min(at for at in closed if at)


def line(job: str, state: dict[str, Any], closed: str | None) -> JobLine:
    """The row of a list that the read model would make of it."""
    return JobLine(
        job, "p", "", "", "", "", "", "check", "", state["status"], state["started"]["at"], "tess", None, None, None, None,
        state["started"]["at"], [], [], "none", 0, 0, 0, 0, 1, "parent", "again", closed,
    )  # fmt: skip

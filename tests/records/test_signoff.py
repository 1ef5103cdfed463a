"""A lead's acts, each rule of them; search, due and failures."""

from __future__ import annotations

import asyncio
from typing import Any

import pytest
from records_kit import LEAD, Phone, TinyBundle, reading, start_job, whole_job

from shaftside.errors import ShaftsideError
from shaftside.records import Actor, JobQuery, Records
from shaftside.records.event import uuid7


@pytest.fixture(params=["sqlite"])
def database(request: pytest.FixtureRequest, sqlite_url: str) -> Any:
    from shaftside.database import Database

    database = Database.open(sqlite_url)
    database.migrate()
    yield database
    database.close()


def done(records: Records, bundle: TinyBundle, set_to: str | None = None) -> tuple[Phone, str]:
    phone = Phone()
    job = whole_job(phone, bundle, set_to)
    phone.sync(records)
    return phone, job


def sign(records: Records, job: str, lead: Actor = LEAD, heads: list[str] | None = None) -> None:
    heads = records.job(job).state["heads"] if heads is None else heads
    asyncio.run(records.sign(job, lead, heads, "I have read this record."))


def refused(code: str, *args: Any, **kwargs: Any) -> ShaftsideError:
    with pytest.raises(ShaftsideError) as caught:
        sign(*args, **kwargs)
    assert caught.value.code == code
    return caught.value


def test_an_honest_job_is_signed_and_amended_by_what_comes_later(
    records: Records, bundle: TinyBundle
) -> None:
    phone, job = done(records, bundle)
    assert [one.job for one in records.waiting_for_sign_off()] == [job]
    sign(records, job)
    assert records.job(job).state["status"] == "signed"
    assert records.waiting_for_sign_off() == []
    refused("already_signed", records, job)
    phone.write(job, "follow_up_done", {"follow_up": "again", "note": "done"})
    phone.sync(records)
    assert records.job(job).state["status"] == "signed"
    note = phone.write(job, "note_added", {"text": "I forgot"})
    phone.sync(records)
    state = records.job(job).state
    assert (state["status"], state["signed"]["amended_by"]) == ("amended", [note["id"]])
    assert [one.job for one in records.waiting_for_sign_off()] == [job]
    sign(records, job)
    assert records.job(job).state["status"] == "signed"


def test_who_may_not_sign(records: Records, bundle: TinyBundle) -> None:
    _, job = done(records, bundle)
    refused("own_work", records, job, Actor("tess", "Tess", frozenset({"lead"})))
    refused("not_lead", records, job, Actor("paul", "Paul", frozenset({"planner", "admin"})))


def test_only_what_the_lead_saw(records: Records, bundle: TinyBundle) -> None:
    phone, job = done(records, bundle)
    seen = records.job(job).state["heads"]
    phone.write(job, "note_added", {"text": "quickly"})
    phone.sync(records)
    error = refused("heads_changed", records, job, heads=seen)
    assert error.details == records.job(job).state["heads"]
    refused("heads_changed", records, job, heads=[])


def test_unfinished_work_is_not_signed(records: Records, bundle: TinyBundle) -> None:
    phone = Phone()
    job = start_job(phone, bundle)
    phone.sync(records)
    refused("not_completed", records, job)
    phone.write(job, "job_completed", {"outstanding": []})
    phone.sync(records)
    codes = {one["code"] for one in refused("blocked", records, job).details}
    assert codes == {"zero_energy_not_proved", "step_open", "reading_missing"}


def test_out_of_limits_waits_for_acceptance(records: Records, bundle: TinyBundle) -> None:
    _, job = done(records, bundle, "2.0")
    blocker = refused("blocked", records, job).details[0]
    assert blocker["code"] == "outside_unaccepted"
    asyncio.run(records.accept(job, LEAD, blocker["event"], "light fan"))
    sign(records, job)
    assert [one.worst for one in records.search(JobQuery(verdict=("under",)))] == ["under"]


def test_a_deviation_is_decided_first(records: Records, bundle: TinyBundle) -> None:
    phone, job = done(records, bundle)
    raised = phone.write(job, "deviation_raised", {"text": "burr on the shaft"})
    phone.sync(records)
    assert refused("blocked", records, job).details == [
        {"code": "deviation_undecided", "step": None, "event": raised["id"]}
    ]
    asyncio.run(records.decide(job, LEAD, raised["id"], "accept", "dressed"))
    sign(records, job)


def test_a_stopped_job_is_not_signed(records: Records, bundle: TinyBundle) -> None:
    phone, job = done(records, bundle)
    raised = phone.write(job, "deviation_raised", {"text": "cracked housing"})
    phone.sync(records)
    asyncio.run(records.decide(job, LEAD, raised["id"], "stop", "new housing"))
    refused("not_completed", records, job)


def test_two_readings_at_once_need_a_choice(records: Records, bundle: TinyBundle) -> None:
    one, job = done(records, bundle)
    two = Phone("uwe")
    two.sync(records)
    one.write(job, "reading_taken", reading(bundle, "12"))
    mine = two.write(job, "reading_taken", reading(bundle, "14"))
    one.sync(records)
    two.sync(records)
    codes = [blocker["code"] for blocker in refused("blocked", records, job).details]
    assert codes[0] == "conflict"
    asyncio.run(records.choose(job, LEAD, "tighten", "first", mine["id"], "asked both"))
    assert records.job(job).state["readings"]["tighten/first"]["current"] == mine["id"]


def test_work_without_proof_is_not_signed(records: Records, bundle: TinyBundle) -> None:
    phone = Phone()
    job = start_job(phone, bundle)
    phone.write(job, "step_done", {"step": "tighten"})
    phone.write(job, "zero_energy_proved", {"step": "prove", "how": "x", "tried": "y"})
    phone.write(job, "job_completed", {"outstanding": []})
    phone.sync(records)
    assert "before_zero_energy" in {one["code"] for one in refused("blocked", records, job).details}


def test_a_claim_is_answered_by_the_person_named(records: Records, bundle: TinyBundle) -> None:
    phone, job = done(records, bundle)
    claimed = phone.write(job, "note_added", {"text": "by uwe"}, actor="uwe")
    phone.sync(records)
    refused("blocked", records, job)
    uwe = Actor("uwe", "Uwe", frozenset({"technician"}))
    tess = Actor("tess", "Tess", frozenset({"technician"}))
    with pytest.raises(ShaftsideError, match="not_yours"):
        asyncio.run(records.answer_claim(job, tess, claimed["id"], True, "x"))
    with pytest.raises(ShaftsideError, match="not_yours"):
        asyncio.run(records.answer_claim(job, LEAD, claimed["id"], True, "x"))
    asyncio.run(records.answer_claim(job, uwe, claimed["id"], True, "I wrote it on her phone"))
    sign(records, job)


def test_return_for_rework(records: Records, bundle: TinyBundle) -> None:
    phone, job = done(records, bundle)
    asyncio.run(records.send_back(job, LEAD, "torque again"))
    assert records.job(job).state["status"] == "returned"
    refused("not_completed", records, job)
    phone.sync(records)
    phone.write(job, "job_completed", {"outstanding": []})
    phone.sync(records)
    sign(records, job)


def test_lists(records: Records, bundle: TinyBundle) -> None:
    _phone, job = done(records, bundle)
    view = records.job(job)
    position = view.state["position"]
    body = {
        "machine": {"id": "F1", "name": "Fan 1 (invented)"},
        "name": "Drive end",
        "facts": {},
        "maker": {},
    }
    asyncio.run(records.act("position_described", position, body, LEAD))
    failure = uuid7()
    body = {"position": position, "found_on": "2099-01-01", "text": "noisy"}
    asyncio.run(records.act("failure_reported", failure, body, LEAD))
    assert [line.position for line in records.positions("fan")] == [position]
    assert records.positions("pump") == []
    found = records.failures()
    assert found[0].follows is not None
    assert found[0].follows.job == job
    assert records.failure(failure).follows is not None
    assert records.position(position).jobs[0].job == job
    due = records.due()
    assert [(one.job.job, one.follow_up) for one in due] == [(job, "again")]
    assert due[0].due_at is not None
    assert due[0].due_at > due[0].from_at
    for query, matches in [
        (JobQuery(text="FAN drive"), 1),
        (JobQuery(text="pump"), 0),
        (JobQuery(person="tess"), 1),
        (JobQuery(person="tes"), 0),
        (JobQuery(method="ring_set_screws", work="mount", status=("completed",)), 1),
        (JobQuery(status=("signed",)), 0),
        (JobQuery(deviations="none"), 1),
        (JobQuery(deviations="open"), 0),
        (JobQuery(since="2020-01-01", until="2099-01-01"), 1),
        (JobQuery(until="2020-01-01"), 0),
    ]:
        assert len(records.search(query)) == matches, query
    with pytest.raises(ShaftsideError, match="not_found"):
        records.job(uuid7())

"""The exchange: idempotence, conflicts, refusals, claims, waiting, cursors; on both databases."""

from __future__ import annotations

import asyncio
import json
from typing import Any

import pytest
from records_kit import Phone, TinyBundle, good_torque, reading, start_job, whole_job

from shaftside.errors import ShaftsideError
from shaftside.records import Push, Records
from shaftside.records.event import uuid7
from shaftside.records.state import reduce_job


def push(records: Records, phone: Phone, events: list[Any], cursor: str | None = None) -> Any:
    return asyncio.run(records.exchange(Push(phone.device, cursor, events), phone.session()))


def test_the_same_push_gets_the_same_answer(records: Records, bundle: TinyBundle) -> None:
    phone = Phone()
    whole_job(phone, bundle)
    events = list(phone.outbox)
    first = push(records, phone, events)
    assert [ack.outcome for ack in first.acks] == ["kept"] * len(events)
    assert [ack.position for ack in first.acks] == list(range(1, len(events) + 1))
    assert push(records, phone, events).acks == first.acks
    assert push(records, phone, events[3:6]).acks == first.acks[3:6]
    assert [ack.hash for ack in first.acks] == [one["hash"] for one in phone.kept.values()]


def test_the_same_id_with_other_content_is_kept_aside(records: Records, bundle: TinyBundle) -> None:
    phone = Phone()
    start_job(phone, bundle)
    push(records, phone, phone.outbox)
    other = phone.outbox[0] | {"wall": "2020-01-01T00:00:00.000Z"}
    ack = push(records, phone, [other]).acks[0]
    assert (ack.outcome, ack.code, ack.position) == ("conflict", "same_id_other_content", None)
    assert records.alarms() == 1
    push(records, phone, [other])
    assert records.alarms() == 1
    held = records.events(other["record"])[0]["event"]
    assert held == phone.outbox[0]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"seq": 0}, "seq"),
        ({"id": "X"}, "id"),
        ({"body": {"n": 2**60 + 1}}, "exceeds"),
        ({"body": {"text": "e\u0301"}}, "normal form C"),
        ({"wall": "yesterday"}, "wall"),
        ({"parents": ["00"]}, "parents"),
    ],
)
def test_a_malformed_event_is_set_aside_with_a_reason(
    records: Records, bundle: TinyBundle, change: dict[str, Any], says: str
) -> None:
    phone = Phone()
    start_job(phone, bundle)
    ack = push(records, phone, [phone.outbox[0] | change]).acks[0]
    assert (ack.outcome, ack.code) == ("refused", "bad_event")
    assert says in str(ack.reason)
    assert "record it again" in str(ack.reason)


@pytest.mark.parametrize("rubbish", [None, 7, "x", [], {}])
def test_rubbish_is_answered_too(records: Records, rubbish: Any) -> None:
    assert push(records, Phone(), [rubbish]).acks[0].outcome == "refused"


@pytest.mark.parametrize(
    ("kind", "body", "code"),
    [
        ("job_signed", {"heads": [], "statement": "x", "name": "x", "role": "lead"}, "lead_acts_online"),
        (
            "deviation_decided",
            {"deviation": uuid7(), "decision": "accept", "reason": "x"},
            "lead_acts_online",
        ),
        ("event_refused", {"event": "x", "code": "x", "reason": "x"}, "server_kind"),
        ("step_done", {"step": 7}, "bad_body"),
        ("failure_reported", {"position": uuid7(), "found_on": "2026-01-01", "text": "x"}, "wrong_record"),
    ],
)
def test_a_rule_refuses_and_the_raw_event_stays(
    records: Records, bundle: TinyBundle, kind: str, body: dict[str, Any], code: str
) -> None:
    phone = Phone()
    job = start_job(phone, bundle)
    bad = phone.write(job, kind, body)
    answer = push(records, phone, phone.outbox)
    assert (answer.acks[1].outcome, answer.acks[1].code) == ("refused", code)
    kept = records.events(job)
    assert [one["event"]["kind"] for one in kept] == ["job_started", kind, "event_refused"]
    assert kept[1]["event"] == bad
    state = reduce_job(kept)
    assert [one["event"] for one in state["refused"]] == [bad["id"]]
    assert state["signed"] is None
    assert state["status"] == "open"


def test_a_stranger_is_kept_as_claimed(records: Records, bundle: TinyBundle) -> None:
    phone = Phone()
    job = start_job(phone, bundle)
    forged = phone.write(job, "step_done", {"step": "lock"}, actor="lena")
    answer = push(records, phone, phone.outbox)
    assert [ack.outcome for ack in answer.acks] == ["kept", "claimed"]
    view = records.job(job)
    assert view.state["claimed"] == [forged["id"]]
    assert {"code": "claimed", "event": forged["id"]} in view.blockers


def test_an_event_of_another_device_is_claimed(records: Records, bundle: TinyBundle) -> None:
    one, two = Phone(), Phone()
    start_job(one, bundle)
    assert push(records, two, one.outbox).acks[0].outcome == "claimed"


def test_a_child_waits_for_its_parent_and_is_shown(records: Records, bundle: TinyBundle) -> None:
    phone = Phone()
    job = start_job(phone, bundle)
    phone.write(job, "note_added", {"text": "one"})
    phone.write(job, "note_added", {"text": "two"})
    first, second, third = phone.outbox
    assert push(records, phone, [third]).acks[0].outcome == "waiting"
    state = reduce_job(records.events(job))
    assert state["waiting"] == [third["id"]]
    assert [note["text"] for note in state["notes"]] == ["two"]
    push(records, phone, [first])
    assert push(records, phone, [third]).acks[0].outcome == "waiting"
    push(records, phone, [second])
    assert push(records, phone, [third]).acks[0].outcome == "kept"
    assert records.job(job).state["waiting"] == []


def test_an_altered_verdict_is_marked(records: Records, bundle: TinyBundle) -> None:
    phone = Phone()
    job = start_job(phone, bundle)
    body = reading(bundle, "2.0")
    assert body["result"]["verdict"] == "under"
    body["result"]["verdict"] = "inside"
    phone.write(job, "reading_taken", body)
    phone.sync(records)
    held = records.job(job).state["readings"]["tighten/first"]["all"][0]
    assert (held["verdict"], held["verdict_on_phone"], held["differs"]) == ("under", "inside", True)
    assert [one.code for one in records.verify(job)] == ["verdict_differs"]


def test_a_reading_is_judged_on_the_jobs_own_shaft(records: Records, bundle: TinyBundle) -> None:
    phone = Phone()
    job = start_job(phone, bundle)
    phone.write(job, "reading_taken", reading(bundle, "2.0", screw="M5"))
    phone.sync(records)
    assert records.job(job).state["readings"]["tighten/first"]["all"][0]["differs"]


def test_a_reading_before_its_jobs_start_is_judged_when_the_start_comes(
    records: Records, bundle: TinyBundle
) -> None:
    phone = Phone()
    job = start_job(phone, bundle)
    body = reading(bundle, "2.0")
    body["result"]["verdict"] = "inside"
    phone.write(job, "reading_taken", body)
    start, taken = phone.outbox
    push(records, phone, [taken])
    push(records, phone, [start])
    assert records.job(job).state["readings"]["tighten/first"]["all"][0]["verdict"] == "under"


def test_a_new_phone_pages_through_open_records_only(records: Records, bundle: TinyBundle) -> None:
    from records_kit import LEAD

    phone = Phone()
    signed = whole_job(phone, bundle)
    going = start_job(phone, bundle)
    phone.sync(records)
    asyncio.run(records.sign(signed, LEAD, records.job(signed).state["heads"], "I have read it."))
    late = start_job(phone, bundle)
    phone.sync(records)
    new = Phone()
    answers = 0
    more = True
    while more:
        answer = asyncio.run(records.exchange(Push(new.device, new.cursor, [], 1), new.session()))
        new.take(answer)
        more, answers = answer.more, answers + 1
    assert {one["event"]["record"] for one in new.kept.values()} == {going, late}
    assert answers >= 2
    phone.write(going, "note_added", {"text": "later"})
    phone.sync(records)
    new.sync(records)
    assert len(new.of(going)) == 2


def test_a_cursor_from_elsewhere_is_refused(records: Records) -> None:
    with pytest.raises(ShaftsideError, match="bad_cursor"):
        push(records, Phone(), [], cursor="nonsense!")


def test_too_many_at_once(records: Records) -> None:
    with pytest.raises(ShaftsideError, match="too_many_events"):
        push(records, Phone(), [None] * 101)


def test_unknown_fields_and_kinds_come_back_as_they_went_in(records: Records, bundle: TinyBundle) -> None:
    phone = Phone()
    job = start_job(phone, bundle)
    phone.write(job, "something_newer", {"deep": {"number": 1.5, "text": "Ü"}})
    phone.sync(records)
    raw = json.loads(records.events_json(job))[1]["event"]
    assert raw == phone.kept[records.events(job)[1]["hash"]]["event"]
    assert {"code": "unknown", "event": raw["id"]} in records.job(job).blockers


def test_an_honest_job_verifies(records: Records, bundle: TinyBundle) -> None:
    phone = Phone()
    whole_job(phone, bundle, good_torque(bundle))
    phone.sync(records)
    assert records.verify() == []


def test_how_a_second_person_showed_themselves_is_in_the_state_and_not_made_up(
    records: Records, bundle: TinyBundle
) -> None:
    phone = Phone(people=frozenset({"sam"}))
    job = whole_job(phone, bundle)
    phone.write(job, "step_confirmed", {"step": "check", "confirmed_by": "pin"}, actor="sam")
    phone.write(job, "step_confirmed", {"step": "check", "confirmed_by": "retina"}, actor="sam")
    answer = push(records, phone, phone.outbox)
    assert [(ack.outcome, ack.code) for ack in answer.acks[-2:]] == [("kept", None), ("refused", "bad_body")]
    confirmed = records.job(job).state["steps"]["check"]["confirmed"]
    assert [(one["by"], one["confirmed_by"]) for one in confirmed] == [("tess", None), ("sam", "pin")]

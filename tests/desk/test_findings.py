"""The review beside a failure, on the demo plant's real records: each flaw is found, with the line of the record it is in."""

from __future__ import annotations

import asyncio
from typing import Any

import pytest

from shaftside.records import Actor, DeviceSession, Push
from shaftside.records.event import uuid7, wall_now
from shaftside.review import Finding, review

from .desk_plant import Desk, words


def found(desk: Desk, story: str) -> list[Finding]:
    job = desk.rooms.records.job(desk.examples[story])
    return review(job.state, job.procedure, job.progress).findings


@pytest.mark.parametrize(
    ("story", "kind", "step"),
    [
        ("undersize_accepted", "outside", "measure_shaft"),
        ("near_limit", "near_limit", "measure_after"),
        ("wrench_old", "calibration", "check_wrench"),
        ("retorque_skipped", "follow_up", None),
        ("afterwards", "afterwards", None),
        ("thin_reason", "not_applicable", None),
        ("actor_claimed", "claimed", None),
        ("open_half_taper", "missing", None),
        ("open_half_safe", "zero_energy", None),
        ("returned", "deviation", "clean_shaft"),
        ("common_practice", "outside", None),
    ],
)
def test_each_flaw_is_found_and_points_to_its_line(
    desk: Desk, story: str, kind: str, step: str | None
) -> None:
    those = [one for one in found(desk, story) if one.kind == kind and step in (None, one.step)]
    assert those, f"{kind} is not found"
    page = desk.as_("ravi").get(f"/desk/jobs/{desk.examples[story]}").text
    for one in those:
        assert one.title
        assert "_" not in one.title, "a name of the record stands for its words"
        assert f'id="{one.line}"' in page, one


def test_later_work_that_a_job_of_its_own_did_is_no_finding(desk: Desk) -> None:
    job = desk.rooms.records.job(desk.examples["retorque_skipped"])
    asked = [one["follow_up"] for one in job.state["outstanding"]]

    def left(done: list[str]) -> int:
        found = review(job.state, job.procedure, job.progress, None, done).findings
        return len([one for one in found if one.kind == "follow_up"])

    assert [left([]), left(asked[:1]), left(asked)] == [len(asked), len(asked) - 1, 0]
    assert len(asked) > 1


def test_a_deviation_that_was_accepted_says_so(desk: Desk) -> None:
    job = desk.examples["returned"]
    lead = next(one for one in desk.rooms.people.people() if one.login == "maud")
    one = next(one for one in found(desk, "returned") if one.kind == "deviation")
    assert one.answered is None
    who = Actor(lead.id, lead.name, lead.roles)
    asyncio.run(desk.rooms.records.decide(job, who, str(one.event), "accept", "Seen at the machine."))
    after = next(one for one in found(desk, "returned") if one.kind == "deviation")
    assert after.answered == "Lead's decision: accept. Seen at the machine."


def test_a_clean_record_tells_of_no_flaw(desk: Desk) -> None:
    assert {one.kind for one in found(desk, "clean_before_failure")} <= {"calibration"}


def push(desk: Desk, job: str, body: dict[str, Any]) -> None:
    """One reading from a new phone of Tess's, on top of all there is."""
    tess = next(one for one in desk.rooms.people.people() if one.login == "tess")
    state = desk.rooms.records.job(job).state
    device = uuid7()
    event = {
        "id": uuid7(), "schema": 1, "record": job, "device": device, "seq": 1, "previous": None, "parents": sorted(state["heads"]),
        "actor": tess.id, "kind": "reading_taken", "body": body, "wall": wall_now(), "offset_min": 0, "monotonic_ms": 1,
    }  # fmt: skip
    session = DeviceSession(tess.id, device, frozenset({"technician"}), frozenset({tess.id}))
    answer = asyncio.run(desk.rooms.records.exchange(Push(device, None, [event], 1), session))
    assert [ack.outcome for ack in answer.acks] == ["kept"], answer.acks


def test_another_verdict_of_the_server_is_found_with_both(desk: Desk) -> None:
    job = desk.examples["open_half_taper"]
    held = desk.rooms.records.job(job).state["readings"]["measure_shaft/sizes"]["all"][-1]
    assert held["verdict"] != "over"
    forged = held["body"]["result"] | {"verdict": "over"}
    push(desk, job, held["body"] | {"result": forged})
    those = [one for one in found(desk, "open_half_taper") if one.kind == "differs"]
    assert [(one.phone_verdict, one.verdict) for one in those] == [("over", held["verdict"])]


@pytest.mark.parametrize(
    ("instrument", "said"),
    [
        (None, "No instrument is named."),
        ({"name": "Micrometer 7"}, "Micrometer 7: no day of calibration is recorded."),
        ({"name": "Micrometer 7", "calibrated": "2019-01-01"}, "days before this reading"),
        ({"name": "Micrometer 7", "calibrated": "2999-01-01"}, "days after this reading"),
    ],
)
def test_calibration_is_asked_of_what_measured(desk: Desk, instrument: Any, said: str) -> None:
    job = desk.examples["open_half_safe"]
    other = desk.rooms.records.job(desk.examples["waiting_clean"]).state["readings"]["measure_shaft/sizes"][
        "all"
    ][-1]
    body = {key: value for key, value in other["body"].items() if key != "instrument"}
    push(desk, job, body | ({"instrument": instrument} if instrument else {}))
    those = [
        one
        for one in found(desk, "open_half_safe")
        if one.kind == "calibration" and one.step == "measure_shaft"
    ]
    assert [said in one.detail for one in those] == [True]


def test_the_page_beside_the_failure_says_them_in_words(desk: Desk) -> None:
    page = words(desk.as_("ravi").get(f"/desk/failures/{desk.examples['f_near_limit']}").text)
    assert "Near a limit" in page
    page = words(desk.as_("ravi").get(f"/desk/failures/{desk.examples['f_wrench']}").text)
    assert "Calibration" in page

"""The calendar of due work: an address that a calendar program can read, made, replaced and ended; read by a library."""

from __future__ import annotations

import asyncio
import re
from datetime import UTC, datetime

import pytest
from icalendar import Calendar

from shaftside.records import Actor
from shaftside.records.event import uuid7

from .desk_plant import Desk, words


def address(page: str) -> str:
    found = re.search(r"http://127\.0\.0\.1:8420(/desk/calendar/[\w-]{43}\.ics)", page)
    assert found, page
    return found[1]


def test_the_feed_holds_what_is_due_and_ends_when_told(desk: Desk) -> None:
    lead = desk.as_("maud")
    assert "no calendar address yet" in lead.get("/desk/calendar").text
    first = address(lead.post("/desk/calendar").text)
    assert "/desk/calendar/" not in lead.get("/desk/calendar").text.split("<main")[1].split(".ics")[0][-60:], "shown once"
    program = desk.browser()  # signs in nowhere
    said = program.get(first)
    assert said.status_code == 200
    assert said.headers["content-type"].startswith("text/calendar")
    entries = Calendar.from_ical(said.content).walk("VEVENT")
    due = [one for one in desk.rooms.records.due() if one.due_at]
    assert len(entries) == len(due) > 5
    assert len({str(one["uid"]) for one in entries}) == len(entries)
    by_uid = {str(one["uid"]): one for one in entries}
    for line in due:
        entry = by_uid[f"{line.job.job}.{line.follow_up}@shaftside"]
        soonest = datetime.fromisoformat(str(line.due_at).replace("Z", "+00:00")).astimezone(UTC)
        assert entry.decoded("dtstart") == soonest.date()
        assert line.job.machine_name in str(entry["summary"])
        assert str(entry["url"]).endswith(f"/desk/jobs/{line.job.job}#later")
    second = address(lead.post("/desk/calendar").text)
    assert program.get(first).status_code == 404, "the one before it ends"
    assert program.get(second).status_code == 200
    lead.post("/desk/calendar/end")
    gone = program.get(second)
    assert gone.status_code == 404
    assert "Make a new one" in gone.text


def test_the_log_does_not_hold_the_address(desk: Desk, capsys: pytest.CaptureFixture[str]) -> None:
    feed = address(desk.as_("maud").post("/desk/calendar").text)
    desk.browser().get(feed)
    said = capsys.readouterr()
    key = feed.split("/")[-1].removesuffix(".ics")
    assert "/desk/calendar/..." in said.out + said.err
    assert key not in said.out + said.err


def test_a_disabled_persons_calendar_stops(desk: Desk) -> None:
    someone = next(one for one in desk.rooms.people.people() if "technician" in one.roles)
    client = desk.as_(someone.login)
    feed = address(client.post("/desk/calendar").text)
    admin = next(one for one in desk.rooms.people.people() if "admin" in one.roles)
    boss = desk.as_(admin.login)
    boss.post(f"/desk/people/{someone.id}/disable")
    assert desk.browser().get(feed).status_code == 404
    boss.post(f"/desk/people/{someone.id}/enable")
    assert desk.browser().get(feed).status_code == 200


def test_today_says_what_is_due_now_apart_from_what_comes(desk: Desk) -> None:
    page = desk.as_("maud").get("/desk/").text
    due_now = page.split('id="due"')[1].split("<h3>Coming")[0]
    assert " ago" in due_now
    assert "soonest" in due_now
    assert "in 1 day" not in due_now


def test_a_job_of_its_own_closes_later_work_on_every_page(desk: Desk) -> None:
    """Begun, then completed by its technician: Today, both jobs, the position and the print say so, and link to it."""
    records = desk.rooms.records
    line = next(one for one in records.due() if one.due_at)
    lead = desk.as_("maud")
    start = next(one["event"]["body"] for one in records.events(line.job.job) if one["event"]["kind"] == "job_started")
    actor = Actor(line.job.started_by, "A technician", frozenset({"technician"}))
    own = uuid7()
    body = {**start, "work": "check", "procedure": f"{line.job.method}_check", "parent_job": line.job.job, "follow_up": line.follow_up}
    asyncio.run(records.act("job_started", own, body, actor))
    title = line.title["en"]
    link = f'<a href="/desk/jobs/{own}">'
    assert f"{link}being done in a job of its own</a>" in lead.get(f"/desk/positions/{line.job.position}").text
    parent = lead.get(f"/desk/jobs/{line.job.job}").text
    assert link in parent
    assert "being done in a job of its own, begun" in parent
    assert f"For “{title}” of an earlier job" in words(lead.get(f"/desk/jobs/{own}").text)
    asyncio.run(records.act("job_completed", own, {"outstanding": []}, actor))
    parent = lead.get(f"/desk/jobs/{line.job.job}").text
    assert f"{link}done in a job of its own," in parent
    assert f"record {own}" in words(lead.get(f"/desk/jobs/{line.job.job}/print").text)
    place = lead.get(f"/desk/positions/{line.job.position}").text
    assert f"For “{title}”, done" in words(place)
    assert "being done" not in place
    said = lead.get(f"/api/jobs/{line.job.job}").json()["later"][line.follow_up]
    assert said["job"] == own
    assert said["done_at"] == records.job(own).state["completed"]["at"]
    assert not any((one.job.job, one.follow_up) == (line.job.job, line.follow_up) for one in records.due())

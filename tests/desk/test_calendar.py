"""The calendar of due work: an address that a calendar program can read, made, replaced and ended; read by a library."""

from __future__ import annotations

import re
from datetime import UTC, datetime

import pytest
from icalendar import Calendar

from .desk_plant import Desk


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

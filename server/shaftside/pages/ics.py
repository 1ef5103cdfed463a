"""Due work as a calendar that a person's own calendar program can subscribe to (RFC 5545)."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from icalendar import Calendar, Event

from shaftside.records import DueLine
from shaftside.review.record import say
from shaftside.sentence import tell

HONEST = tell("Soonest day: it counts a machine that has run without a stop. The work is a job of its own, with its own lockout.")
NAME = tell("Shaftside: work due")

BEGUN = tell("It is being done:")


def calendar(lines: list[DueLine], origin: str, now: datetime, put: Callable[[str], str] = str, said: Callable[[object], str] = say) -> bytes:
    """One all-day entry for each follow-up that has a soonest day; origin: scheme and host of this server.

    put, said: a sentence of ours, a text of the handbook, in the language of whoever asked for the address.
    """
    out = Calendar()
    out.add("prodid", "-//Shaftside//due work//EN")
    out.add("version", "2.0")
    out.add("method", "PUBLISH")
    out.add("x-wr-calname", put(NAME))
    out.add("refresh-interval", timedelta(hours=1), parameters={"value": "DURATION"})
    for one in lines:
        if one.due_at is None:
            continue
        due = datetime.fromisoformat(one.due_at.replace("Z", "+00:00")).astimezone(UTC)
        entry = Event()
        entry.add("uid", f"{one.job.job}.{one.follow_up}@shaftside")
        entry.add("dtstamp", now)
        entry.add("dtstart", due.date())
        entry.add("dtend", due.date() + timedelta(days=1))
        place = f"{one.job.machine_name}, {one.job.position_name}"
        entry.add("summary", f"{said(one.title) or one.follow_up}: {place}")
        entry.add("location", ", ".join(part for part in (one.job.area, place) if part))
        entry.add("url", f"{origin}/desk/jobs/{one.job.job}#later")
        entry.add("description", f"{put(HONEST)} {put(BEGUN)} {origin}/desk/jobs/{one.doing.job}" if one.doing else put(HONEST))
        entry.add("transp", "TRANSPARENT")
        out.add_component(entry)
    return bytes(out.to_ical())

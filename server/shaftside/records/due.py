"""When work that comes later is due, from a job's state alone; twin of web/due.js.

Running hours count from the first start of the machine that the record knows, not from hand-back: from the step that
starts it, or from an entry that says when it ran. Without one the clock has not started. Running without a stop is
assumed, so the moment is the soonest one.

A job of its own closes the later work it was begun for when its technician completes it; a lead who returns or stops it
opens the work again.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

from shaftside.records.model import JobLine, State


def clock_from(state: State, one: dict[str, Any]) -> str | None:
    """Since when a follow-up counts, ISO; None while the machine has not run."""
    completed = state["completed"]
    counts_from = one.get("counts_from")
    if counts_from is None or "running_h" not in (one.get("after") or {}):
        return completed["at"] if completed else None
    starts = [held["started"] for held in state.get("machine_started", []) if not held["claimed"]]
    step = state["steps"].get(counts_from)
    if step is not None and step["status"] == "done":
        starts.append(step.get("afterwards") or step["at"])
    return min(starts, key=_moment) if starts else None


def soonest(state: State, one: dict[str, Any]) -> str | None:
    """The soonest moment it is due, ISO UTC; None where no clock runs or nothing says how long."""
    start, after = clock_from(state, one), one.get("after") or {}
    hours, days = after.get("running_h", after.get("hours")), after.get("days", 0)
    if start is None or (not isinstance(hours, int | float) and not days):
        return None
    then = _moment(start) + timedelta(hours=float(hours or 0), days=float(days))
    return then.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def closed_at(job: State) -> str | None:
    """When a job closed the later work it was begun for, ISO; None before that, and where its completion is only claimed."""
    completed = job["completed"]
    stands = completed and not completed["claimed"] and job["status"] != "stopped"
    return completed["at"] if stands else None


def standing(jobs: Sequence[JobLine]) -> JobLine | None:
    """Of the jobs begun for one follow-up the one that speaks for it: the first that closed it, else the last that goes on."""
    closed = sorted((one for one in jobs if one.closed_at), key=lambda one: (one.closed_at, one.job))
    going = sorted((one for one in jobs if one.status != "stopped"), key=lambda one: (one.started_at, one.job))
    return closed[0] if closed else going[-1] if going else None


def _moment(text: str) -> datetime:
    return datetime.fromisoformat(text.replace("Z", "+00:00"))

"""How long a sign-in lasts, and moments as they are kept."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

IDLE = timedelta(hours=12)  # a shift and its overlap
ABSOLUTE = timedelta(days=7)


def iso(at: datetime) -> str:
    """A moment as it is kept: UTC, to the millisecond."""
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%f")[:-3] + "Z"


def run_out(since: str, last: str, now: datetime) -> bool:
    """Whether a sign-in is too old, or was left alone too long."""
    began, seen = datetime.fromisoformat(since), datetime.fromisoformat(last)
    return now - began > ABSOLUTE or now - seen > IDLE

"""What a lead's eyes are for before a signature, and what is in order, said shortly. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from shaftside.pages.board import BoardRow
from shaftside.pages.job_page import ReadingRow, StepRow
from shaftside.sentence import listed, tell


@dataclass(frozen=True)
class Look:
    """One thing to look at. where: the id on the page that shows it whole; by: (person, time)."""

    what: str
    said: str
    where: str
    by: tuple[str, str]
    also: str = ""


@dataclass(frozen=True)
class InOrder:
    """Counts of what is in order: steps that were done, steps that applied or were marked not applicable, rows of the board by list."""

    done: int
    steps: int
    rows: tuple[tuple[str, int], ...]


def taken_again(rows: Iterable[ReadingRow]) -> list[list[ReadingRow]]:
    """Readings that were taken more than once, each in the order taken; refused entries do not count as taken."""
    by_place: dict[tuple[str, str], list[ReadingRow]] = {}
    for row in rows:
        if not row.refused:
            by_place.setdefault((row.step, row.reading), []).append(row)
    return [held for held in by_place.values() if len(held) > 1]


def value(row: ReadingRow) -> str:
    """A reading in a few words: the values of its windows, else what was typed."""
    measured = [f"{one.label} {one.value}" for one in row.windows if one.value]
    return listed(measured or [text for _, text in row.typed])


def cautions(rows: Iterable[ReadingRow]) -> list[Look]:
    """Readings that count and that the sheet lets stand with a caution, with what it says."""
    return [
        Look(row.label, "; ".join(text for level, text in row.checks if level == "caution") or value(row), f"r-{row.event}", (row.by, row.at))
        for row in rows
        if row.counts and row.verdict == "caution" and not row.needs_lead
    ]


def holds(steps: Iterable[StepRow]) -> list[Look]:
    """Steps at which a second person had to look, with who did."""
    return [
        Look(one.do, "" if one.confirmed else tell("nobody else has looked"), f"s-{one.id}", (by, at), how)
        for one in steps
        if one.hold == "second_person" and one.status == "done"
        for by, at, how in (one.confirmed or [("", "", "")])
    ]


def afterwards(rows: Iterable[ReadingRow], steps: Iterable[StepRow]) -> list[Look]:
    """What was noted after it was done: steps, and readings of steps that were not themselves noted afterwards."""
    late = [one for one in steps if one.afterwards]
    of_steps = {one.id for one in late}
    found = [Look(one.do, one.reason or "", f"s-{one.id}", (one.by or "", one.afterwards or "")) for one in late]
    return found + [
        Look(row.label, value(row), f"r-{row.event}", (row.by, row.afterwards)) for row in rows if row.afterwards and row.step not in of_steps
    ]


def in_order(steps: Sequence[StepRow], board: Iterable[tuple[str, list[BoardRow]]]) -> InOrder:
    """The counts."""
    return InOrder(
        sum(one.status == "done" for one in steps),
        len(steps),
        tuple((title, len(rows)) for title, rows in board),
    )


def parts(context: dict[str, Any]) -> dict[str, Any]:
    """What sign.html shows beyond the job's own parts."""
    rows, steps = context["readings"], context["steps"]
    return {
        "again": taken_again(rows),
        "value": value,
        "cautions": cautions(rows),
        "holds": holds(steps),
        "afterwards": afterwards(rows, steps),
        "in_order": in_order(steps, context["board"]),
    }

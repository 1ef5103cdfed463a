"""The page a lead signs on: what needs eyes stands open, what is in order is one line each, and paper holds all of it."""

from __future__ import annotations

from dataclasses import replace

from shaftside.pages import sign_off
from shaftside.pages.job_page import ReadingRow, StepRow

READ = ReadingRow(
    "e1", "drive_up", "step_up", "After this step", "p1", "2026-11-20T08:00:00Z", "not_yet", [("Clearance now", "0.045 mm")],
    [], [("caution", "Go on in small steps.")], [], [], "", None, False, False, None, False, False, "taper_drive_up",
)  # fmt: skip
STEP = StepRow("tab_on", 1, "work", "Lock the nut.", "", "done", "p1", "2026-11-20T09:00:00Z", None, None, [], False, "e9", [], None)


def test_a_reading_taken_twice_is_told_in_the_order_taken() -> None:
    last = replace(READ, event="e2", at="2026-11-20T08:20:00Z", verdict="inside", counts=True)
    other = replace(READ, event="e3", reading="other")
    assert [[row.event for row in held] for held in sign_off.taken_again([READ, other, last])] == [["e1", "e2"]]
    # a refused entry has no effect: it was not taken
    assert sign_off.taken_again([replace(READ, refused=True), last]) == []


def test_a_caution_counts_only_while_its_reading_does() -> None:
    row = replace(READ, verdict="caution", counts=True)
    assert [one.said for one in sign_off.cautions([row])] == ["Go on in small steps."]
    assert sign_off.cautions([replace(row, counts=False)]) == []
    assert sign_off.cautions([replace(row, needs_lead=True)]) == []  # stands in the box above, with its form


def test_who_looked_and_what_was_noted_afterwards() -> None:
    held = replace(STEP, hold="second_person")
    assert [(one.said, one.by) for one in sign_off.holds([held])] == [("nobody else has looked", ("", ""))]
    seen = replace(held, confirmed=[("p2", "2026-11-20T10:00:00Z", ", by PIN")])
    assert [(one.said, one.by) for one in sign_off.holds([seen])] == [("", ("p2", "2026-11-20T10:00:00Z"))]
    late = replace(STEP, afterwards="2026-11-20T07:00:00Z")
    mine = replace(READ, step="tab_on", afterwards="2026-11-20T07:00:00Z")
    assert [one.where for one in sign_off.afterwards([mine], [late])] == ["s-tab_on"]  # told once
    assert [one.where for one in sign_off.afterwards([mine], [STEP])] == ["r-e1"]

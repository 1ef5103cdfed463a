"""The one reading of the list's filter that page and CSV share."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

from shaftside.pages import words
from shaftside.records import JobLine, JobQuery
from shaftside.sentence import tell

MOST = 5000
PAGE = 50
WORST = ("refused", "stop", "cannot_tell", "over", "under", "not_yet", "caution", "inside", "none")
FIELDS = ("text", "machine", "position", "method", "work", "status", "verdict", "deviations", "person", "since", "until", "sort")
SORTS: dict[str, tuple[Callable[[JobLine], Any], bool]] = {
    "new": (lambda job: (job.started_at, job.job), True),
    "old": (lambda job: (job.started_at, job.job), False),
    "machine": (lambda job: (job.machine_name.casefold(), job.position_name.casefold(), job.started_at), False),
    "worst": (lambda job: WORST.index(job.worst) if job.worst in WORST else len(WORST), False),
    "status": (lambda job: (list(words.STATUS).index(job.status) if job.status in words.STATUS else 99, job.started_at), False),
}
DEVIATIONS = ("any", "open", "none")


def read_filter(given: Mapping[str, str]) -> tuple[JobQuery, dict[str, str], dict[str, str]]:
    """(query, what was typed, problems by field). A field that cannot be read is left out of the query."""
    typed = {name: str(given.get(name, "")).strip()[:200] for name in FIELDS}
    problems: dict[str, str] = {}
    for name, label in (("since", tell("Started from")), ("until", tell("Started until"))):
        if typed[name]:
            try:
                date.fromisoformat(typed[name])
            except ValueError:
                problems[name] = tell("%(label)s: “%(typed)s” is not a day. Write it as year-month-day, for example 2026-03-31.", label=label, typed=typed[name])
    if not problems and typed["since"] and typed["until"] and typed["since"] > typed["until"]:
        problems["until"] = tell("Started until: this day is before the first one.")
    for name, known in (
        ("status", tuple(words.STATUS)),
        ("verdict", tuple(words.VERDICTS)),
        ("deviations", DEVIATIONS),
        ("work", tuple(words.WORK)),
        ("sort", tuple(SORTS)),
    ):
        if typed[name] and typed[name] not in known:
            problems[name] = tell("“%(typed)s” is not a choice here.", typed=typed[name])
    use = {name: ("" if name in problems else text) for name, text in typed.items()}
    query = JobQuery(
        text=use["text"],
        machine=use["machine"] or None,
        position=use["position"] or None,
        method=use["method"] or None,
        work=use["work"] or None,
        status=(use["status"],) if use["status"] else (),
        person=use["person"] or None,
        verdict=(use["verdict"],) if use["verdict"] else (),
        deviations=use["deviations"] or None,  # type: ignore[arg-type]
        since=use["since"] or None,
        until=use["until"] or None,
        limit=MOST + 1,
    )
    return query, typed, problems


def in_order(rows: list[JobLine], sort: str) -> list[JobLine]:
    """Rows in the order asked for; newest first within equals."""
    key, reverse = SORTS.get(sort, SORTS["new"])
    newest = sorted(rows, key=lambda job: job.started_at, reverse=True)
    return sorted(newest, key=key, reverse=reverse)


CSV_HEADER = (
    "job", "machine", "machine name", "area", "position", "work", "locking method", "status", "started (UTC)",
    "started by", "completed (UTC)", "signed (UTC)", "signed by", "people", "worst reading", "readings", "deviations",
    "deviations not decided", "only claimed", "events",
)  # fmt: skip


def csv_row(job: JobLine, names: Mapping[str, str]) -> list[object]:
    """One row of the list under CSV_HEADER."""
    return [
        job.job, job.machine, job.machine_name, job.area, job.position_name, words.word(words.WORK, job.work),
        words.word(words.METHODS, job.method), words.word(words.STATUS, job.status), job.started_at,
        names.get(job.started_by, job.started_by), job.completed_at, job.signed_at,
        names.get(job.signed_by, job.signed_by) if job.signed_by else "",
        "; ".join(names.get(one, one) for one in job.people), words.word(words.VERDICTS, job.worst),
        "; ".join(words.word(words.VERDICTS, one) for one in job.verdicts), job.deviations, job.deviations_open,
        job.claimed, job.events,
    ]  # fmt: skip

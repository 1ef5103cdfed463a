"""The board of a job's control of energy as the desk lists it: by list, each row with its facts and its end. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from shaftside.pages.entries import entry_shown, units_of
from shaftside.review.record import say
from shaftside.sentence import listed, tell


@dataclass(frozen=True)
class BoardRow:
    """facts: (label, value); about: the sources in words; ended: "" while it stands."""

    facts: list[tuple[str, str]]
    about: str
    by: str
    at: str
    claimed: bool
    checks: list[tuple[str, str, str]]
    ended: str
    ended_by: str
    ended_at: str
    exception: list[tuple[str, str]]
    note: str


def board(state: dict[str, Any], bundle: dict[str, Any], lang: str = "en") -> list[tuple[str, list[BoardRow]]]:
    """(title, rows) of every list that has rows, in the handbook's order; empty for a job from before the board."""
    held: list[dict[str, Any]] = state.get("board") or []
    made = bundle.get("board") or {}
    units = units_of(bundle.get("calc", {}), lang)
    short = {row["event"]: _short(row, made, units, lang) for row in held}
    out = []
    for name in made.get("order") or list(dict.fromkeys(row["list"] for row in held)):
        rows = [_row(row, made, units, short, lang) for row in held if row["list"] == name]
        if rows:
            out.append((say(made.get("lists", {}).get(name, {}).get("title"), lang) or name, rows))
    return out


def _facts(fields: dict[str, Any], specs: list[dict[str, Any]], units: dict[str, Any], lang: str) -> list[tuple[str, str]]:
    known = {one["name"]: one for one in specs}
    order = [*known, *(name for name in fields if name not in known)]
    return [
        (
            say(known.get(name, {}).get("label"), lang) or name.replace("_", " "),
            entry_shown(fields[name], units, known.get(name, {}).get("choices"), lang),
        )
        for name in order
        if name in fields
    ]


def _short(row: dict[str, Any], made: dict[str, Any], units: dict[str, Any], lang: str) -> str:
    specs = made.get("lists", {}).get(row["list"], {}).get("fields", [])
    return ", ".join(value.split(":")[0] for _, value in _facts(row["fields"], specs, units, lang)[:2])


def _row(row: dict[str, Any], made: dict[str, Any], units: dict[str, Any], short: dict[str, str], lang: str) -> BoardRow:
    spec = made.get("lists", {}).get(row["list"], {})
    end = row["ended"] or {}
    said = ""
    if end:
        said = tell("a mistake") if end["mistake"] else tell("off") if end["by_owner"] else tell("taken off for an absent owner")
    return BoardRow(
        _facts(row["fields"], spec.get("fields", []), units, lang),
        listed((short.get(one, tell("a row not held here")) for one in row["of"]), "; "),
        row["by"],
        row["at"],
        row["claimed"],
        [(one["by"], one["at"], one["showed"]) for one in row["checks"]],
        said,
        end.get("by", ""),
        end.get("at", ""),
        _facts(end.get("exception") or {}, made.get("exception", []), units, lang),
        end.get("note", ""),
    )

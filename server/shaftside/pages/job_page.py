"""What the pages of one job show, worked out from its view. Pure: no request, no database, no words of the trade."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from markupsafe import Markup

from shaftside.pages import numbers, words
from shaftside.pages import window as drawing
from shaftside.pages.entries import (
    Gone,
    document,
    entry_shown,
    facts_shown,
    instrument_shown,
    makers_shown,
    named,
    typed_system,
    unit_of,
    units_of,
)
from shaftside.review.record import (
    body,
    current,
    in_doubt,
    needs_lead,
    say,
    step_id,
    steps_by_id,
    verdict_of,
)
from shaftside.sentence import joined, language_name, listed, tell

Show = Callable[[dict[str, Any], Any, str, str, str], str]
"""(program, SI value, unit code, system "metric"|"inch", language) -> text with its unit."""


@dataclass(frozen=True)
class WindowRow:
    """One window of one reading: its words and its drawing."""

    label: str
    value: str
    limits: str
    never: str
    position: str
    gauge: Markup


@dataclass(frozen=True)
class ReadingRow:
    """One reading as the desk shows it. typed: (label, as typed with unit) of what was asked."""

    event: str
    step: str
    reading: str
    label: str
    by: str
    at: str
    verdict: str
    typed: list[tuple[str, str]]
    windows: list[WindowRow]
    checks: list[tuple[str, str]]
    makers: list[tuple[str, str, str]]
    asks: list[tuple[str, bool]]
    instrument: str
    afterwards: str | None
    claimed: bool
    refused: bool
    accepted: str | None
    needs_lead: bool
    counts: bool
    sheet: str | None
    seen: str = ""

    @property
    def in_words(self) -> bool:
        """Whether nothing judged it: no window, no check, no instrument's limits to draw."""
        return self.verdict == "none" and not (self.windows or self.checks or self.makers)


@dataclass(frozen=True)
class StepRow:
    """One step of the procedure with what was recorded at it."""

    id: str
    number: int
    phase: str
    do: str
    why: str
    status: str
    by: str | None
    at: str | None
    reason: str | None
    afterwards: str | None
    confirmed: list[tuple[str, str, str]]
    agreed: bool
    event: str | None
    readings: list[ReadingRow]
    caution: tuple[str, str] | None
    missing: list[str] = field(default_factory=list)
    plant: str = ""
    seen: str = ""
    hold: str = ""


def seen(held: Mapping[str, Any]) -> str:
    """"read in Spanish, translation not reviewed"; nothing where it was read in the source language."""
    lang = str(held.get("lang") or "en")
    if lang == "en":
        return ""
    read = tell("read in %(language)s", language=language_name(lang))
    return joined(read, ", ", tell("translation not reviewed")) if held.get("unreviewed") is True else read


class Reader:
    """Turns a job's state into rows, in one language and one system of units ("typed", "metric", "inch")."""

    def __init__(self, view: Any, show: Show, system: str = "typed", lang: str = "en", gone: Gone | None = None) -> None:  # fmt: skip
        """gone: plant's values that were withdrawn, to say so beside a reading that used one."""
        self.gone = gone or {}
        self.state: dict[str, Any] = view.state
        self.bundle: dict[str, Any] = view.bundle or {}
        self.program: dict[str, Any] = self.bundle.get("calc", {})
        self.units = units_of(self.program, lang)
        self.procedure: dict[str, Any] | None = view.procedure
        self.progress: dict[str, Any] | None = view.progress
        self.steps = steps_by_id(view.procedure)
        self.show, self.system, self.lang = show, system, lang

    def text(self, value: Any) -> str:
        """Content text in the reader's language."""
        return say(value, self.lang)

    def step_words(self, step: str) -> str:
        """A step's own imperative, else its id."""
        return self.text(self.steps.get(step, {}).get("do")) or step.replace("_", " ")

    def reading_words(self, step: str, reading: str) -> str:
        """A reading's label, else its id."""
        made = self._made(step, reading)
        return self.text(made.get("label")) or reading.replace("_", " ")

    def _made(self, step: str, reading: str) -> dict[str, Any]:
        for one in self.steps.get(step, {}).get("readings", []):
            if one.get("reading") == reading:
                return dict(one)
        return {}

    def number(self, value: Any, unit: str, entries: dict[str, Any] | None = None) -> str:
        """An SI value in words; as typed keeps to the system that this kind was typed in, the others turn it."""
        if value is None:
            return ""
        if self.system == "typed":
            units = self.program.get("units", {})
            return self.show(self.program, value, unit, typed_system(units, unit, entries or {}), self.lang)
        return self.show(self.program, value, unit, self.system, self.lang)

    def readings(self, step: str | None = None) -> list[ReadingRow]:
        """Every reading kept, of one step or of all, in the order taken; refused ones too, marked."""
        out = []
        for key, held in self.state.get("readings", {}).items():
            at_step, _, name = key.partition("/")
            if step is not None and at_step != step:
                continue
            now = current(held)
            for one in held.get("all", []):
                counts = now is not None and one.get("event") == now.get("event")
                out.append(self._reading(at_step, name, one, counts and not in_doubt(held)))
        return sorted(out, key=lambda row: row.at)

    def _reading(self, step: str, name: str, one: dict[str, Any], counts: bool) -> ReadingRow:
        held = body(one)
        sheet = held.get("sheet")
        entries = held.get("entries") or {}
        made = self._made(step, name)
        inputs = {
            i["name"]: i for i in named(self.program.get("sheets", {}).get(sheet or "", {}).get("inputs"))
        }
        units = self.units
        asked = [key for key in [*made.get("ask", []), *made.get("may", [])] if key in entries] or list(entries)
        typed = [
            (
                self.text(inputs.get(key, {}).get("label")) or key.replace("_", " "),
                entry_shown(entries[key], units, inputs.get(key, {}).get("choices"), self.lang),
            )
            for key in asked
        ]
        if held.get("value") is not None:
            typed.append(
                (self.reading_words(step, name), entry_shown(held["value"], units, made.get("choices"), self.lang))
            )
        result = held.get("result") or {}
        accepted = one.get("accepted")
        reason = accepted.get("reason", "") if isinstance(accepted, dict) else ""
        return ReadingRow(
            event=str(one.get("event", "")),
            step=step,
            reading=name,
            label=self.reading_words(step, name),
            by=str(one.get("by", "")),
            at=str(one.get("at", "")),
            verdict=verdict_of(one),
            typed=typed,
            windows=self._windows(sheet, entries | (held.get("maker") or {}), result, verdict_of(one)),
            checks=[(str(c.get("level", "")), self._check(c, held)) for c in result.get("checks", [])],
            makers=self._makers(sheet, held.get("maker") or {}, (result.get("defaults") or {})),
            asks=numbers.asked(self.program, held, self.lang),
            instrument=instrument_shown(held.get("instrument"), units),
            afterwards=one.get("afterwards") or held.get("afterwards"),
            claimed=bool(one.get("claimed")),
            refused=bool(one.get("refused")),
            accepted=(reason or tell("accepted")) if accepted else None,
            needs_lead=needs_lead(one),
            counts=counts,
            sheet=sheet,
            seen=seen(held),
        )

    def _windows(
        self, sheet: str | None, entries: dict[str, Any], result: dict[str, Any], verdict: str
    ) -> list[WindowRow]:
        made = {
            w["name"]: w for w in named(self.program.get("sheets", {}).get(sheet or "", {}).get("windows"))
        }
        out = []
        held = [one for one in result.get("windows", []) if one.get("value") is not None]
        for found in held or result.get("windows", []):
            about = made.get(found.get("name"), {})
            unit = unit_of(self.program, sheet or "", str(about.get("value", "")), entries)
            low, high, value = found.get("low"), found.get("high"), found.get("value")
            if low is None and high is None:
                continue
            shown = {
                key: self.number(found.get(key), unit, entries)
                for key in ("low", "high", "value", "never_below", "never_above")
            }
            if low is not None and high is not None:
                limits = tell("%(low)s to %(high)s", low=shown["low"], high=shown["high"])
            else:
                limits = tell("at least %(low)s", low=shown["low"]) if low is not None else tell("at most %(high)s", high=shown["high"])
            never = [tell("never below %(least)s", least=shown["never_below"])] if shown["never_below"] else []
            never += [tell("never above %(most)s", most=shown["never_above"])] if shown["never_above"] else []
            position = str(found.get("position", "none"))
            if value is None:
                position = "none"
            out.append(
                WindowRow(
                    self.text(about.get("label")) or str(found.get("name", "")),
                    shown["value"],
                    limits,
                    listed(never),
                    position,
                    drawing.gauge(found, shown, position),
                )
            )
        return out

    def _check(self, check: dict[str, Any], held: dict[str, Any]) -> str:
        """A check's sentence. Its numbers come from working the reading out again: events need not carry them."""
        name, sheet = str(check.get("name", "")), str(held.get("sheet") or "")
        result = numbers.worked_out(self.program, held)
        if result is None:
            return name.replace("_", " ")
        system = "metric" if self.system == "typed" else self.system
        return numbers.said(self.program, sheet, name, result, held.get("entries") or {}, system, self.lang) or name

    def _makers(
        self, sheet: str | None, makers: dict[str, Any], own: dict[str, Any]
    ) -> list[tuple[str, str, str]]:
        """(label, value, document and what the sheet itself gives) of each maker's value used."""
        out = []
        lines = {
            line["name"]: line
            for line in named(self.program.get("sheets", {}).get(sheet or "", {}).get("lines"))
        }
        for key, made in makers.items():
            if not isinstance(made, dict):
                continue
            name = key.rpartition(".")[2]
            line = lines.get(name, {})
            value, said = document(made, self.program, self.gone, self.lang)
            if name in own:
                gives = self.number(own[name], str(line.get("unit", "1")), {name: made})
                more = tell("The sheet itself gives %(value)s.", value=gives) if gives else tell("The sheet itself has no figure.")
                said = joined(said, ". ", more)
            out.append((self.text(line.get("label")) or name, value, said))
        return out

    def job_makers(self) -> list[tuple[str, str, str]]:
        """The maker's values given for the whole job: (sheet and line, value, document)."""
        return makers_shown(self.state.get("maker") or {}, self.program, self.lang, self.gone)

    def facts(self) -> list[tuple[str, str]]:
        """(label, value) of every fact of the job, in the handbook's order."""
        return facts_shown(self.state.get("facts") or {}, self.bundle, self.lang)

    def step_rows(self) -> list[StepRow]:
        """Every step of the procedure that applies; without a procedure those that were recorded."""
        asked = {step_id(one): one for one in (self.progress or {}).get("steps", [])}
        ids = list(self.steps) or list(self.state.get("steps", {}))
        out = []
        for number, name in enumerate(ids, start=1):
            made = self.steps.get(name, {})
            held = self.state.get("steps", {}).get(name, {})
            status = asked.get(name, {}).get("status") or held.get("status") or "open"
            caution = made.get("caution")
            out.append(
                StepRow(
                    name,
                    number,
                    str(made.get("phase", "")),
                    self.step_words(name),
                    self.text(made.get("why")),
                    str(status),
                    held.get("by"),
                    held.get("at"),
                    held.get("reason") or held.get("note"),
                    held.get("afterwards"),
                    [
                        (str(c.get("by", "")), str(c.get("at", "")), words.CONFIRMED_BY.get(str(c.get("confirmed_by")), ""))
                        for c in held.get("confirmed", [])
                        if isinstance(c, dict)
                    ],
                    bool(held.get("agreed")),
                    held.get("event"),
                    self.readings(name),
                    (str(caution.get("signal", "")), self.text(caution.get("text"))) if caution else None,
                    [self.reading_words(name, r) for r in asked.get(name, {}).get("missing", [])],
                    self.text((self.bundle or {}).get("plant", {}).get("title")) if made.get("plant") else "",
                    seen(held),
                    str(made.get("hold") or ""),
                )
            )
        return [row for row in out if row.status != "does_not_apply"]

    def conflicts(self) -> list[tuple[str, str, str, list[ReadingRow]]]:
        """(step, reading, label, candidates) where two people's readings stand."""
        out = []
        for key, held in self.state.get("readings", {}).items():
            if not in_doubt(held):
                continue
            step, _, name = key.partition("/")
            rivals = held["conflict"] if isinstance(held.get("conflict"), list) else None
            rows = [
                self._reading(step, name, one, False)
                for one in held.get("all", [])
                if not one.get("refused") and (rivals is None or one.get("event") in rivals)
            ]
            out.append((step, name, self.reading_words(step, name), rows))
        return out

    def blocker_words(self, blocker: dict[str, Any]) -> tuple[str, str, str]:
        """(what, where, what to do) of one thing that holds the sign-off up."""
        what, do = words.BLOCKERS.get(
            str(blocker.get("code")), (str(blocker.get("code")).replace("_", " "), "")
        )
        step, reading = blocker.get("step"), blocker.get("reading")
        where = self.step_words(step) if step else ""
        if reading:
            step_part, slash, name = str(reading).partition("/")
            label = (
                self.reading_words(step_part, name)
                if slash
                else self.reading_words(str(step or ""), str(reading))
            )
            where = f"{where} — {label}" if where else label
        return what, where, do

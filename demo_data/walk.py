"""One person's walk through a procedure of the handbook, written down as drafts of events.

Nothing here knows a step by name: which apply, what they need and what they ask is read from
the procedure, so that a changed procedure changes the demo and does not break it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from shaftside import calc

from . import photos
from .ids import uuid7, wall
from .performer import NO_WORDS, PREFERRED, Performer
from .scenario import Person, Position, Scenario


@dataclass(frozen=True)
class Draft:
    """An event before it is in a chain. at: UTC. by: who it names as its actor. mark: for the story."""

    record: str
    kind: str
    body: dict[str, Any]
    by: str
    at: datetime
    mark: str = ""
    id: str | None = None


@dataclass
class Walk:
    """A job about to be done. until: "" to the end, half_safe or half_taper to stop there."""

    scenario: Scenario
    bundle_hash: str
    procedure: dict[str, Any]
    position: Position
    facts: dict[str, Any]
    job: str
    worker: Person
    second: Person
    performer: Performer
    at: datetime
    until: str = ""
    parent: str | None = None
    follow_up: str | None = None
    found: dict[str, str] = field(default_factory=dict)
    rows: dict[str, str] = field(default_factory=dict)
    to_end: dict[str, list[str]] = field(default_factory=dict)
    values: dict[str, dict[str, Any]] = field(default_factory=dict)
    outstanding: list[dict[str, Any]] = field(default_factory=list)

    def drafts(self) -> Iterator[Draft]:
        """Every event of the job, from start to completion, or to where the story leaves it."""
        yield self._draft("job_started", self._start_body())
        steps = [step for step in self.procedure["steps"] if self._applies(step)]
        safe = [step["step"] for step in steps if step.get("phase") == "make_safe"]
        half_safe = safe[len(safe) // 2] if safe else ""
        flaws = self.performer.flaws
        for step in steps:
            if self.until == "half_safe" and step["step"] == half_safe:
                return
            if "thin_reason" in flaws and self._may_skip(step):
                flaws.discard("thin_reason")
                yield self._draft("step_not_applicable", {"step": step["step"], "reason": "n/a"})
                continue
            late = self._late(step)
            stopped = False
            for reading in step.get("readings", []):
                if not self._wanted(reading):
                    continue
                stopped = self.until == "half_taper" and "clearance_now" in reading.get("ask", [])
                if stopped:
                    self.performer.share = 0.5
                taken = self._reading(step, reading, late)
                if not reading.get("required", True) and taken.body.get("result", {}).get("status") == "refused":
                    continue  # an instrument that does not speak of this machine is left in its case
                yield taken
                if stopped:
                    return
            yield from self._board(step)
            yield from self._close(step, late)
            yield from self._photo(step["step"], step["step"])
            if "deviation" in flaws and step.get("phase") == "work":
                flaws.discard("deviation")
                text = str(self.scenario.raw["deviation"])
                yield self._draft("deviation_raised", {"step": step["step"], "text": text})
                yield from self._photo("deviation", step["step"])
        runs = next((step["step"] for step in self.procedure["steps"] if step.get("starts_running")), None)
        for one in self.procedure.get("follow_ups", []):
            after = self._after(one["after"])
            if after:
                told = {"follow_up": one["follow_up"], "title": one["title"], "after": after}
                self.outstanding.append(told | ({"counts_from": runs} if runs else {}))
        yield self._draft("job_completed", {"outstanding": self.outstanding})

    # -- parts ----------------------------------------------------------------------------------

    def _after(self, after: dict[str, Any]) -> dict[str, Any] | None:
        """Running hours of later work; those that a sheet gives only where its reading was taken, in whole hours as the phone has them."""
        if "reading" not in after:
            return after
        seconds = self.values.get(after["reading"], {}).get(after["line"])
        return None if seconds is None else {"running_h": max(1, int(seconds // 3600))}

    def _photo(self, where: str, step: str) -> Iterator[Draft]:
        """The photo that the scenario has for a step, in the stories that were photographed."""
        name = self.scenario.raw["photos"].get(where)
        if name and "photos" in self.performer.flaws:
            yield Draft(self.job, "photo_added", photos.body(name, step), self.worker.id, self.at + timedelta(seconds=20))

    def _start_body(self) -> dict[str, Any]:
        body: dict[str, Any] = {
            "position": self.position.id,
            "machine": self.position.machine,
            "position_name": self.position.name,
            "procedure": self.procedure["procedure"],
            "method": self.procedure["method"],
            "work": self.procedure["work"],
            "bundle": self.bundle_hash,
            "facts": self.position.facts,
            "maker": self.position.maker,
        }
        if self.parent:
            body["parent_job"] = self.parent
        if self.follow_up:
            body["follow_up"] = self.follow_up
        return body

    def _tick(self, least: int = 1, most: int = 5) -> datetime:
        self.at += timedelta(seconds=self.performer.rng.randint(least * 60, most * 60))
        return self.at

    def _draft(self, kind: str, body: dict[str, Any], by: Person | None = None, mark: str = "") -> Draft:
        return Draft(self.job, kind, body, (by or self.worker).id, self._tick(), mark)

    def _applies(self, step: dict[str, Any]) -> bool:
        return step.get("when") is None or calc.truth(step["when"], self.facts) is not False

    def _wanted(self, reading: dict[str, Any]) -> bool:
        """Required readings, and a share of the others; by a sheet only where the scenario says what was seen for it."""
        when = reading.get("when")
        if when is not None and calc.truth(when, self.facts) is False:
            return False
        if not reading.get("required", True) and reading.get("sheet") not in (None, *self.position.seen):
            return False
        return bool(reading.get("required", True)) or self.performer.rng.random() < 0.5

    @staticmethod
    def _may_skip(step: dict[str, Any]) -> bool:
        return (
            step.get("not_applicable") == "reason"
            and step.get("phase") in ("prepare", "work")
            and not any(one.get("required", True) for one in step.get("readings", []))
        )

    def _late(self, step: dict[str, Any]) -> str | None:
        """For the story where the day's readings were written down in the evening."""
        if (
            "afterwards" not in self.performer.flaws
            or step.get("phase") != "work"
            or not step.get("readings")
        ):
            return None
        return wall(self.at - timedelta(hours=3, minutes=20))

    def _common(self, late: str | None) -> dict[str, Any]:
        common: dict[str, Any] = {"lang": "en", "units": "inch" if self.performer.inch else "metric"}
        return {**common, "afterwards": late} if late else common

    def _close(self, step: dict[str, Any], late: str | None) -> Iterator[Draft]:
        name = step["step"]
        if step.get("proves_zero_energy"):
            yield self._draft(
                "zero_energy_proved",
                {
                    "step": name,
                    "how": "Own lock and tag on the isolator, shaft blocked; start tried at the local panel.",
                    "tried": "Start button pressed twice after isolation: nothing moved. Dead at all three phases.",
                    "tester": "Voltage tester V-2 (demo), tried on a live point before and after.",
                    "lang": "en",
                },
            )
        else:
            if step.get("undoes_zero_energy"):
                yield self._draft(
                    "zero_energy_lost", {"step": name, "reason": "Locks off for the return to service."}
                )
            by = self.worker
            if "claimed" in self.performer.flaws and step.get("phase") == "work":
                # somebody who never signed in on this phone
                self.performer.flaws.discard("claimed")
                by = self.scenario.people["jonas"]
            yield self._draft("step_done", {"step": name, **self._common(late)}, by)
        if step.get("hold") == "second_person":
            body = {"step": name, "name_of_second_person": self.second.name}
            yield self._draft("step_confirmed", body, self.second)

    def _reading(self, step: dict[str, Any], reading: dict[str, Any], late: str | None) -> Draft:
        name, which = step["step"], reading["reading"]
        body: dict[str, Any] = {
            "step": name,
            "reading": which,
            "bundle": self.bundle_hash,
            **self._common(late),
        }
        if reading.get("sheet"):
            entries, result = self.performer.perform(name, reading)
            self.values[f"{name}/{which}"] = result.get("values", {})
            body |= {
                "sheet": reading["sheet"],
                "entries": entries,
                "result": {key: one for key, one in result.items() if key not in ("values", "defaults")},
            }
            maker = {
                line.partition(".")[2]: one
                for line, one in self.position.maker.items()
                if line.partition(".")[0] == reading["sheet"]
            }
            if maker:
                body["maker"] = maker
            gauge = self._instrument(reading.get("ask", []))
            if gauge:
                body["instrument"] = gauge
        else:
            value = self._plain(name, reading)
            body["value"] = value
            self.performer.kept[f"{name}/{which}"] = {"value": value}
        return self._draft("reading_taken", body, mark=f"{name}/{which}")

    def _board(self, step: dict[str, Any]) -> Iterator[Draft]:
        """Rows of the control of energy that a step asks for, and their ends where it takes them off."""
        told = self.scenario.raw["board"].get(step["step"], [])
        for row in told if "rows" in step else []:
            fields = {name: _entry(value) for name, value in row["fields"].items()}
            if "owner" in fields:
                fields["owner"] = {"text": self.worker.name}
            body = {"step": step["step"], "list": step["rows"], "fields": fields, "lang": "en"}
            if "of" in row:
                body["of"] = [self.rows[name] for name in row["of"]]
            at = self._tick()
            made = uuid7(at, "row", self.job, len(self.rows))
            self.rows[row["name"]] = made
            if row["fields"].get("placed") is True or step["rows"] == "lock":
                self.to_end.setdefault(step["rows"], []).append(made)
            yield Draft(self.job, "row_added", body, self.worker.id, at, id=made)
        for made in self.to_end.pop(step.get("ends", ""), []):
            body = {"step": step["step"], "row": made, "list": step["ends"], "by_owner": True}
            yield self._draft("row_ended", body)

    def _instrument(self, asked: list[str]) -> dict[str, Any] | None:
        """The instrument of a reading and the day it was last calibrated, seen from the job's day."""
        inch = "_inch" if self.performer.inch else ""
        if "set_to" in asked:
            key = "wrench_old" if "wrench_old" in self.performer.flaws else f"wrench{inch}"
        elif "plane_1" in asked:
            key = f"micrometer{inch}"
        elif "clearance_before" in asked or "clearance_now" in asked:
            key = "feelers"
        else:
            return None
        spec = self.scenario.raw["instruments"][key]
        day = self.at.date()
        age = spec.get("calibrated_days_before")
        if age is None:
            age = day.toordinal() % int(spec["cycle_days"])
        return {"name": spec["name"], "calibrated": (day - timedelta(days=int(age))).isoformat()}

    def _plain(self, step: str, reading: dict[str, Any]) -> dict[str, Any]:
        """A reading no sheet judges: a choice, a yes or no, a word of text or a figure by its kind."""
        kind, name = reading.get("kind"), f"{step} {reading['reading']}"
        told = self.scenario.raw
        which = str(reading["reading"])
        if kind == "yesno":
            return {"yes": not any(part in name for part in NO_WORDS)}
        if kind == "word":
            words = self.performer.choices(reading)
            fact = self.performer.facts.get(which.removesuffix("_seen"), {}).get("word")
            wanted = [self.found.get(which), told["words"].get(which), fact, *PREFERRED]
            if which == "other_end":
                wanted.insert(0, "free" if self.performer.facts["end"]["word"] == "fixed" else "held")
            return {"word": next((word for word in wanted if word in words), words[0])}
        if kind == "text":
            return {
                "text": self.found.get(which) or str(told["texts"].get(which, "As expected; nothing to add."))
            }
        if which in told["figures"]:
            figure, unit = told["figures"][which]
            return {"typed": self.found.get(which) or str(figure), "unit": unit}
        figures = {
            "temperature": ("38", "degC"),
            "temperature_difference": ("14", "K"),
            "length": ("0.02", "mm"),
            "velocity": ("1.6", "mm/s"),
            "time": ("24", "h"),
            "angle": ("5", "deg"),
            "torque": ("12", "N.m"),
            "mass": ("18", "g"),
            "rotation": ("60", "r/min"),
        }
        typed, unit = figures.get(str(kind), ("1", "1"))
        return {"typed": typed, "unit": unit}


def _entry(value: Any) -> dict[str, Any]:
    """A value of the scenario as an entry: yes or no, `word:` a chosen word, a number of minutes, else text."""
    if isinstance(value, bool):
        return {"yes": value}
    if isinstance(value, int):
        return {"typed": str(value), "unit": "1"}
    return {"word": value[5:]} if value.startswith("word:") else {"text": value}

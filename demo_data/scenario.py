"""The invented plant as scenario.yaml tells it: people, devices, machines, positions, stories."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time
from functools import cached_property
from pathlib import Path
from typing import Any

import yaml

from .ids import uuid7

_NUMBER = re.compile(r"^(-?\d[\d./-]*) ([A-Za-z][A-Za-z./]*)$")
FOLDER = Path(__file__).parent


@dataclass(frozen=True)
class Person:
    """One invented person. comma: types a decimal comma."""

    key: str
    id: str
    name: str
    login: str
    roles: tuple[str, ...]
    works: bool = False
    comma: bool = False
    demo: str | None = None


@dataclass(frozen=True)
class Device:
    """One phone and who has signed in on it."""

    key: str
    id: str
    name: str
    people: tuple[Person, ...]


@dataclass(frozen=True)
class Position:
    """One place on one machine; facts and maker as entries, ready for an event. seen: entries by sheet."""

    key: str
    id: str
    name: str
    machine: dict[str, str]
    facts: dict[str, dict[str, Any]]
    maker: dict[str, dict[str, Any]]
    seen: dict[str, dict[str, dict[str, Any]]]

    @property
    def method(self) -> str:
        return str(self.facts["locking_method"]["word"])


@dataclass(frozen=True)
class Story:
    """One told job. end: signed, waiting, returned, half_safe or half_taper."""

    key: str
    position: str
    before: int
    flaws: frozenset[str]
    end: str
    accept: str = ""
    reason: str = ""


@dataclass(frozen=True)
class Failure:
    """One told failure, so many days after the mounting it follows."""

    key: str
    follows: str
    after: int
    running_h: int
    text: str
    appearance: str
    found: dict[str, str]


@dataclass
class Scenario:
    """Everything told, with ids that depend on the day the history ends."""

    raw: dict[str, Any]
    today: date
    people: dict[str, Person] = field(default_factory=dict)

    @classmethod
    def read(cls, today: date, people: dict[str, str] | None = None) -> Scenario:
        """Read scenario.yaml. people: ids already given to people, by key; others get their own."""
        raw = yaml.load((FOLDER / "scenario.yaml").read_text("utf-8"), yaml.CSafeLoader)
        made = cls(raw, today)
        for one in raw["people"]:
            key = one["key"]
            made.people[key] = Person(
                key=key,
                id=(people or {}).get(key) or uuid7(made.start, "person", key),
                name=one["name"],
                login=one["login"],
                roles=tuple(one["roles"]),
                works=one.get("works", False),
                comma=one.get("comma", False),
                demo=one.get("demo"),
            )
        return made

    @property
    def start(self) -> datetime:
        """The morning the history begins, UTC."""
        return self.day(365 * int(self.raw["years"]))

    def day(self, before: int, hour: int = 6) -> datetime:
        """An hour of the day that lies so many days before today, UTC."""
        at = datetime.combine(self.today, time(hour), UTC).timestamp() - before * 86400
        return datetime.fromtimestamp(at, UTC)

    @cached_property
    def devices(self) -> dict[str, Device]:
        return {
            one["key"]: Device(
                one["key"],
                uuid7(self.start, "device", one["key"]),
                one["name"],
                tuple(self.people[key] for key in one["people"]),
            )
            for one in self.raw["devices"]
        }

    @cached_property
    def positions(self) -> dict[str, Position]:
        found: dict[str, Position] = {}
        for machine in self.raw["machines"]:
            area = f"{machine['area']} · {self.raw['plant']}"
            for one in machine["positions"]:
                facts = {**self.raw["common"], **machine["facts"], **one.get("facts", {}), "end": one["end"]}
                method = facts["locking_method"]
                only = self.raw["only_for"]
                facts = {name: value for name, value in facts.items() if method in only.get(name, [method])}
                maker = {
                    line: {**as_entry(text), **self.raw["document"]}
                    for line, text in {**machine.get("maker", {}), **one.get("maker", {})}.items()
                    if method in _OWNERS.get(line.partition(".")[0], (method,))
                }
                found[one["id"]] = Position(
                    one["id"],
                    uuid7(self.start, "position", one["id"]),
                    one["name"],
                    {"id": machine["id"], "name": machine["name"], "area": area},
                    {name: as_entry(value) for name, value in facts.items()},
                    maker,
                    {
                        sheet: {
                            name: as_entry(value)
                            for level in (self.raw, machine, one)
                            for name, value in level.get("seen", {}).get(sheet, {}).items()
                        }
                        for sheet in self.raw["seen"]
                    },
                )
        return found

    @cached_property
    def stories(self) -> dict[str, Story]:
        return {
            one["story"]: Story(
                one["story"],
                one["position"],
                one["before"],
                frozenset(one["flaws"]),
                one["end"],
                one.get("accept", ""),
                one.get("reason", ""),
            )
            for one in self.raw["stories"]
        }

    @cached_property
    def failures(self) -> list[Failure]:
        return [
            Failure(
                one["failure"],
                one["follows"],
                one["after"],
                one["running_h"],
                one["text"],
                one["appearance"],
                {name: str(value) for name, value in one.get("found", {}).items()},
            )
            for one in self.raw["failures"]
        ]


def as_entry(value: Any) -> dict[str, Any]:
    """A fact of scenario.yaml as an entry: yes/no, a number with its unit, or a word."""
    if isinstance(value, bool):
        return {"yes": value}
    number = _NUMBER.match(str(value))
    if number:
        return {"typed": number[1], "unit": number[2]}
    return {"word": str(value)}


_OWNERS = {
    "cam_collar_screw": ("cam_collar",),
    "clamp_collar_torque": ("clamp_collar",),
    "set_screw_torque": ("ring_set_screws", "set_screw_collar"),
    "insert_sleeve_seating": ("adapter_sleeve", "pull_off_sleeve"),
    "taper_drive_up": ("adapter_sleeve", "pull_off_sleeve"),
}

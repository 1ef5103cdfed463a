"""A plant's own folder on top of ours: its procedures, steps in our procedures and limits, checked by the same loader.

Everything it names begins with `plant_`, so that no later handbook of ours can collide with it, and is shown as the
plant's own. It adds and tightens; it takes no step, caution or check of ours away.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from shaftside import calc
from shaftside.calc.content import PREFIX
from shaftside.calc.problems import ContentError, Problems
from shaftside.calc.reader import Reader
from shaftside.handbook.facts import Facts
from shaftside.handbook.procedure import Placed, step_of

MARK = "plant.yaml"


@dataclass
class Addition:
    """Steps of the plant's own behind or before a step of ours, in the procedures `into` (empty: every one that has it)."""

    reader: Reader
    into: list[str]
    anchor: str
    behind: bool
    steps: list[Placed]
    landed: int = 0


@dataclass
class Own:
    """A plant's own content. title by language; additions in the order of their files."""

    title: dict[str, str]
    additions: list[Addition] = field(default_factory=list)


def is_plant(folder: Path) -> bool:
    """Whether a folder is a plant's own, by the file that names it."""
    return (folder / MARK).is_file()


def load_plant(folder: Path, facts: Facts, program: Mapping[str, Any], problems: Problems) -> Own:
    """Read plant.yaml and steps/*.yaml. Every fault goes to `problems`, its file named from the plant's folder."""
    top = _open(folder / MARK, f"plant/{MARK}", problems)
    own = Own({"en": folder.name})
    if top is not None:
        top.name("plant")
        own.title = top.words("title") or own.title
        top.done()
    for path in sorted((folder / "steps").glob("*.yaml")):
        reader = _open(path, f"plant/steps/{path.name}", problems)
        for one in reader.items("additions") if reader else []:
            addition = _addition(one, facts, program)
            if addition is not None:
                own.additions.append(addition)
        if reader is not None:
            reader.done()
    return own


def own_name(reader: Reader, key: str, name: str) -> None:
    """Note a fault unless the name is marked as the plant's."""
    if not name.startswith(PREFIX):
        reader.fault(f"a plant's own {key} begins with {PREFIX!r}: {PREFIX}{name}", key)


def lay_in(steps: list[Placed], procedure: str, additions: list[Addition]) -> list[Placed]:
    """Our steps of one procedure with the plant's own put where they belong."""
    out = list(steps)
    for one in additions:
        if one.into and procedure not in one.into:
            continue
        at = next((n for n, (step, _) in enumerate(out) if step["step"] == one.anchor), None)
        if at is None:
            if one.into:
                one.reader.fault(f"{procedure} has no step {one.anchor!r}", "behind" if one.behind else "before")
            continue
        one.landed += 1
        at += 1 if one.behind else 0
        while one.behind and at < len(out) and out[at][0].get("plant"):
            at += 1  # a later addition behind the same step stands behind the earlier one
        out[at:at] = [({**step, "plant": True}, reader) for step, reader in one.steps]
    return out


def nowhere(additions: list[Addition], procedures: Mapping[str, Any]) -> None:
    """Note additions that no procedure took, and procedures they name that do not exist."""
    for one in additions:
        for name in one.into:
            if name not in procedures:
                one.reader.fault(f"there is no procedure {name!r}: one of {', '.join(sorted(procedures))}", "into")
        if not one.landed and not one.into:
            one.reader.fault(f"no procedure has a step {one.anchor!r}", "behind" if one.behind else "before")


def _addition(reader: Reader, facts: Facts, program: Mapping[str, Any]) -> Addition | None:
    into = reader.strings("into", optional=True)
    behind, before = reader.string("behind", optional=True), reader.string("before", optional=True)
    if (behind is None) == (before is None):
        reader.fault("says `behind: STEP` or `before: STEP`, one of the two")
    steps = [step_of(one, facts, program) for one in reader.items("steps")]
    for step, place in steps:
        own_name(place, "step", step["step"])
        for key in ("proves_zero_energy", "undoes_zero_energy"):
            if step.get(key):
                place.fault(f"{key} belongs to the control of energy alone, not to a plant's own step", key)
    reader.done()
    anchor = behind or before
    return Addition(reader, into, anchor, behind is not None, steps) if anchor else None


def _open(path: Path, file: str, problems: Problems) -> Reader | None:
    try:
        return Reader(calc.strict_yaml.read(path, file), problems)
    except ContentError as error:
        problems.take(error)
        return None

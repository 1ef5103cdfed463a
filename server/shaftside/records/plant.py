"""Setting, changing, withdrawing and previewing a plant's values: the rules. What they are: plant_values.py."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from shaftside import calc
from shaftside.calc.showing import words_of
from shaftside.errors import ShaftsideError
from shaftside.records import log
from shaftside.records.event import uuid7
from shaftside.records.model import Actor, Event, State
from shaftside.records.plant_values import reduce_plant_value, same
from shaftside.sentence import tell

if TYPE_CHECKING:
    from shaftside.records.service import Records


class PlantValues:
    """The plant's values of one server."""

    def __init__(self, records: Records) -> None:
        self.records = records

    def all(self) -> list[State]:
        """Every plant's value that was ever set, the ones that hold first, then by line and when they were set."""
        with self.records.database.read_core() as connection:
            ids = list(
                connection.execute(
                    select(log.RECORD.c.id).where(log.RECORD.c.kind == "plant_value")
                ).scalars()
            )
            states = [
                reduce_plant_value([line.kept() for line in log.of_record(connection, one)]) for one in ids
            ]
        return sorted(
            states, key=lambda one: (not one["holds"], one["line"] or "", one["at"] or "", one["plant_value"])
        )

    def one(self, record: str) -> State:
        """One of them. Raises not_found."""
        state = reduce_plant_value(self.records.events(record))
        if state["line"] is None:
            raise ShaftsideError(404, "not_found", tell("There is no plant's value %(record)s here.", record=record))
        return state

    async def set(
        self, lead: Actor, bundle: dict[str, Any], body: dict[str, Any], record: str | None = None
    ) -> Event:
        """Set a value, or set one again. body: {line, value, document, revision, page, where}.

        Raises not_lead, bad_input with the field at fault, plant_value_taken, not_found.
        """
        _check_lead(lead)
        kept = checked(bundle, body) | {"name": lead.name}
        if record is not None and self.one(record)["line"] != kept["line"]:
            raise _wrong(
                tell("A value that is changed keeps its line. Withdraw this one and set a new one."), "line"
            )
        program = bundle["calc"]
        for other in self.all():
            if other["plant_value"] == record or not other["holds"] or other["line"] != kept["line"]:
                continue
            one, two = other["where"], kept["where"]
            if one.keys() == two.keys() and all(same(program, one[name], two[name]) for name in one):
                raise ShaftsideError(
                    409, "plant_value_taken", tell("Another value holds for this line where the same is so. Change that one, or withdraw it first."), "line"
                )  # fmt: skip
        return await self.records.act("plant_value_set", record or uuid7(self.records.now()), kept, lead)

    async def withdraw(self, lead: Actor, record: str, reason: str) -> Event:
        """Withdraw a value. Records that used it keep it. Raises not_lead, not_found, already_withdrawn, bad_input."""
        _check_lead(lead)
        if self.one(record)["withdrawn"] is not None:
            raise ShaftsideError(409, "already_withdrawn", tell("This value is withdrawn already."))
        if not reason.strip():
            raise _wrong(tell("Say why the value is withdrawn."), "reason")
        return await self.records.act("plant_value_withdrawn", record, {"reason": reason.strip()}, lead)


def _check_lead(lead: Actor) -> None:
    if "lead" not in lead.roles:
        raise ShaftsideError(403, "not_lead", tell("Only a lead sets or withdraws a value for the plant."))


def _wrong(message: str, field: str, expects: str | None = None) -> ShaftsideError:
    return ShaftsideError(422, "bad_input", message, field, expects)


def checked(bundle: dict[str, Any], body: dict[str, Any], lang: str = "en") -> dict[str, Any]:
    """The body as it is recorded, every part of it read against the handbook. Raises bad_input with the field at fault."""
    program = bundle["calc"]
    sheet, _, name = str(body.get("line") or "").partition(".")
    lines = {
        line["name"]: line
        for line in program["sheets"].get(sheet, {"lines": []})["lines"]
        if line.get("maker")
    }
    if name not in lines:
        raise _wrong(
            tell("There is no such line, or it cannot take a maker's value."),
            "line",
            ", ".join(f"{sheet}.{one}" for one in lines) or None,
        )
    value = body.get("value")
    entry = calc.entry_of(program, lines[name], value) if isinstance(value, str) else value
    if not isinstance(entry, dict):
        raise _wrong(tell("A value with its unit is needed."), "value")
    values, problems = calc.read_makers(program, sheet, {name: entry}, lang)
    if problems:
        raise _wrong(problems[0].message, "value", problems[0].expects)
    if name not in values:
        raise _wrong(tell("A value with its unit is needed."), "value")
    if not str(body.get("document") or "").strip():
        raise _wrong(tell("Name the document this stands in. A value without one is a rumour."), "document")
    return {
        "line": f"{sheet}.{name}",
        "value": {key: part for key, part in entry.items() if key in ("typed", "unit", "word", "yes")},
        "where": _where(bundle, body.get("where") or {}, lang),
        **{part: str(body.get(part) or "").strip() for part in ("document", "revision", "page")},
    }


def _where(bundle: dict[str, Any], where: dict[str, Any], lang: str) -> dict[str, Any]:
    program, facts = (
        bundle["calc"],
        {fact["name"]: fact for fact in bundle["facts"] if fact["kind"] != "text"},
    )
    loose = {
        "sheet": "loose",
        "version": "1",
        "inputs": [{**fact, "optional": True} for fact in facts.values()],
        "lines": [],
        "checks": [],
        "windows": [],
    }
    out = {}
    for name, given in where.items():
        if name not in facts:
            raise _wrong(tell("There is no fact %(name)s.", name=name), f"where.{name}", ", ".join(facts))
        entry = calc.entry_of(program, facts[name], given) if isinstance(given, str) else given
        _, problems = calc.read_inputs({**program, "sheets": {"loose": loose}}, "loose", {name: entry}, lang)
        if problems:
            raise _wrong(problems[0].message, f"where.{name}", problems[0].expects)
        out[name] = entry
    return out


def preview(
    bundle: dict[str, Any], body: dict[str, Any], inputs: dict[str, Any], system: str = "metric", lang: str = "en"
) -> dict[str, Any]:
    """What the sheet itself says beside the value, and which checks would speak. Raises bad_input.

    inputs: the sheet's inputs as typed; what `where` fixes is taken from there. Answer: {value, own, missing (labels),
    refusal, checks [{name, level, message}], own_checks, asks}.
    """
    kept = checked(bundle, body, lang)
    program = bundle["calc"]
    sheet, _, name = kept["line"].partition(".")
    made = program["sheets"][sheet]
    specs = {spec["name"]: spec for spec in made["inputs"]}
    given = {
        key: calc.entry_of(program, specs[key], one) if isinstance(one, str) else one
        for key, one in inputs.items()
        if key in specs and one not in ("", None)
    }
    entries = {key: one for key, one in kept["where"].items() if key in specs} | given
    values, problems = calc.read_inputs(program, sheet, entries, lang, system)
    if problems:
        raise ShaftsideError(
            422,
            "bad_input",
            problems[0].message,
            problems[0].input,
            problems[0].expects,
            [one.json() for one in problems],
        )
    makers, _ = calc.read_makers(program, sheet, {name: kept["value"]})
    line = next(one for one in made["lines"] if one["name"] == name)
    alone, beside = calc.evaluate(program, sheet, values), calc.evaluate(program, sheet, values, makers)

    def checks(result: dict[str, Any]) -> list[dict[str, Any]]:
        return [
            {**one, "message": calc.say_check(program, sheet, one["name"], result, entries, lang, system)}
            for one in result["checks"]
        ]

    own = beside["defaults"].get(name, alone["values"].get(name))
    return {
        "line": kept["line"],
        "value": calc.say_value(program, line, makers[name], lang, system),
        "own": None if own is None else calc.say_value(program, line, own, lang, system),
        "missing": [words_of(spec["label"], lang) for spec in made["inputs"] if "optional" not in spec and spec["name"] not in values],
        "refusal": calc.say_refusal(program, sheet, beside, entries, lang, system) if beside["refusal"] and beside["refusal"]["code"] != "missing_input" else None,
        "checks": checks(beside),
        "own_checks": checks(alone),
        "asks": calc.said_asks(program, sheet, calc.asks(program, sheet, entries, values, makers, beside, {name: kept["value"]}), lang),
    }  # fmt: skip

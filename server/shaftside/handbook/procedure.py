"""Procedures and the parts they share: read, checked whole, laid out as one line of steps."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from shaftside import calc
from shaftside.calc.problems import ContentError, Problems
from shaftside.calc.reader import Reader
from shaftside.handbook.board import LISTS
from shaftside.handbook.facts import Facts, quantity

PHASES = ("make_safe", "prepare", "work", "return", "run_in")
SIGNALS = ("DANGER", "WARNING", "CAUTION", "NOTICE")  # ANSI Z535, ISO 3864
WORKS = ("mount", "remove", "check")  # check: the look and the re-torque that come due later
HOLDS = ("check", "second_person")
DRAWINGS = (
    *("turn_to_lock", "turn_to_release", "screw_a", "screw_b", "screw_cd", "clamp_a", "clamp_b", "bolts", "cap_bolts"),
    *("nut_turn", "feeler", "free_end", "next_tab"),
)
"""What the phone can draw beside a step: web/views/figure.js."""
EXCUSES = ("reason", "lead", "never")
Placed = tuple[dict[str, Any], Reader]
"""A step and where it stands, for later faults."""
RULES = 3
"""What the reducers may ask of a record made with this bundle: records/progress.py. 1 where a bundle does not say."""
AFTER_PROOF = ("work", "return")  # everything at the machine; bench and paper work need no proof


def _open(path: Path, file: str, problems: Problems) -> Reader | None:
    try:
        return Reader(calc.strict_yaml.read(path, file), problems)
    except ContentError as error:
        problems.take(error)
        return None


def load_part(
    path: Path, file: str, facts: Facts, program: Mapping[str, Any], problems: Problems
) -> dict[str, Any] | None:
    """A shared part: `{title, source, steps}`; each step with its place for later faults."""
    top = _open(path, file, problems)
    if top is None:
        return None
    if top.name("part") != path.stem:
        top.fault(f"'part' must be {path.stem!r}, like the file", "part")
    out = {
        "title": top.words("title"),
        "source": top.source("source"),
        "steps": [step_of(one, facts, program) for one in top.items("steps")],
    }
    top.done()
    return out


def load_procedure(
    path: Path,
    file: str,
    facts: Facts,
    parts: Mapping[str, dict[str, Any]],
    program: Mapping[str, Any],
    problems: Problems,
    used: set[str],
    plant: bool = False,
    lay_in: Callable[[list[Placed], str], list[Placed]] = lambda steps, _: steps,
    ours: dict[str, tuple[dict[str, Any], list[Placed]]] | None = None,
) -> dict[str, Any] | None:
    """One procedure with its parts laid in. `used` gathers the parts that are; `plant`: it is the plant's own.

    lay_in puts the plant's own steps among those of a procedure, by its name. ours gathers each procedure with its
    steps before that; a plant's own may be `like` one of them.
    """
    top = _open(path, file, problems)
    if top is None:
        return None
    name = top.name("procedure")
    method, work = top.choice("method", facts.methods), top.choice("work", WORKS)
    if name != path.stem or (not plant and name != f"{method}_{work}"):
        named = "like the file" if plant else "like the file, and method and work together"
        top.fault(f"'procedure' must be {path.stem!r}, {named}", "procedure")
    out: dict[str, Any] = {
        "procedure": path.stem,
        "method": method,
        "work": work,
        "rules": RULES,
        "title": top.words("title"),
        "source": top.source("source"),
        "cautions": [_caution(one) for one in top.items("cautions", optional=True)],
        "follow_ups": [_follow_up(one, program) for one in top.items("follow_ups", optional=True)],
    }
    if plant:
        out["plant"] = True
    steps: list[Placed] = []
    mine: set[str] = set()
    like = top.choice("like", ours or {}, optional=True) if plant else None
    if like is not None and ours is not None:
        model, steps = ours[like][0], list(ours[like][1])
        out["like"], out["cautions"] = like, out["cautions"] + model["cautions"]
        out["follow_ups"] = out["follow_ups"] or model["follow_ups"]
    for one in top.items("steps", optional=like is not None):
        if one.has("use"):
            part = one.choice("use", parts)
            without = one.strings("without", optional=True)
            one.done()
            if part in mine:
                one.fault(f"the part {part!r} is used twice", "use")
            elif part is not None:
                mine.add(part)
                known = {step["step"] for step, _ in parts[part]["steps"]}
                for name in without:
                    if name not in known:
                        one.fault(f"the part {part!r} has no step {name!r} to leave out", "without")
                steps += [
                    (step, place) for step, place in parts[part]["steps"] if step["step"] not in without
                ]
        else:
            steps.append(step_of(one, facts, program))
    used |= mine
    top.done()
    if ours is not None and not plant:
        ours[path.stem] = (out, list(steps))
    out["steps"] = _laid_out(lay_in(steps, path.stem), top, program)
    taken = {
        f"{step['step']}/{one['reading']}": one.get("sheet") for step in out["steps"] for one in step["readings"]
    }
    for one in out["follow_ups"]:
        after = one.get("after", {})
        if "reading" in after and taken.get(after["reading"]) != after["sheet"]:
            top.fault(f"{one['follow_up']}: no step records {after['reading']!r} on its sheet", "follow_ups")
    return out


def _caution(reader: Reader) -> dict[str, Any]:
    out = {"signal": reader.choice("signal", SIGNALS), "text": reader.words("text")}
    reader.done()
    return out


def _follow_up(reader: Reader, program: Mapping[str, Any]) -> dict[str, Any]:
    out: dict[str, Any] = {
        "follow_up": reader.name("follow_up"),
        "title": reader.words("title"),
        "why": reader.words("why"),
    }
    after = reader.inner("after")
    if after is not None and after.has("reading"):
        # hours that a sheet gave in this job: step/reading, its sheet and the line
        sheet = after.choice("sheet", program["sheets"])
        lines = program["sheets"].get(sheet or "", {}).get("lines", [])
        line = after.choice("line", [one["name"] for one in lines if one["kind"] == "time"])
        out["after"] = {"reading": after.string("reading"), "sheet": sheet, "line": line}
        after.done()
    elif after is not None:
        out["after"] = {"running_h": after.integer("running_h", 1, 10_000)}
        after.done()
    reader.done()
    return out


def step_of(reader: Reader, facts: Facts, program: Mapping[str, Any]) -> Placed:
    """One step as it is written, and its place."""
    out: dict[str, Any] = {
        "step": reader.name("step") or "",
        "phase": reader.choice("phase", PHASES) or "work",
        "do": reader.words("do") or {},
        "why": reader.words("why") or {},
        "readings": [_reading(one, facts, program) for one in reader.items("readings", optional=True)],
        "needs": reader.strings("needs", optional=True),
        "not_applicable": reader.choice("not_applicable", EXCUSES) or "never",
    }
    if (caution := reader.inner("caution", optional=True)) is not None:
        out["caution"] = _caution(caution)
    if (tool := reader.words("tool", optional=True)) is not None:
        out["tool"] = tool
    if (hold := reader.choice("hold", HOLDS, optional=True)) is not None:
        out["hold"] = hold
    if (drawing := reader.choice("drawing", DRAWINGS, optional=True)) is not None:
        out["drawing"] = drawing
    if (number := reader.inner("number", optional=True)) is not None:
        out["number"] = _number(number, facts, program)
    for key in ("proves_zero_energy", "undoes_zero_energy", "starts_running", "photo"):
        if reader.yes(key):
            out[key] = True
    for key in ("rows", "ends"):
        if (name := reader.choice(key, LISTS, optional=True)) is not None:
            out[key] = name
    if kinds := reader.strings("kinds", optional=True):
        out["kinds"] = kinds
    if (only := reader.inner("only", optional=True)) is not None:
        out["only"] = {field: only.strings(field) for field in only}
        only.done()
    if (tried := reader.string("tried_in", optional=True)) is not None:
        out["tried_in"] = tried
    covers = reader.strings("covers", optional=True)
    if covers:
        out["covers"] = covers
        if "rows" not in out or not set(covers) <= set(LISTS):
            reader.fault(f"covers: lists of the board, on a step with rows: {', '.join(LISTS)}", "covers")
    if (when := reader.string("when", optional=True)) is not None:
        try:
            out["when"] = calc.compile_condition(when, facts.symbols)
        except calc.ExpressionFault as fault:
            reader.fault(f"'when' {fault}", "when")
    if (after := reader.inner("only_after", optional=True)) is not None:
        # a reading of an earlier step calls for this one by a word: "does it move? no"
        out["only_after"] = {"reading": after.string("reading") or "", "word": after.string("word") or ""}
        after.done()
    names = [one["reading"] for one in out["readings"]]
    if len(set(names)) != len(names):
        reader.fault("two readings have one name", "readings")
    reader.done()
    return out, reader


def _number(reader: Reader, facts: Facts, program: Mapping[str, Any]) -> dict[str, Any]:
    sheet = reader.choice("sheet", program["sheets"])
    found = program["sheets"].get(sheet or "", {})
    line = (
        reader.choice("line", [one["name"] for one in found.get("lines", [])])
        if found
        else reader.string("line")
    )
    out = {"sheet": sheet, "line": line, "take": _take(reader, found, facts)}
    if (to := reader.choice("to", [one["name"] for one in found.get("lines", [])], optional=True)) is not None:
        out["to"] = to  # the number is a window, from `line` to this line
    reader.done()
    return out


def _reading(reader: Reader, facts: Facts, program: Mapping[str, Any]) -> dict[str, Any]:
    out: dict[str, Any] = {
        "reading": reader.name("reading") or "",
        "label": reader.words("label") or {},
        "required": bool(reader.raw("required", True)),
        "repeat": reader.yes("repeat"),
    }
    if (help_text := reader.words("help", optional=True)) is not None:
        out["help"] = help_text
    if (row := reader.inner("row", optional=True)) is not None:
        out["row"] = {key: row.string(key) for key in ("list", "field", "word")}
        row.done()
    if not reader.has("sheet"):
        out |= quantity(reader, facts.lists, program)
        reader.done()
        return out
    sheet = reader.choice("sheet", program["sheets"])
    found = program["sheets"].get(sheet or "", {})
    specs = {one["name"]: one for one in found.get("inputs", [])}
    ask, may = reader.strings("ask"), reader.strings("may", optional=True)
    for key, names in (("ask", ask), ("may", may)):
        for name in names:
            if found and name not in specs:
                reader.fault(f"the sheet {sheet} has no input {name!r}", key)
    for name in may:
        if name in ask or (name in specs and not specs[name].get("optional")):
            reader.fault(f"{name!r} is asked for or needed: it cannot be left empty", "may")
    out |= {"sheet": sheet, "ask": ask, "take": _take(reader, found, facts)} | ({"may": may} if may else {})
    for name, spec in specs.items():
        if not spec.get("optional") and name not in ask and name not in out["take"]:
            reader.fault(f"the sheet {sheet} needs {name!r}: ask for it or take it", "ask")
    reader.done()
    return out


def _take(reader: Reader, sheet: Mapping[str, Any], facts: Facts) -> dict[str, Any]:
    inner = reader.inner("take", optional=True)
    out: dict[str, Any] = {}
    specs = {one["name"] for one in sheet.get("inputs", [])}
    for name in inner or ():
        assert inner is not None
        one = inner.inner(name)
        if sheet and name not in specs:
            inner.fault(f"the sheet {sheet['sheet']} has no input {name!r}", name)
        if one is None:
            continue
        if one.has("fact"):
            out[name] = {"fact": one.choice("fact", facts.by_name)}
        elif one.has("reading"):
            out[name] = {"reading": one.string("reading"), "input": one.string("input", optional=True)}
        elif one.has("word"):
            out[name] = {"word": one.string("word")}
        elif one.has("yes"):
            out[name] = {"yes": one.yes("yes")}
        else:
            one.fault("takes from a fact, a reading, a word or a yes")
        one.done()
    return out


def _laid_out(
    steps: list[Placed], top: Reader, program: Mapping[str, Any]
) -> list[dict[str, Any]]:
    """The steps in order with complete needs, after every rule about their order was checked."""
    proofs = [step["step"] for step, _ in steps if step.get("proves_zero_energy")]
    if len(proofs) != 1:
        top.fault(f"exactly one step proves zero energy; here {len(proofs)}", "steps")
        return []
    proof = proofs[0]
    out: list[dict[str, Any]] = []
    before: dict[str, dict[str, Any]] = {}
    holds: list[str] = []
    for given, reader in steps:
        step = {**given, "needs": list(given["needs"])}
        name = step["step"]
        if name in before:
            reader.fault(f"the step {name!r} stands twice in {top.document.file}", "step")
        for need in step["needs"]:
            if need not in before:
                reader.fault(
                    f"the step {name!r} needs {need!r}, which is no earlier step of {top.document.file}",
                    "needs",
                )
        if not out and step["phase"] != "make_safe":
            reader.fault(f"{top.document.file} does not begin with the control of energy", "phase")
        if step["phase"] == "make_safe" and proof in before:
            reader.fault(f"{name!r} belongs before the proof of zero energy", "phase")
        if step["phase"] in AFTER_PROOF:
            if proof not in before:
                reader.fault(
                    f"work before the proof of zero energy: {name!r} in {top.document.file}", "phase"
                )
            step["needs"] = list(dict.fromkeys([proof, *holds, *step["needs"]]))
        if step.get("undoes_zero_energy"):
            step["needs"] = list(before)
        if step.get("proves_zero_energy"):
            step["needs"] = [one for one in before if before[one]["phase"] == "make_safe"]
            if step["not_applicable"] != "never":
                reader.fault(
                    "the proof of zero energy always applies: not_applicable: never", "not_applicable"
                )
        if step["phase"] == "run_in":
            undone = [one["step"] for one in out if one.get("undoes_zero_energy")]
            step["needs"] = list(dict.fromkeys([*undone, *step["needs"]]))
        _takes_come_first(step, before, reader, program)
        if "only_after" in step:
            _is_called_for(step, before, reader)
        of, _, which = step.get("tried_in", "").partition("/")
        if of and not any(one["reading"] == which for one in before.get(of, {}).get("readings", ())):
            reader.fault(f"tried_in: no earlier step records {step['tried_in']!r}", "tried_in")
        if step.get("hold") and step["phase"] == "work":
            holds.append(name)
        before[name] = step
        out.append(step)
    return out


def _is_called_for(step: dict[str, Any], before: Mapping[str, dict[str, Any]], reader: Reader) -> None:
    of, _, which = step["only_after"]["reading"].partition("/")
    found = [one for one in before.get(of, {}).get("readings", []) if one["reading"] == which]
    words = [choice["word"] for one in found for choice in one.get("choices") or []]
    if step["only_after"]["word"] not in words:
        reader.fault(f"{step['step']}: no earlier step's reading {step['only_after']['reading']!r} can say {step['only_after']['word']!r}", "only_after")


def _takes_come_first(
    step: dict[str, Any], before: Mapping[str, dict[str, Any]], reader: Reader, program: Mapping[str, Any]
) -> None:
    """What a reading takes from another was recorded earlier (or in this step), on a sheet with that input."""
    here = {**before, step["step"]: step}
    wants = [*step["readings"], *([step["number"]] if "number" in step else [])]
    for want in wants:
        for name, take in (want.get("take") or {}).items():
            if "reading" not in take:
                continue
            of, _, which = str(take["reading"]).partition("/")
            found = [one for one in here.get(of, {}).get("readings", []) if one["reading"] == which]
            if not found:
                reader.fault(
                    f"{step['step']}: {name!r} is taken from {take['reading']!r}, which no earlier step records",
                    "step",
                )
            elif "sheet" in found[0] and take["input"] not in {
                *found[0]["ask"], *found[0].get("may", ()), *found[0]["take"]
            }:
                reader.fault(f"{step['step']}: {take['reading']!r} has no input {take['input']!r}", "step")

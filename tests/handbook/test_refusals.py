"""What the loader of procedures and parts refuses, each with its file, its line and words a writer can act on.

One small procedure is sound; every case changes one thing in it. The program and the facts are the real ones.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from shaftside import calc, content
from shaftside.calc.problems import Problem, Problems
from shaftside.handbook.facts import Facts, load_facts
from shaftside.handbook.procedure import load_part, load_procedure

FOLDER = content.folder("procedures", None)
PROGRAM = calc.load(FOLDER, None).program
SOUND = """procedure: cam_collar_mount
method: cam_collar
work: mount
title: {en: "Mount"}
source: {text: "trade practice", certainty: common_practice}
cautions:
  - {signal: NOTICE, text: {en: "The maker comes first."}}
steps:
  - step: lock
    phase: make_safe
    do: {en: "Put your lock on."}
    why: {en: "Nobody else can start it."}
    rows: lock
    covers: [lock]
    not_applicable: lead
  - step: prove
    phase: make_safe
    do: {en: "Prove it."}
    why: {en: "Work stays closed until then."}
    not_applicable: never
    proves_zero_energy: true
  - step: read_screw
    phase: work
    do: {en: "Tighten the screw."}
    why: {en: "It backs the cam."}
    number: {sheet: cam_collar_screw, line: target, take: {screw: {fact: screw}}}
    readings:
      - {reading: torque, label: {en: "Screw"}, sheet: cam_collar_screw, ask: [set_to, clicked], may: [set_to_step], take: {screw: {fact: screw}}}
      - {reading: note, label: {en: "What was seen"}, kind: text}
    when: "reversing or rotation == 'unknown'"
    hold: check
    needs: [prove]
    not_applicable: lead
  - step: look
    phase: work
    do: {en: "Look at it."}
    why: {en: "It shows."}
    readings:
      - {reading: again, label: {en: "Screw"}, sheet: cam_collar_screw, ask: [set_to], take: {screw: {reading: read_screw/torque, input: screw}}}
    not_applicable: reason
follow_ups:
  - {follow_up: look_24h, title: {en: "Look"}, why: {en: "It settles."}, after: {running_h: 24}}
"""
CASES = [  # what stands there, what is put there instead, a piece of the reason
    ("procedure: cam_collar_mount", "procedure: other_mount", "must be 'cam_collar_mount', like the file"),
    ("work: mount", "work: oil", "'work'"),
    ("work: mount", "work: remove", "method and work together"),
    ("method: cam_collar", "method: glue", "'method'"),
    ("signal: NOTICE", "signal: SAFE", "'signal'"),
    ("certainty: common_practice", "certainty: sure", "'certainty'"),
    ('title: {en: "Mount"}', 'title: "Mount"', "title"),
    ("    proves_zero_energy: true\n", "", "exactly one step proves zero energy; here 0"),
    ("    rows: lock\n    covers: [lock]\n", "    proves_zero_energy: true\n", "exactly one step proves zero energy; here 2"),
    ("    not_applicable: never\n", "    not_applicable: lead\n", "the proof of zero energy always applies"),
    ("  - step: lock\n    phase: make_safe", "  - step: lock\n    phase: work", "does not begin with the control of energy"),
    ("  - step: lock\n    phase: make_safe", "  - step: lock\n    phase: work", "work before the proof of zero energy: 'lock'"),
    ("  - step: look\n    phase: work", "  - step: look\n    phase: make_safe", "'look' belongs before the proof of zero energy"),
    ("  - step: look\n", "  - step: lock\n", "the step 'lock' stands twice"),
    ("needs: [prove]", "needs: [look]", "needs 'look', which is no earlier step"),
    ("phase: work\n    do: {en: \"Look", "phase: later\n    do: {en: \"Look", "'phase'"),
    ("hold: check", "hold: tight", "'hold'"),
    ("    not_applicable: reason\n", "    only_after: {reading: read_screw/note, word: stuck}\n    not_applicable: reason\n", "'read_screw/note' can say 'stuck'"),
    ("not_applicable: reason", "not_applicable: maybe", "'not_applicable'"),
    ("rows: lock\n", "rows: keys\n", "'rows'"),
    ("    rows: lock\n", "", "covers: lists of the board, on a step with rows"),
    ("covers: [lock]", "covers: [keys]", "covers: lists of the board"),
    ("reversing or rotation", "reversed or rotation", "'when'"),
    ("rotation == 'unknown'", "rotation == 'left'", "'when'"),
    ("line: target", "line: tagret", "'line'"),
    ("number: {sheet: cam_collar_screw", "number: {sheet: cam_screw", "'sheet'"),
    ("ask: [set_to, clicked]", "ask: [set_at, clicked]", "the sheet cam_collar_screw has no input 'set_at'"),
    ("may: [set_to_step]", "may: [step_of_it]", "the sheet cam_collar_screw has no input 'step_of_it'"),
    ("may: [set_to_step]", "may: [set_to]", "'set_to' is asked for or needed: it cannot be left empty"),
    ("may: [set_to_step], take: {screw: {fact: screw}}", "take: {}", "needs 'screw': ask for it or take it"),
    ("may: [set_to_step], take: {screw: {fact: screw}}", "take: {screw: {fact: bolt}}", "'fact'"),
    ("may: [set_to_step], take: {screw: {fact: screw}}", "take: {screw: {fact: screw}, bolt: {fact: screw}}", "has no input 'bolt'"),
    ("may: [set_to_step], take: {screw: {fact: screw}}", "take: {screw: {guess: M8}}", "takes from a fact, a reading, a word or a yes"),
    ("{reading: read_screw/torque,", "{reading: read_screw/other,", "taken from 'read_screw/other', which no earlier step records"),
    ("input: screw}}}", "input: hardness}}}", "'read_screw/torque' has no input 'hardness'"),
    ("{reading: note,", "{reading: torque,", "two readings have one name"),
    ("kind: text}", "kind: number}", "'kind'"),
    ("kind: text}", "kind: text, colour: red}", "colour"),
    ("running_h: 24", "running_h: 0", "'running_h'"),
    ("running_h: 24", "days: 1", "running_h"),
    ("running_h: 24", "reading: look/none, sheet: relubrication, line: interval", "no step records 'look/none' on its sheet"),
    ("running_h: 24", "reading: look/none, sheet: relubrication, line: grams_most", "'line'"),
    ("    why: {en: \"It shows.\"}\n", "", "'why'"),
]

TOLD_AT = {  # told where the thing begins that the fault is about, not where the wrong word stands
    "method and work together": "procedure:",
    "exactly one step proves zero energy; here 0": "steps:",
    "exactly one step proves zero energy; here 2": "steps:",
    "taken from 'read_screw/other', which no earlier step records": "  - step: look",
    "'read_screw/torque' has no input 'hardness'": "  - step: look",
    "no step records 'look/none' on its sheet": "follow_ups:",
    "two readings have one name": "    readings:",
    "'why'": "  - step: look",
}


@pytest.fixture(scope="module")
def facts() -> Facts:
    problems = Problems()
    found = load_facts(FOLDER / "facts.yaml", PROGRAM, problems)
    assert problems.found == []
    return found


def refusals(text: str, folder: Path, facts: Facts) -> list[Problem]:
    problems = Problems()
    path = folder / "cam_collar_mount.yaml"
    path.write_text(text)
    load_procedure(path, "methods/cam_collar_mount.yaml", facts, {}, PROGRAM, problems, set())
    return problems.found


def test_the_sound_one_is_taken(tmp_path: Path, facts: Facts) -> None:
    assert refusals(SOUND, tmp_path, facts) == []


@pytest.mark.parametrize(("sound", "wrong", "reason"), CASES, ids=[one[2] for one in CASES])
def test_a_fault_is_named_with_its_file_its_line_and_why(
    sound: str, wrong: str, reason: str, tmp_path: Path, facts: Facts
) -> None:
    assert SOUND.count(sound) >= 1
    at = SOUND.index(sound)
    first, last = SOUND[:at].count("\n") + 1, SOUND[: at + len(sound)].count("\n") + 1
    found = [one for one in refusals(SOUND.replace(sound, wrong, 1), tmp_path, facts) if reason in one.reason]
    assert found, [str(one) for one in refusals(SOUND.replace(sound, wrong, 1), tmp_path, facts)]
    assert found[0].file == "methods/cam_collar_mount.yaml"
    if reason in TOLD_AT:
        told = TOLD_AT[reason]
        first = last = SOUND[: SOUND.index(told)].count("\n") + 1
    assert first <= found[0].line <= last, (found[0], first, last)


def test_a_part_has_the_name_of_its_file_and_is_used_once(tmp_path: Path, facts: Facts) -> None:
    path = tmp_path / "turned.yaml"
    path.write_text('part: turn\ntitle: {en: "Turn"}\nsource: {text: "x", certainty: memory}\nsteps: []\n')
    problems = Problems()
    load_part(path, "shared/turned.yaml", facts, PROGRAM, problems)
    assert (problems.found[0].file, problems.found[0].line) == ("shared/turned.yaml", 1)
    assert "'part' must be 'turned', like the file" in problems.found[0].reason
    path.write_text(
        'part: turned\ntitle: {en: "Turn"}\nsource: {text: "x", certainty: memory}\nsteps:\n'
        '  - {step: turn, phase: work, do: {en: "Turn it."}, why: {en: "It tells."}, not_applicable: lead}\n'
    )
    problems = Problems()
    part = load_part(path, "shared/turned.yaml", facts, PROGRAM, problems)
    assert part is not None
    assert problems.found == []
    twice = SOUND.replace("follow_ups:", "  - use: turned\n  - {use: turned, without: [spin]}\n  - use: nothing\nfollow_ups:")
    method = tmp_path / "cam_collar_mount.yaml"
    method.write_text(twice)
    load_procedure(method, "m.yaml", facts, {"turned": part}, PROGRAM, problems, set())
    told = {one.line: one.reason for one in problems.found}
    line = twice[: twice.index("{use: turned")].count("\n") + 1
    assert "used twice" in told[line]
    assert "nothing" in told[line + 1]


def test_yaml_that_cannot_be_read_is_a_fault_with_its_line(tmp_path: Path, facts: Facts) -> None:
    found = refusals(SOUND.replace("phase: work", "phase: [work", 1), tmp_path, facts)
    assert found
    assert found[0].line > 0
    twice = refusals(SOUND.replace("work: mount\n", "work: mount\nwork: mount\n"), tmp_path, facts)
    assert any(one.line == 4 for one in twice), [str(one) for one in twice]

"""Every text of the procedures read as language: controlled plain English for a fitter.

The measures are those of controlled technical English (ASD-STE100: one instruction a sentence, at most 20 words in it) and
of our own house rules. Signal words as in ANSI Z535 and ISO 3864.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest

from shaftside import content, handbook

DATA = handbook.build(content.folder("procedures", None)).data
ALL = DATA["procedures"]
VERBS = frozenset([
    "Agree", "Ask", "Back", "Blue", "Break", "Bring", "Check", "Clamp", "Clean", "Clear", "Compare", "Count", "Draw",
    "Drive", "Enter", "File", "Fill", "Find", "Fit", "Free", "Get", "Go", "Hand", "Hang", "Have", "Keep", "Lift",
    "Line", "List", "Listen", "Lock", "Look", "Loosen", "Lower", "Measure", "Move", "Oil", "Open", "Operate", "Pass",
    "Place", "Plan", "Pull", "Pump", "Push", "Put", "Raise", "Read", "Record", "Refit", "Release", "Seat", "See",
    "Set", "Shift", "Sight", "Slacken", "Slide", "Spread", "Start", "Stop", "Straighten", "Strike", "Support",
    "Swivel", "Take", "Tell", "Test", "Tighten", "Touch", "Try", "Turn", "Warm", "Wipe", "Work", "Wrap", "Write",
])  # fmt: skip
AFTER = {"If": "a condition, a comma, then the verb", "For": "a case, a comma, then the verb"}
FORBIDDEN = {
    r"\bensure\b": "says nothing about what to do",
    r"\bproperly\b|\bcorrectly\b|\badequate": "says nothing that can be checked",
    r"\bplease\b|\bsimply\b": "no word of manners in a step",
    r"\bsafe\b|\bsafely\b": "no text says that a machine is safe",
    r"\betc\b": "a list says what is in it",
    r"\band/or\b": "one of them",
    r"—|–": "a dash hides a second sentence",
    r"!": "a signal word is louder",
}
HAZARDS = {
    r"\bstrike\b|\bblow|\bhammer": ("blow", {"DANGER", "WARNING"}),
    r"\bpressure\b|\bpump\b|\bhydraulic\b|oil ducts": ("pressure", {"DANGER", "WARNING"}),
    r"\bwarm the\b|\bheat the\b|warm air": ("heat", {"DANGER", "WARNING", "CAUTION"}),
    r"\blift\b|\bhang\b|\blower the\b|\bcarry the\b|\bsupport the\b": ("something that drops", {"DANGER", "WARNING"}),
    r"turn the shaft": ("a shaft that turns", {"DANGER", "WARNING"}),
    r"^start\b": ("a start", {"DANGER", "WARNING"}),
    r"\block off\b|isolating device on": ("energy", {"DANGER"}),
    r"\bguards\b": ("a shaft that turns", {"DANGER", "WARNING"}),
}
TOGETHER = {  # two verbs that are one act, or of which the second is what keeps the first from doing harm
    "found_turn": "the feeling is in the turning",
    "turn_after": "one movement of the hand",
    "nut_back": "left on is what stops the ring",
    "tab_on": "turned on and bent at once: in between nothing holds the nut",
    "drive_up": "a loop of three acts, one reading each time round",
    "zero": "the mark is made where the hand stops",
    "try_start": "nobody tries a start with people near",
    "listen": "two ways to hear the same thing",
    "screw_b_again": "one round goes into the next",
    "keep_bearing": "the label goes into the wrapping",
    "sleeve_on": "the slit is held open while it slides",
}


def steps() -> Iterator[tuple[str, dict[str, Any]]]:
    seen: set[str] = set()
    for name, procedure in ALL.items():
        for step in procedure["steps"]:
            text = f"{step['step']} {step['do']['en']}"
            if text not in seen:
                seen.add(text)
                yield f"{name}/{step['step']}", step


def texts(value: Any, where: str = "") -> Iterator[tuple[str, str]]:
    """Every English text of a document, with its place."""
    if isinstance(value, dict):
        if isinstance(value.get("en"), str):
            yield where, value["en"]
        else:
            for key, one in value.items():
                yield from texts(one, f"{where}/{key}")
    elif isinstance(value, list):
        for number, one in enumerate(value):
            name = one.get("step") or one.get("name") or number if isinstance(one, dict) else number
            yield from texts(one, f"{where}/{name}")


def sentences(text: str) -> list[str]:
    return [one for one in re.split(r"(?<=[.?])\s+(?=[A-Z])", text.strip()) if one]


def words(text: str) -> int:
    return len(text.split())


def faults_of_do(text: str) -> list[str]:
    """What is wrong with an imperative: its verb, its length, its number of sentences."""
    out = []
    first = text.split()[0].rstrip(",")
    if first in AFTER:
        if "," not in text or text.split(", ", 1)[1].split()[0].capitalize() not in VERBS:
            out.append(f"{first}: {AFTER[first]}")
    elif first not in VERBS:
        out.append(f"begins with {first!r}, which is no verb of the list")
    if words(text) > 20:
        out.append(f"{words(text)} words, at most 20")
    if len(sentences(text)) != 1 or not text.endswith("."):
        out.append("is not one sentence with its full stop")
    if text.count(";") > 1:
        out.append("has more than two halves")
    return out


def second_acts(text: str) -> list[str]:
    """Verbs of the list that begin a second act: after `and`, `then`, a comma or a semicolon. A lock is a thing there."""
    after = text.split(", ", 1)[1] if text.split()[0] in AFTER else text
    return [one for one in re.findall(r"(?:\band|\bthen|[,;]) (\w+)", after) if one.capitalize() in VERBS - {"Lock"}]


def faults_of_why(text: str) -> list[str]:
    out = []
    if words(text) > 30:
        out.append(f"{words(text)} words, at most 30")
    if len(sentences(text)) > 2:
        out.append("more than two sentences")
    if not text.endswith((".", "?")):
        out.append("has no full stop")
    return out


def missing_signal(step: dict[str, Any]) -> str | None:
    said = step.get("caution", {}).get("signal")
    for pattern, (hazard, signals) in HAZARDS.items():
        if re.search(pattern, step["do"]["en"].lower()) and said not in signals:
            return f"names {hazard}, says {said}"
    return None


def test_an_imperative_begins_with_a_known_verb_and_is_one_short_sentence() -> None:
    assert [(at, f) for at, step in steps() for f in faults_of_do(step["do"]["en"])] == []


def test_a_step_asks_for_one_act() -> None:
    found = [
        (at, step["do"]["en"])
        for at, step in steps()
        if second_acts(step["do"]["en"]) and step["step"] not in TOGETHER
    ]
    assert found == []
    names = {step["step"] for _, step in steps()}
    assert set(TOGETHER) <= names


def test_why_is_short_too() -> None:
    assert [(at, f) for at, step in steps() for f in faults_of_why(step["why"]["en"])] == []


def test_a_caution_is_at_most_three_short_sentences() -> None:
    long = [
        (at, step["caution"]["text"]["en"])
        for at, step in steps()
        if "caution" in step
        and (words(step["caution"]["text"]["en"]) > 40 or any(words(s) > 20 for s in sentences(step["caution"]["text"]["en"])))
    ]
    assert long == []


def test_a_step_that_names_a_hazard_has_a_signal_word() -> None:
    assert [(at, fault) for at, step in steps() if (fault := missing_signal(step))] == []


@pytest.mark.parametrize("part", ["procedures", "facts", "board"])
def test_no_forbidden_word_and_no_untidy_space(part: str) -> None:
    found = [
        (at, why)
        for at, text in texts(DATA[part], part)
        for pattern, why in FORBIDDEN.items()
        if re.search(pattern, text.lower())
    ]
    found += [
        (at, "untidy space") for at, text in texts(DATA[part], part) if "  " in text or text != text.strip() or " ." in text or " ," in text
    ]
    assert found == []


def test_every_fact_that_may_be_left_out_says_what_no_answer_counts_as_or_only_adds() -> None:
    for fact in DATA["facts"]:
        if fact.get("optional") and fact["kind"] == "word" and fact["name"] not in ("hardness",):
            assert "Not answered counts as" in fact["help"]["en"], fact["name"]


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("The nut is tightened.", "no verb"),
        ("Ensure that the nut is tight.", "no verb"),
        ("Tighten the nut. Mark it.", "one sentence"),
        ("Tighten the nut", "full stop"),
        ("Turn " + "round " * 20 + "it.", "at most 20"),
        ("If it sticks the collar comes off.", "comma"),
    ],
)
def test_the_lint_finds_what_it_is_for(text: str, fault: str) -> None:
    assert any(fault in one for one in faults_of_do(text)), faults_of_do(text)


def test_the_lint_finds_a_missing_signal_word_and_a_long_reason() -> None:
    blow = {"step": "x", "do": {"en": "Strike the collar."}}
    assert missing_signal(blow)
    assert missing_signal({**blow, "caution": {"signal": "NOTICE"}})
    assert missing_signal({**blow, "caution": {"signal": "WARNING"}}) is None
    assert second_acts("Bolt it down and turn the shaft.") == ["turn"]
    assert not second_acts("Tighten screws A and B.")
    assert faults_of_why("It slips. " * 3)
    assert faults_of_why("so " * 31 + ".")

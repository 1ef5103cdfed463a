"""State and progress: the same for every order, repetition and partition, and in both languages."""

from __future__ import annotations

import random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from records_kit import Phone, TinyBundle, good_torque, reading, start_job, whole_job

from shaftside.records.event import uuid7
from shaftside.records.progress import progress
from shaftside.records.state import reduce_job, reduce_position
from shaftside.records.verdict import fact_values

LISTS = ("source", "lock", "hold", "test", "member", "handover", "test_run")
STEPS = ("lock", "tighten", "check", "free_end", "unlock")


def sources(known: list[dict[str, Any]]) -> list[str]:
    return [one["id"] for one in known if one["kind"] == "row_added" and one["body"]["list"] == "source"]


def members(known: list[dict[str, Any]]) -> list[str]:
    return [one["id"] for one in known if one["kind"] == "row_added" and one["body"]["list"] == "member"]


def random_job(seed: int, bundle: TinyBundle, length: int = 48) -> list[dict[str, Any]]:
    """Events of up to three phones that hear of each other now and then, with the server's remarks."""
    rng = random.Random(seed)
    phones = [Phone(name) for name in ("tess", "uwe", "server")]
    job = start_job(phones[0], bundle, end=rng.choice(["fixed", "free"]))
    for _ in range(length):
        phone = rng.choice(phones)
        if rng.random() < 0.4:
            phone.kept |= rng.choice(phones).kept
        known = [one["event"] for one in phone.of(job)]
        some = rng.choice(known)["id"] if known else uuid7()
        step = rng.choice(STEPS)
        kind, body = rng.choice(
            [
                ("step_done", {"step": step}),
                ("step_done", {"step": step, "note": "n"}),
                ("step_done", {"step": step, "lang": "qaa", "unreviewed": rng.random() < 0.5}),
                ("step_confirmed", {"step": step}),
                ("step_not_applicable", {"step": step, "reason": "r"}),
                ("step_reopened", {"step": step, "reason": "r"}),
                ("reading_taken", {**reading(bundle, rng.choice(["2", "12", "14"]))}),
                ("zero_energy_proved", {"step": "prove", "how": "h", "tried": "t"}),
                ("zero_energy_proved", {"step": "prove", "how": "h", "tried": "t"}),
                ("reading_taken", {"step": "check", "reading": "electric", "value": {"word": rng.choice(["there", "none_looked"])}, "bundle": bundle.hash}),
                ("deviation_raised", {"step": "check", "text": "nobody to look"}),
                ("row_added", {"step": step, "list": "source", "fields": {"type": {"word": rng.choice(["electric", "spring"])}}}),
                ("row_added", {"step": step, "list": rng.choice(["lock", "hold", "test"]), "of": sources(known), "fields": {"how": {"word": rng.choice(["bled", "pinned"])}}}),
                ("row_added", {"step": step, "list": "handover", "of": [one["id"] for one in known if one["body"].get("list") == "lock"][:1], "fields": {}}),
                ("row_added", {"step": step, "list": "handover", "of": [], "comer": rng.choice(["tess", "uwe"]), "fields": {}}),
                ("row_added", {"list": "member", "fields": {"part": {"word": rng.choice(["member", "in_charge", "coordinator", "other"])}}}),
                ("row_added", {"list": "member", "fields": {"part": {"word": rng.choice(["member", "in_charge"])}}}),
                ("row_ended", {"row": rng.choice(members(known) or [some]), "list": "member", "mistake": rng.random() < 0.1}),
                ("zero_energy_lost", {"reason": "r"}),
                ("machine_started", {"at": "2026-01-01T06:00:00.000Z"}),
                ("row_added", {"step": step, "list": rng.choice(LISTS), "of": [some], "fields": {"placed": {"yes": rng.random() < 0.5}}}),
                ("row_ended", {"step": step, "row": some, "list": rng.choice(LISTS), "mistake": rng.random() < 0.2}),
                ("row_checked", {"row": some, "showed": "s"}),
                ("note_added", {"text": "n"}),
                ("photo_added", {"sha256": "0" * 64, "bytes": 1, "type": "image/jpeg"}),
                ("deviation_raised", {"text": "d"}),
                ("deviation_decided", {"deviation": some, "decision": rng.choice(["accept", "stop"]), "reason": "r"}),
                ("reading_accepted", {"reading": some, "reason": "r"}),
                ("reading_chosen", {"step": "tighten", "reading": "first", "chosen": some, "reason": "r"}),
                ("not_applicable_agreed", {"event": some, "reason": "r"}),
                ("job_completed", {"outstanding": []}),
                ("job_returned", {"reason": "r"}),
                ("job_signed", {"heads": [known and phone.of(job)[-1]["hash"]], "statement": "s", "name": "n", "role": "lead"}),
                ("follow_up_done", {"follow_up": "f", "note": ""}),
                ("event_refused", {"event": some, "code": "c", "reason": "r"}),
                ("actor_claimed", {"event": some, "actor": "a"}),
                ("claim_answered", {"event": some, "mine": rng.random() < 0.5, "reason": "r"}),
                ("verdict_differs", {"event": some, "verdict": "over", "result": None}),
                ("of_a_newer_app", {}),
            ]
        )  # fmt: skip
        if kind == "job_signed" and not known:
            continue
        phone.write(job, kind, body)
    return [one for phone in phones for one in phone.kept.values()]


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6), st.randoms(use_true_random=False))
def test_order_repetition_and_partition_do_not_matter(
    bundle: TinyBundle, seed: int, rng: random.Random
) -> None:
    kept = random_job(seed, bundle)
    whole = reduce_job(kept)
    again = kept + rng.sample(kept, len(kept) // 2)
    rng.shuffle(again)
    assert reduce_job(again) == whole
    at = rng.randrange(len(again))
    assert reduce_job(again[at:] + again[:at]) == whole


BOARD: dict[str, dict[str, Any]] = {
    "lock": {"rows": "lock"},
    "tighten": {"rows": "hold", "covers": ["lock", "hold"], "only": {"how": ["pinned", "clamped"]}},
    "free_end": {"rows": "test", "covers": ["test"], "kinds": ["electric"]},
    "check": {"rows": "source", "readings": [{"reading": "electric", "row": {"list": "source", "field": "type", "word": "electric"}}]},
    "unlock": {"ends": "lock"},
}


@pytest.mark.node
@settings(max_examples=120, deadline=None)
@given(st.integers(0, 10**6), st.floats(0.3, 1))
def test_both_languages_agree_on_random_jobs(node: Any, bundle: TinyBundle, seed: int, part: float) -> None:
    kept = random_job(seed, bundle)
    random.Random(seed).shuffle(kept)
    kept = kept[: max(1, int(len(kept) * part))]  # some parents are missing
    state = reduce_job(kept)
    assert node.ask("job", kept) == state
    procedure = bundle.data["procedures"]["tiny_mount"]
    facts = fact_values(bundle.data, state["facts"])
    assert node.ask("progress", procedure, facts, kept) == progress(procedure, facts, state)
    with_board = {
        **procedure,
        "must_end": {"lock": True, "hold": "placed", "member": True, "test_run": True},
        "steps": [step | BOARD.get(step["step"], {}) for step in procedure["steps"]],
    }
    for rules in (1, 2, 3):
        of_rules = with_board | {"rules": rules}
        assert node.ask("progress", of_rules, facts, kept) == progress(of_rules, facts, state)


@pytest.mark.node
@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10**6))
def test_both_languages_agree_on_the_other_records(node: Any, seed: int) -> None:
    rng = random.Random(seed)
    phones = [Phone("tess"), Phone("uwe")]
    record = uuid7()
    machine = {"id": "F1", "name": "Fan", "area": "A"}
    kinds: list[tuple[str, dict[str, Any]]] = [
        ("position_described", {"machine": machine, "name": "DE", "facts": {"screw": {"word": "M8"}}}),
        ("position_described", {"machine": machine, "name": "NDE", "facts": {}, "maker": {}}),
        ("position_retired", {"reason": "r"}),
        ("failure_reported", {"position": record, "found_on": "2026-01-01", "text": "t"}),
        ("person_added", {"name": "N", "roles": ["lead", "admin"]}),
        ("roles_changed", {"roles": ["technician"]}),
        ("person_disabled", {"reason": ""}),
        ("person_enabled", {"reason": ""}),
        ("note_added", {"text": "n"}),
    ]
    for _ in range(15):
        phone = rng.choice(phones)
        if rng.random() < 0.4:
            phone.kept |= rng.choice(phones).kept
        phone.write(record, *rng.choice(kinds))
    kept = [one for phone in phones for one in phone.kept.values()]
    assert node.ask("position", kept) == reduce_position(kept)


def test_nothing_is_nothing() -> None:
    assert reduce_job([])["status"] == "open"
    assert reduce_job([])["started"] is None


def told(bundle: TinyBundle, phone: Phone, job: str) -> dict[str, Any]:
    state = reduce_job(phone.of(job))
    procedure = bundle.data["procedures"]["tiny_mount"]
    return progress(procedure, fact_values(bundle.data, state["facts"]), state)


def status(bundle: TinyBundle, phone: Phone, job: str) -> dict[str, str]:
    return {one["id"]: one["status"] for one in told(bundle, phone, job)["steps"]}


def test_work_is_closed_until_zero_energy_is_proved_and_again_when_it_is_lost(bundle: TinyBundle) -> None:
    phone = Phone()
    job = start_job(phone, bundle)
    assert status(bundle, phone, job) == {
        "lock": "open",
        "prove": "closed",
        "tighten": "closed",
        "check": "closed",
        "free_end": "does_not_apply",
        "unlock": "closed",
    }
    phone.write(job, "step_done", {"step": "lock"})
    phone.write(job, "zero_energy_proved", {"step": "prove", "how": "h", "tried": "t"})
    assert status(bundle, phone, job)["tighten"] == "open"
    phone.write(job, "zero_energy_lost", {"reason": "somebody took a lock off"})
    now = told(bundle, phone, job)
    assert status(bundle, phone, job)["tighten"] == "closed"
    assert now["next"] == "prove"
    phone.write(job, "step_done", {"step": "tighten"})
    assert "before_zero_energy" in {one["code"] for one in told(bundle, phone, job)["blockers"]}


def test_a_loss_that_the_proof_had_not_seen_wins(bundle: TinyBundle) -> None:
    one, two = Phone("tess"), Phone("uwe")
    job = start_job(one, bundle)
    two.kept |= one.kept
    one.write(job, "zero_energy_proved", {"step": "prove", "how": "h", "tried": "t"})
    two.write(job, "zero_energy_lost", {"reason": "lock off"})
    one.kept |= two.kept
    assert not reduce_job(one.of(job))["zero_energy"]["proved"]
    one.write(job, "zero_energy_proved", {"step": "prove", "how": "h", "tried": "t"})
    assert reduce_job(one.of(job))["zero_energy"]["proved"]


def test_done_and_reopened_at_once_is_open(bundle: TinyBundle) -> None:
    one, two = Phone("tess"), Phone("uwe")
    job = start_job(one, bundle)
    one.write(job, "step_done", {"step": "lock"})
    two.kept |= one.kept
    one.write(job, "step_done", {"step": "lock"})
    two.write(job, "step_reopened", {"step": "lock", "reason": "wrong lock"})
    assert reduce_job([*one.of(job), *two.of(job)])["steps"]["lock"]["status"] == "open"


def test_two_readings_at_once_are_both_kept(bundle: TinyBundle) -> None:
    one, two = Phone("tess"), Phone("uwe")
    job = start_job(one, bundle)
    two.kept |= one.kept
    first = one.write(job, "reading_taken", reading(bundle, "12"))
    second = two.write(job, "reading_taken", reading(bundle, "14"))
    both = one.kept | two.kept
    held = reduce_job(list(both.values()))["readings"]["tighten/first"]
    assert held["current"] is None
    assert set(held["conflict"]) == {first["id"], second["id"]}
    one.kept = dict(both)
    one.write(job, "reading_taken", reading(bundle, "13"))
    assert reduce_job(one.of(job))["readings"]["tighten/first"]["conflict"] is None


def test_a_whole_job_can_be_completed(bundle: TinyBundle) -> None:
    phone = Phone()
    job = whole_job(phone, bundle, good_torque(bundle))
    assert told(bundle, phone, job)["blockers"] == []
    assert told(bundle, phone, job)["next"] is None


def test_a_step_keeps_the_language_it_was_read_in(bundle: TinyBundle) -> None:
    phone = Phone("tess")
    job = start_job(phone, bundle)
    phone.write(job, "step_done", {"step": "lock", "lang": "qaa", "unreviewed": True})
    phone.write(job, "step_done", {"step": "tighten", "lang": "en"})
    steps = reduce_job(phone.of(job))["steps"]
    assert (steps["lock"]["lang"], steps["lock"]["unreviewed"]) == ("qaa", True)
    assert "lang" not in steps["tighten"]


def test_the_second_person_is_another_person(bundle: TinyBundle) -> None:
    phone = Phone()
    job = whole_job(phone, bundle)
    phone.write(job, "step_reopened", {"step": "check", "reason": "again"})
    phone.write(job, "step_done", {"step": "check"})
    phone.write(job, "step_confirmed", {"step": "check"})
    assert "second_person_missing" in {one["code"] for one in told(bundle, phone, job)["blockers"]}
    phone.write(job, "step_confirmed", {"step": "check"}, actor="uwe")
    assert "second_person_missing" not in {one["code"] for one in told(bundle, phone, job)["blockers"]}


def test_locks_off_without_a_word_leaves_nothing_proved(bundle: TinyBundle) -> None:
    phone = Phone()
    job = start_job(phone, bundle)
    phone.write(job, "step_done", {"step": "lock"})
    phone.write(job, "zero_energy_proved", {"step": "prove", "how": "h", "tried": "t"})
    phone.write(
        job, "step_done", {"step": "unlock"}
    )  # an old or damaged phone: no zero_energy_lost beside it
    assert status(bundle, phone, job)["prove"] == "open"
    assert status(bundle, phone, job)["tighten"] == "closed"
    blocker = {"code": "zero_energy_loss_missing", "step": "unlock"}
    assert blocker in told(bundle, phone, job)["blockers"]
    phone.write(job, "zero_energy_lost", {"step": "unlock", "reason": "locks off"})
    assert blocker not in told(bundle, phone, job)["blockers"]
    assert status(bundle, phone, job)["prove"] == "open"
    phone.write(job, "zero_energy_proved", {"step": "prove", "how": "h", "tried": "t"})
    assert status(bundle, phone, job)["tighten"] == "open"

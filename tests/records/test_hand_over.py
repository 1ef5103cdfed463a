"""Who goes and who comes: the one who comes proves zero energy, and who is in charge goes last from the group box.

29 CFR 1910.147 (f)(3)-(4): orderly transfer between off-going and on-coming, the primary responsibility of one authorised
person for the group (secondary; clause details from memory). That the one in charge goes last is common practice, no source.
Each record is worked out by both languages.
"""

from __future__ import annotations

from typing import Any

import pytest
from records_kit import Phone, TinyBundle, TinyBundles, start_job
from test_board import PROCEDURE
from test_whole_proof import Locked

from shaftside.database import Database
from shaftside.records import Records
from shaftside.records.canonical import hash_of
from shaftside.records.progress import progress
from shaftside.records.state import reduce_job

BEFORE = PROCEDURE | {"rules": 2}
"""A procedure of a bundle from before these two were rules."""


@pytest.fixture
def job(bundle: TinyBundle, node: Any) -> Any:
    made = Locked(bundle)
    made.prove()
    yield made
    kept = made.phone.of(made.id)
    assert node.ask("job", kept) == reduce_job(kept)
    for procedure in (PROCEDURE, BEFORE):
        assert node.ask("progress", procedure, {}, kept) == progress(procedure, {}, reduce_job(kept))


def hand_over(job: Locked, to: str | None) -> None:
    """Noor's lock goes on, Tess's comes off, everything is tested again."""
    job.row("handover", None, [job.lock], comer=to, to={"text": "Noor"})
    job.row("lock", "lock_and_tag", [job.motor], owner={"text": "Noor"})
    job.end(job.lock, "lock")
    job.row("test", "test_voltage", [job.motor, job.weight])


def test_the_rules_are_those_of_the_bundle() -> None:
    assert PROCEDURE["rules"] == 3


def test_only_who_comes_proves_zero_energy(job: Locked) -> None:
    hand_over(job, "noor")
    assert job.wants() == [], "nothing but the proof is missing"
    for who in ("tess", "sami"):
        job.prove(who)
        assert job.status("prove_zero") == "open"
        assert job.status("prove_zero", BEFORE) == "done", "a bundle that asked for less keeps its word"
    job.prove("noor")
    assert job.status("prove_zero") == "done"
    job.write("zero_energy_lost", reason="the strap was found slack")
    job.row("test", None, [job.motor, job.weight])
    job.prove("sami")
    assert job.status("prove_zero") == "done", "once who came has proved, a later proof is anybody's of the shift"


def test_where_nobody_is_named_by_id_anybody_but_who_wrote_the_hand_over(job: Locked) -> None:
    hand_over(job, None)
    job.prove("tess")
    assert job.status("prove_zero") == "open"
    job.prove("noor")
    assert job.status("prove_zero") == "done"


def test_work_on_the_proof_of_another_stands_before_a_sign_off(job: Locked) -> None:
    hand_over(job, "noor")
    job.prove("tess")
    done = job.write("step_done", step="guards_on")

    def early(procedure: dict[str, Any]) -> list[str]:
        return [one["event"] for one in progress(procedure, {}, job.state)["blockers"] if one["code"] == "before_zero_energy" and one["step"] == "guards_on"]

    assert early(PROCEDURE) == [done["id"]]
    assert early(BEFORE) == []


def test_a_hand_over_that_was_a_mistake_or_was_handed_on_asks_for_nobody(job: Locked) -> None:
    wrong = job.row("handover", None, [], comer="noor")
    job.end(wrong, "handover", mistake=True)
    job.row("test", None, [job.motor, job.weight])
    job.prove("tess")
    assert job.status("prove_zero") == "done"
    job.row("handover", None, [], comer="noor")
    job.row("handover", None, [], comer="ola")
    job.row("test", None, [job.motor, job.weight])
    job.prove("noor")
    assert job.status("prove_zero") == "open"
    job.prove("ola")
    assert job.status("prove_zero") == "done"


def on(job: Locked, procedure: dict[str, Any] = PROCEDURE) -> list[str]:
    rows = {row["event"]: row["fields"]["name"]["text"] for row in job.state["board"] if row["list"] == "member"}
    return [rows[one["row"]] for one in progress(procedure, {}, job.state)["blockers"] if one["code"] == "row_on" and one["row"] in rows]


def joins(job: Locked, name: str, part: str) -> str:
    return job.row("member", None, [], name={"text": name}, part={"word": part})


def test_who_is_in_charge_goes_last(job: Locked) -> None:
    lead, one = joins(job, "Mika", "in_charge"), joins(job, "Sami", "member")
    job.end(lead, "member")
    assert on(job) == ["Mika", "Sami"], "their end before Sami's does not count"
    assert on(job, BEFORE) == ["Sami"]
    job.end(one, "member")
    assert on(job) == ["Mika"], "and is to be said again"
    job.end(lead, "member")
    assert on(job) == []
    joins(job, "Ola", "member")
    assert on(job) == ["Ola"], "whoever joins later does not make it early"


def test_another_in_charge_takes_over_and_a_coordinator_goes_after_both(job: Locked) -> None:
    lead, one, whole = joins(job, "Mika", "in_charge"), joins(job, "Sami", "member"), joins(job, "Ada", "coordinator")
    after = joins(job, "Noor", "in_charge")
    job.end(lead, "member")
    assert on(job) == ["Sami", "Ada", "Noor"], "somebody in charge is still on"
    job.end(whole, "member")
    assert "Ada" in on(job)
    for row in (one, after, whole):
        job.end(row, "member")
    assert on(job) == []


def test_a_lock_taken_off_elsewhere_at_the_same_time_is_not_seen_as_off(job: Locked) -> None:
    lead, one = joins(job, "Mika", "in_charge"), joins(job, "Sami", "member")
    other = Phone("sami", kept=dict(job.phone.kept))
    other.write(job.id, "row_ended", {"row": one, "list": "member"})
    job.end(lead, "member")
    job.phone.kept |= other.kept
    assert on(job) == ["Mika"]
    wrong = joins(job, "Nobody", "member")
    job.end(wrong, "member", mistake=True)
    job.end(lead, "member")
    assert on(job) == []


@pytest.mark.parametrize(("rules", "codes"), [(3, ["proof_not_by_comer"]), (2, [])])
def test_verify_names_a_proof_by_another_than_who_came(database: Database, bundle: TinyBundle, rules: int, codes: list[str]) -> None:
    data = bundle.data | {"procedures": {"tiny_mount": bundle.data["procedures"]["tiny_mount"] | {"rules": rules}}}
    strict = TinyBundle(hash_of(data), data)
    records = Records(database, TinyBundles(strict))
    phone = Phone()
    job = start_job(phone, strict)
    phone.write(job, "row_added", {"list": "handover", "of": [], "comer": "noor", "fields": {}})
    phone.write(job, "zero_energy_proved", {"step": "prove", "how": "h", "tried": "t"})
    phone.sync(records)
    assert [one.code for one in records.verify(job)] == codes

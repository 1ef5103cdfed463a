"""A proof of zero energy stands on every listed source: locked or held, and tested since the last loss.

29 CFR 1910.147 (d)(4)-(6), (f)(1), (f)(4) and EN 50110-1's rule of testing before work (secondary; clause details from
memory), on the real procedure; each record is worked out by both languages.
"""

from __future__ import annotations

from typing import Any

import pytest
from records_kit import Phone, TinyBundle, TinyBundles, start_job
from test_board import PROCEDURE, Job

from shaftside import content, handbook
from shaftside.database import Database
from shaftside.records import Records
from shaftside.records.canonical import hash_of
from shaftside.records.progress import progress
from shaftside.records.state import reduce_job

BOOK = handbook.build(content.folder("procedures", None)).data["procedures"]
ORDER = [step["step"] for step in PROCEDURE["steps"]]
SAFE = ORDER[: ORDER.index("prove_zero")]
OLD = {key: one for key, one in PROCEDURE.items() if key != "rules"}
"""A procedure of a bundle from before a proof had to be whole."""


class Locked(Job):
    """Everything of make safe done; the motor locked and tested, the weight held and tested."""

    def __init__(self, bundle: TinyBundle) -> None:
        super().__init__(bundle)
        self.motor = self.row("source", "list_energy", type={"word": "electric"})
        self.weight = self.row("source", "list_energy", type={"word": "gravity"})
        self.lock = self.row("lock", "lock_and_tag", [self.motor], owner={"text": "Mika"})
        self.volts = self.row("test", "test_voltage", [self.motor])
        self.stands = self.row("hold", "support_shaft", [self.weight], how={"word": "supported"}, placed={"yes": True})
        self.row("hold", "restrain_rotation", [self.weight], how={"word": "clamped"}, placed={"yes": False})
        self.still = self.row("test", "test_sources", [self.weight])
        for name in SAFE:
            self.write("step_done", step=name)

    def prove(self, who: str | None = None) -> None:
        self.phone.write(self.id, "zero_energy_proved", {"step": "prove_zero", "how": "h", "tried": "t"}, actor=who)

    def status(self, step: str, procedure: dict[str, Any] = PROCEDURE) -> str:
        told = progress(procedure, {}, self.state)
        return str(next(one["status"] for one in told["steps"] if one["id"] == step))

    def wants(self) -> list[tuple[str, Any]]:
        return [(one["list"], one.get("of") or one.get("row")) for one in self.lacks("prove_zero")]


@pytest.fixture
def job(bundle: TinyBundle, node: Any) -> Any:
    made = Locked(bundle)
    yield made
    kept = made.phone.of(made.id)
    assert node.ask("job", kept) == reduce_job(kept)
    assert node.ask("progress", PROCEDURE, {}, kept) == progress(PROCEDURE, {}, reduce_job(kept))


def test_a_whole_proof_opens_the_work(job: Locked) -> None:
    assert job.wants() == []
    job.prove()
    assert job.status("prove_zero") == "done"
    assert job.told()["next"] == ORDER[ORDER.index("prove_zero") + 1]


@pytest.mark.parametrize(
    ("gone", "kind", "missing"),
    [("lock", "lock", ["lock", "test", "test"]), ("stands", "hold", []), ("volts", "test", ["test"]), ("still", "test", ["test"])],
)
def test_a_proof_without_its_lock_or_test_proves_nothing(job: Locked, gone: str, kind: str, missing: list[str]) -> None:
    """The strap still holds the weight when the stands are out; nothing holds the motor when its lock is off."""
    job.end(getattr(job, gone), kind, mistake=kind == "test")
    assert [name for name, _ in job.wants()] == missing
    job.prove()
    assert (job.status("prove_zero") == "done") is (missing == [])
    assert job.status("prove_zero", OLD) == "done", "a bundle that asked for less keeps its word"


def test_a_proof_with_no_lock_on_and_all_restraints_out_is_refused_source_by_source(job: Locked) -> None:
    for row in job.state["board"]:
        if row["list"] in ("lock", "hold"):
            job.end(row["event"], row["list"])
    job.prove()
    assert job.status("prove_zero") == "open"
    assert job.wants() == [("lock", job.motor), ("test", job.motor), ("lock", job.weight), ("test", job.weight)]
    first = ORDER[ORDER.index("prove_zero") + 1]
    job.write("step_done", step="guards_on")
    blockers = job.told()["blockers"]
    assert {"code": "zero_energy_not_proved", "step": "prove_zero"} in blockers
    assert "before_zero_energy" in {one["code"] for one in blockers if one["step"] == "guards_on"}
    assert "before_zero_energy" not in {one["code"] for one in progress(OLD, {}, job.state)["blockers"]}
    assert first is not None


def test_after_a_loss_every_source_is_tested_again(job: Locked) -> None:
    job.prove()
    job.write("zero_energy_lost", reason="the strap was found slack")
    assert job.wants() == [("test", job.motor), ("test", job.weight)]
    job.prove()
    assert job.told()["next"] == "prove_zero"
    job.row("test", None, [job.motor, job.weight])
    assert job.wants() == []
    job.prove()
    assert job.status("prove_zero") == "done"


def test_a_source_found_during_the_work_wants_its_lock_its_test_and_a_new_proof(job: Locked) -> None:
    job.prove()
    grease = job.row("source", None, type={"word": "pressure"})
    assert job.told()["next"] in [*SAFE, "prove_zero"]
    assert ("lock", grease) in job.wants()
    job.row("hold", "release_energy", [grease], how={"word": "bled"}, placed={"yes": False})
    job.row("test", "test_sources", [grease])
    assert job.wants() == []
    assert job.status("prove_zero") == "open"
    job.prove()
    assert job.status("prove_zero") == "done"


def test_a_test_at_the_same_time_as_a_loss_is_not_after_it(bundle: TinyBundle) -> None:
    job = Locked(bundle)
    other = Phone("uwe", kept=dict(job.phone.kept))
    other.write(job.id, "zero_energy_lost", {"reason": "a lock was seen open"})
    job.row("test", None, [job.motor, job.weight])
    job.phone.kept |= other.kept
    assert [name for name, _ in job.wants()] == ["test", "test"]


def test_whoever_comes_brings_a_lock_for_the_same_sources(job: Locked) -> None:
    job.prove()
    job.row("handover", None, [job.lock], to={"text": "Sami"}, comer="sami")
    assert job.wants()[0] == ("lock", job.lock), "the goer's lock is to come off"
    job.end(job.lock, "lock")
    job.row("test", None, [job.motor, job.weight])
    assert job.wants() == [("lock", job.motor)]
    job.row("hold", None, [job.motor], how={"word": "disconnected"}, placed={"yes": False})
    assert job.wants() == [("lock", job.motor)], "what was locked is locked again"
    new = job.row("lock", None, [job.motor], owner={"text": "Sami"})
    assert job.wants() == []
    job.prove("sami")
    assert job.status("prove_zero") == "done"
    assert new in {one["row"] for one in job.told()["blockers"] if one["code"] == "row_on"}, "locks off asks for the comer's lock"


def test_what_is_there_has_its_row(job: Locked) -> None:
    def missing() -> list[str]:
        return [one["reading"] for one in job.lacks("list_energy") if "reading" in one]

    for name, word in (("electric", "there"), ("turning", "there"), ("pressure", "there"), ("thermal", "none_looked")):
        job.write("reading_taken", step="list_energy", reading=name, value={"word": word}, bundle="0" * 64)
    assert missing() == ["turning", "pressure"]
    job.row("source", "list_energy", type={"word": "pressure"})
    assert missing() == ["turning"]
    job.write("reading_taken", step="list_energy", reading="turning", value={"word": "none_looked"}, bundle="0" * 64)
    assert missing() == []


@pytest.mark.parametrize(("step", "wrong", "right"), [("support_shaft", "bled", "supported"), ("restrain_rotation", "bled", "clamped")])
def test_only_a_fitting_hold_counts(bundle: TinyBundle, step: str, wrong: str, right: str) -> None:
    job = Job(bundle)
    for how, lacking in ((wrong, True), (right, False)):
        job.row("hold", step, [], how={"word": how})
        assert any("of" not in one for one in job.lacks(step)) is lacking


@pytest.mark.parametrize("procedure", sorted(BOOK))
def test_electric_sources_are_tested_straight_after_the_try_start(procedure: str) -> None:
    """EN 50110-1: verify absence of voltage before anything else is done at the machine."""
    steps = {step["step"]: step for step in BOOK[procedure]["steps"]}
    names = [name for name in steps if not name.startswith("plant_")]
    assert names[names.index("try_start") + 1] == "test_voltage"
    assert {"voltage", "qualified"} <= set(steps["test_voltage"]["caution"]["text"]["en"].replace(".", "").split())
    every = [*steps["test_voltage"]["kinds"], *steps["test_sources"]["kinds"]]
    asked = [one["row"]["word"] for one in steps["list_energy"]["readings"]]
    assert sorted(every) == sorted(asked), "each kind is asked for once and tested in one step"
    for name in ("release_energy", "slacken_drive", "support_shaft", "restrain_rotation"):
        if name in steps:
            assert names.index("test_voltage") < names.index(name) < names.index("test_sources")


class Second(Job):
    """A sleeve driven up: and a second person has to look."""

    procedure = BOOK["pull_off_sleeve_mount"]

    def __init__(self, bundle: TinyBundle) -> None:
        super().__init__(bundle)
        names = [step["step"] for step in self.procedure["steps"]]
        self.hold = next(step["step"] for step in self.procedure["steps"] if step.get("hold") == "second_person")
        after = self.procedure["steps"][names.index(self.hold) + 1 :]
        self.following = str(next(step["step"] for step in after if "when" not in step))
        motor = self.row("source", "list_energy", type={"word": "electric"})
        self.row("lock", "lock_and_tag", [motor])
        self.row("test", "test_voltage", [motor])
        for name in names[: names.index(self.following)]:
            if name == "prove_zero":
                self.write("zero_energy_proved", step=name, how="h", tried="t")
            else:
                self.write("step_done", step=name)

    def now(self, procedure: dict[str, Any] | None = None) -> dict[str, Any]:
        return progress(procedure or self.procedure, {}, self.state)

    def status(self) -> str:
        return str(next(one["status"] for one in self.now()["steps"] if one["id"] == self.following))


def test_what_follows_a_second_person_s_step_waits_for_that_person(bundle: TinyBundle, node: Any) -> None:
    job = Second(bundle)
    earlier = {step["step"]: step for step in job.procedure["steps"]}
    assert job.hold in earlier[job.following]["needs"]
    assert job.status() == "closed"
    assert job.now()["next"] == job.hold
    assert node.ask("progress", job.procedure, {}, job.phone.of(job.id)) == job.now()
    old = progress({key: one for key, one in job.procedure.items() if key != "rules"}, {}, job.state)
    assert old["next"] == job.following, "a bundle that asked for less keeps its word"
    job.write("step_confirmed", step=job.hold)
    assert job.status() == "closed", "the worker cannot be the second person"
    job.phone.write(job.id, "step_confirmed", {"step": job.hold}, actor="uwe")
    assert job.status() == "open"
    assert "second_person_missing" not in {one["code"] for one in job.now()["blockers"]}


@pytest.mark.parametrize(("decision", "status"), [("accept", "open"), ("rework", "closed")])
def test_the_lead_may_let_the_second_person_go(bundle: TinyBundle, node: Any, decision: str, status: str) -> None:
    job = Second(bundle)
    raised = job.write("deviation_raised", step=job.hold, text="nobody else is here tonight")
    assert job.status() == "closed"
    job.phone.write(job.id, "deviation_decided", {"deviation": raised["id"], "decision": decision, "reason": "r"}, actor="lena")
    assert job.status() == status
    assert ("second_person_missing" in {one["code"] for one in job.now()["blockers"]}) is (status == "closed")
    assert node.ask("progress", job.procedure, {}, job.phone.of(job.id)) == job.now()


def test_a_tiny_job_of_an_old_bundle_is_what_it_was(bundle: TinyBundle) -> None:
    """No rows at all, and no `rules` in its bundle: proved, as it always was."""
    phone = Phone()
    job = start_job(phone, bundle)
    phone.write(job, "step_done", {"step": "lock"})
    phone.write(job, "row_added", {"list": "source", "fields": {}})
    phone.write(job, "zero_energy_proved", {"step": "prove", "how": "h", "tried": "t"})
    told = progress(bundle.data["procedures"]["tiny_mount"], {}, reduce_job(phone.of(job)))
    assert told["next"] == "tighten"


@pytest.mark.parametrize(("rules", "codes"), [(2, ["proof_incomplete"]), (None, [])])
def test_verify_names_a_proof_that_lacked_something(database: Database, bundle: TinyBundle, rules: int | None, codes: list[str]) -> None:
    procedure = bundle.data["procedures"]["tiny_mount"] | ({"rules": rules} if rules else {})
    data = bundle.data | {"procedures": {"tiny_mount": procedure}}
    strict = TinyBundle(hash_of(data), data)
    records = Records(database, TinyBundles(strict))
    phone = Phone()
    job = start_job(phone, strict)
    phone.write(job, "row_added", {"list": "source", "fields": {"type": {"word": "electric"}}})
    phone.write(job, "zero_energy_proved", {"step": "prove", "how": "h", "tried": "t"})
    phone.sync(records)
    assert [one.code for one in records.verify(job)] == codes

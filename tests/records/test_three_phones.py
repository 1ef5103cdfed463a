"""Three phones on one job over a bad network: killed, dropped, doubled, out of order; one names others as its actor."""

from __future__ import annotations

import asyncio
import copy
import random
from collections.abc import Iterator
from typing import Any

import pytest
from records_kit import Phone, TinyBundle, TinyBundles, good_torque, reading, start_job

from shaftside.database import Database
from shaftside.errors import ShaftsideError
from shaftside.records import Actor, Push, Records
from shaftside.records.state import reduce_job

MAUD = Actor(
    "maud", "Maud Invented", frozenset({"lead"})
)  # named by nobody, so that only the claims stand in her way


class BadNetwork:
    """Between one phone and the server: a request may be lost, an answer may be lost, a request may come again later."""

    def __init__(self, rng: random.Random, records: Records) -> None:
        self.rng, self.records = rng, records
        self.late: list[tuple[Push, Any]] = []
        self.troubles = 0

    def exchange(self, phone: Phone) -> None:
        events = copy.deepcopy(phone.outbox)
        if self.rng.random() < 0.3:
            self.rng.shuffle(events)
        if events and self.rng.random() < 0.3:
            events = events[
                : self.rng.randrange(len(events))
            ]  # the connection broke in the middle of the list
        push = Push(phone.device, phone.cursor, events, self.rng.choice([1, 3, 300]))
        if self.rng.random() < 0.25:
            self.troubles += 1
            if self.rng.random() < 0.7:
                self.late.append((push, phone.session()))
            return
        answer = asyncio.run(self.records.exchange(push, phone.session()))
        if self.rng.random() < 0.25:
            self.troubles += 1
            return  # the server has it; the phone does not know
        phone.take(answer)

    def deliver_late(self) -> None:
        self.rng.shuffle(self.late)
        for push, session in self.late:
            asyncio.run(self.records.exchange(push, session))
        self.late.clear()


def killed(phone: Phone, durable: Phone) -> Phone:
    """A battery that dies: what the phone had written durably is there again, an answer it had not stored is not."""
    again = copy.deepcopy(phone)
    again.cursor = durable.cursor
    return again


def acts(rng: random.Random, bundle: TinyBundle) -> list[tuple[str, dict[str, Any]]]:
    good = good_torque(bundle)
    return [
        ("step_done", {"step": "lock"}),
        ("zero_energy_proved", {"step": "prove", "how": "h", "tried": "nothing moved"}),
        ("reading_taken", reading(bundle, rng.choice([good, good, "2.0"]))),
        ("step_done", {"step": "tighten"}),
        ("step_done", {"step": "check"}),
        ("step_reopened", {"step": "tighten", "reason": "again"}),
        ("note_added", {"text": f"note {rng.random()}"}),
        ("deviation_raised", {"text": "burr"}),
    ]


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)], scope="module")
def shared(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Database]:
    if request.param == "sqlite":
        url = f"sqlite:///{tmp_path_factory.mktemp('three') / 'r.db'}"
    else:
        server = request.getfixturevalue("pg_server")
        import psycopg

        where = dict(part.split("=", 1) for part in server.split("&"))
        with psycopg.connect(user="postgres", dbname="postgres", autocommit=True, **where) as connection:
            connection.execute("create database three_phones")
        url = f"postgresql+psycopg://postgres@/three_phones?{server}"
    database = Database.open(url)
    database.migrate()
    yield database
    database.close()


@pytest.mark.node
@pytest.mark.parametrize("seed", range(20))
def test_all_end_with_the_same_record(shared: Database, bundle: TinyBundle, node: Any, seed: int) -> None:
    rng = random.Random(seed)
    records = Records(shared, TinyBundles(bundle))
    phones = [Phone("tess"), Phone("uwe"), Phone("mal")]
    network = BadNetwork(rng, records)
    job = start_job(phones[0], bundle)
    phones[0].sync(records)
    for phone in phones[1:]:
        phone.sync(records)
    written: list[str] = [next(iter(phones[0].kept))]
    forged: list[str] = []
    durable = [copy.deepcopy(one) for one in phones]
    for _ in range(40):
        at = rng.randrange(3)
        phone = phones[at]
        dice = rng.random()
        if dice < 0.5:
            kind, body = rng.choice(acts(rng, bundle))
            liar = at == 2 and rng.random() < 0.6
            event = phone.write(job, kind, body, actor=rng.choice(["tess", "uwe", "lena"]) if liar else None)
            written.append(str(phone.previous))
            if liar:
                forged.append(event["id"])
        elif dice < 0.85:
            network.exchange(phone)
            if rng.random() < 0.7:
                durable[at] = copy.deepcopy(phone)
        elif dice < 0.93:
            phones[at] = killed(phone, durable[at])
        else:
            network.deliver_late()
    if not forged:
        forged.append(phones[2].write(job, "step_done", {"step": "check"}, actor="tess")["id"])
        written.append(str(phones[2].previous))
    network.deliver_late()
    for _ in range(2):
        for phone in phones:
            phone.sync(records)
    held = records.events(job)
    assert {one["hash"] for one in held} >= set(written), "something written was lost"
    state = reduce_job(held)
    for phone in phones:
        assert phone.outbox == []
        assert {one["hash"] for one in phone.of(job)} == {one["hash"] for one in held}
        mine = [one for one in held if one["hash"] in phone.kept]
        rng.shuffle(mine)
        assert reduce_job(mine) == state
        assert node.ask("job", mine) == state
    # The liar's entries stand as claimed, do nothing for the machine, and nobody can sign over them.
    assert set(state["claimed"]) == set(forged)
    assert not any(one["event"] in forged for one in state["zero_energy"]["proofs"] if not one["claimed"])
    with pytest.raises(ShaftsideError) as caught:
        asyncio.run(records.sign(job, MAUD, state["heads"], "I have read this record."))
    assert caught.value.code in ("blocked", "not_completed")
    assert {"claimed"} <= {one["code"] for one in records.job(job).blockers}
    assert records.alarms() == 0
    assert not [one for one in records.verify(job) if one.event in forged or "hash" in one.code]


def test_the_network_of_these_tests_is_bad(shared: Database, bundle: TinyBundle) -> None:
    network = BadNetwork(random.Random(1), Records(shared, TinyBundles(bundle)))
    late = 0
    for _ in range(60):
        network.exchange(Phone())
        late = max(late, len(network.late))
    assert network.troubles > 15
    assert late > 3

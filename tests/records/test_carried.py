"""Entries that another phone brings: never doubled, claimed until the phone that wrote them speaks, forgeries never more than claimed."""

from __future__ import annotations

import asyncio
import copy
import random
from typing import Any

import pytest
from records_kit import Phone, TinyBundle, start_job, whole_job

from shaftside.records import Push, Records
from shaftside.records.state import reduce_job


def send(records: Records, phone: Phone, events: list[Any]) -> list[Any]:
    return asyncio.run(records.exchange(Push(phone.device, None, events, 0), phone.session())).acks


def hand_on(giver: Phone, taker: Phone, job: str) -> None:
    """What the file does: the taker holds and will send every entry that the giver holds."""
    for one in giver.of(job):
        if one["hash"] not in taker.kept:
            taker.kept[one["hash"]] = copy.deepcopy(one)
            taker.outbox.append(copy.deepcopy(one["event"]))


@pytest.mark.parametrize("order", range(6))
def test_a_job_over_three_phones_ends_the_same_whoever_has_network_first(
    records: Records, bundle: TinyBundle, order: int
) -> None:
    tess, uwe, mal = phones = [Phone("tess"), Phone("uwe"), Phone("mal")]
    job = start_job(tess, bundle)
    tess.write(job, "step_done", {"step": "lock"})
    hand_on(tess, uwe, job)
    uwe.write(job, "note_added", {"text": "taken over"})
    hand_on(uwe, mal, job)
    mal.write(job, "note_added", {"text": "and again"})
    wrote = {hash for phone in phones for hash in phone.kept}
    for at in random.Random(order).sample(range(3), 3):
        send(records, phones[at], phones[at].outbox)
        send(records, phones[at], phones[at].outbox)
    held = records.events(job)
    ours = [one for one in held if one["event"]["actor"] != "server"]
    assert {one["hash"] for one in ours} == wrote
    assert len(ours) == len(wrote), "none is doubled"
    state = reduce_job(held)
    assert state["claimed"] == []
    assert all(one["outcome"] == "kept" for one in ours)
    assert records.verify(job) == []


def test_until_its_own_phone_speaks_it_is_claimed_and_says_who_carried_it(
    records: Records, bundle: TinyBundle
) -> None:
    # tess has signed in on uwe's phone too: that does not make it the phone that wrote them
    tess, uwe = Phone("tess"), Phone("uwe", people=frozenset({"tess"}))
    job = whole_job(tess, bundle)
    hand_on(tess, uwe, job)
    mine = uwe.write(job, "note_added", {"text": "mine"})
    acks = {ack.id: ack for ack in send(records, uwe, uwe.outbox)}
    assert acks[mine["id"]].outcome == "kept"
    assert {(ack.outcome, ack.code) for ack in acks.values() if ack.id != mine["id"]} == {("claimed", "carried")}
    said = [one["event"]["body"] for one in records.events(job) if one["event"]["kind"] == "actor_claimed"]
    assert {one["carried_by"] for one in said} == {uwe.device}
    assert records.job(job).state["zero_energy"]["proved"] is False
    assert "claimed" in {one["code"] for one in records.job(job).blockers}
    assert {ack.outcome for ack in send(records, tess, tess.outbox)} == {"kept"}
    again = send(records, uwe, uwe.outbox)
    assert {ack.outcome for ack in again} == {"kept"}, "whoever carried it hears it too"
    view = records.job(job)
    assert view.state["claimed"] == []
    answers = [one["event"] for one in records.events(job) if one["event"]["kind"] == "claim_answered"]
    assert {one["actor"] for one in answers} == {"server"}
    assert len(answers) == len(tess.outbox), "said once each, however often it is sent"


def test_a_forged_carrier_gets_no_further_than_claimed(records: Records, bundle: TinyBundle) -> None:
    tess, mal = Phone("tess"), Phone("mal", people=frozenset({"tess"}))
    job = start_job(tess, bundle)
    send(records, tess, tess.outbox)
    forger = copy.deepcopy(tess)  # mal writes under the name and the device of tess
    forged = forger.write(job, "zero_energy_proved", {"step": "prove", "how": "h", "tried": "t"})
    assert [ack.outcome for ack in send(records, mal, [forged])] == ["claimed"]
    assert [ack.outcome for ack in send(records, mal, [forged])] == ["claimed"], "sending it twice proves nothing"
    assert records.job(job).state["zero_energy"]["proved"] is False
    # tess writes her own entry in that place of her chain: both stay, hers is kept, and verify names the fork
    true = tess.write(job, "note_added", {"text": "hers"})
    assert [ack.outcome for ack in send(records, tess, [true])] == ["kept"]
    assert records.job(job).state["claimed"] == [forged["id"]]
    assert "chain_forked" in {one.code for one in records.verify(job)}


def test_the_same_phone_naming_a_stranger_stays_claimed_when_its_phone_sends_it(
    records: Records, bundle: TinyBundle
) -> None:
    tess, uwe = Phone("tess"), Phone("uwe")
    job = start_job(tess, bundle)
    stranger = tess.write(job, "note_added", {"text": "x"}, actor="lena")
    hand_on(tess, uwe, job)
    send(records, uwe, uwe.outbox)
    assert [ack.outcome for ack in send(records, tess, tess.outbox)] == ["kept", "claimed"]
    assert records.job(job).state["claimed"] == [stranger["id"]]

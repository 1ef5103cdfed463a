"""A plant's values: both reducers and both choosers agree, in every order; old records and their verdicts stay as they were."""

from __future__ import annotations

import asyncio
import json
import random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from records_kit import LEAD, Phone, TinyBundle, reading, start_job

from shaftside import calc
from shaftside.records import Records
from shaftside.records.event import uuid7
from shaftside.records.plant_values import reduce_plant_value, that_hold

LINES = (
    "set_screw_torque.target",
    "set_screw_torque.low",
    "set_screw_torque.key",
    "other_sheet.target",
    "set_screw_torque.gone",
)


def body(**more: Any) -> dict[str, Any]:
    return {
        "line": LINES[0],
        "value": {"typed": "16", "unit": "N.m"},
        "document": "Sheet 12",
        "revision": "C",
        "page": "",
        "where": {},
        "name": "Lena",
    } | more


def random_value(seed: int) -> list[dict[str, Any]]:
    """Events of one value by people who hear of each other now and then, with the server's remarks."""
    rng = random.Random(seed)
    phones = [Phone("lena"), Phone("leo"), Phone("server")]
    record = uuid7()
    for _ in range(rng.randint(1, 14)):
        phone = rng.choice(phones)
        if rng.random() < 0.5:
            phone.kept |= rng.choice(phones).kept
        known = [one["event"]["id"] for one in phone.of(record)] or [uuid7()]
        kind, made = rng.choice(
            [
                ("plant_value_set", body(value={"typed": str(rng.randint(5, 25)), "unit": rng.choice(["N.m", "lbf.ft"])})),
                ("plant_value_set", body(where={"screw": {"word": "M8"}})),
                ("plant_value_set", {"line": LINES[1], "value": {"typed": "9", "unit": "N.m"}, "document": "D", "name": "Leo"}),
                ("plant_value_withdrawn", {"reason": "r"}),
                ("event_refused", {"event": rng.choice(known), "code": "c", "reason": "r"}),
                ("actor_claimed", {"event": rng.choice(known), "actor": "a"}),
                ("claim_answered", {"event": rng.choice(known), "mine": rng.random() < 0.5, "reason": "r"}),
                ("note_added", {"text": "n"}),
                ("of_a_newer_app", {}),
            ]
        )  # fmt: skip
        phone.write(record, kind, made)
    return [one for phone in phones for one in phone.kept.values()]


@settings(max_examples=80, deadline=None)
@given(st.integers(0, 10**6), st.randoms(use_true_random=False))
def test_order_and_repetition_do_not_matter(seed: int, rng: random.Random) -> None:
    kept = random_value(seed)
    whole = reduce_plant_value(kept)
    again = kept + rng.sample(kept, len(kept) // 2)
    rng.shuffle(again)
    assert reduce_plant_value(again) == whole


@pytest.mark.node
@settings(max_examples=120, deadline=None)
@given(st.integers(0, 10**6), st.floats(0.3, 1))
def test_both_languages_agree(node: Any, seed: int, part: float) -> None:
    kept = random_value(seed)
    random.Random(seed).shuffle(kept)
    kept = kept[: max(1, int(len(kept) * part))]
    assert node.ask("plantValue", kept) == reduce_plant_value(kept)


def test_golden() -> None:
    lena = Phone("lena")
    record = uuid7()
    first = lena.write(record, "plant_value_set", body())
    lena.write(record, "plant_value_set", body(value={"typed": "15", "unit": "N.m"}, revision="D"))
    state = reduce_plant_value(lena.of(record))
    assert (state["holds"], state["value"]["typed"], state["revision"]) == (True, "15", "D")
    assert state["set"][0]["event"] == first["id"]
    lena.write(record, "plant_value_withdrawn", {"reason": "replaced"})
    state = reduce_plant_value(lena.of(record))
    assert (state["holds"], state["withdrawn"]["reason"]) == (False, "replaced")
    lena.write(record, "plant_value_set", body())
    assert reduce_plant_value(lena.of(record))["holds"]


def test_two_leads_at_once_and_nothing_holds() -> None:
    """Changed by one and withdrawn or changed by another who did not know: not holding wins."""
    lena, leo = Phone("lena"), Phone("leo")
    record = uuid7()
    lena.write(record, "plant_value_set", body())
    leo.kept |= lena.kept
    lena.write(record, "plant_value_set", body(value={"typed": "15", "unit": "N.m"}))
    for kind, made in (
        ("plant_value_withdrawn", {"reason": "r"}),
        ("plant_value_set", body(value={"typed": "14", "unit": "N.m"})),
    ):
        other = Phone("leo", kept=dict(leo.kept))
        other.write(record, kind, made)
        both = list((lena.kept | other.kept).values())
        state = reduce_plant_value(both)
        assert not state["holds"], kind
        assert bool(state["conflict"]) == (kind == "plant_value_set")


WHERES = [
    {}, {"screw": {"word": "M8"}}, {"screw": {"word": "M10"}}, {"screw": {"word": "M8"}, "sealed": {"yes": True}}, {"sealed": {"yes": False}},
    {"shaft_d": {"typed": "2", "unit": "in"}}, {"shaft_d": {"typed": "50.8", "unit": "mm"}}, {"shaft_d": {"typed": "x", "unit": "mm"}},
]  # fmt: skip


@pytest.mark.node
@settings(max_examples=150, deadline=None)
@given(st.data())
def test_both_choose_the_same(node: Any, bundle: TinyBundle, data: st.DataObject) -> None:
    states = []
    for _ in range(data.draw(st.integers(0, 5))):
        lena = Phone("lena")
        record = uuid7()
        unit = data.draw(st.sampled_from(["N.m", "lbf.ft", "mm", "no_unit"]))
        lena.write(
            record,
            "plant_value_set",
            body(
                line=data.draw(st.sampled_from(LINES)),
                value={"typed": "9", "unit": unit},
                where=data.draw(st.sampled_from(WHERES)),
            ),
        )
        if data.draw(st.booleans()) and data.draw(st.booleans()):
            lena.write(record, "plant_value_withdrawn", {"reason": "r"})
        states.append(reduce_plant_value(lena.of(record)))
    facts = data.draw(
        st.sampled_from(
            [
                {},
                {"screw": {"word": "M8"}},
                {
                    "screw": {"word": "M8"},
                    "sealed": {"yes": True},
                    "shaft_d": {"typed": "50.8", "unit": "mm"},
                },
            ]
        )
    )
    program = bundle.data["calc"]
    used, unclear = that_hold(program, states, "set_screw_torque", facts)
    assert node.ask("thatHold", program, states, "set_screw_torque", facts) == {
        "used": used,
        "unclear": unclear,
    }
    assert not used.keys() & set(unclear)
    assert calc.read_makers(program, "set_screw_torque", used)[1] == []  # what is chosen can be read


def test_the_more_exact_value_wins_and_a_tie_is_used_by_nobody(bundle: TinyBundle) -> None:
    def state(typed: str, where: dict[str, Any]) -> dict[str, Any]:
        lena = Phone("lena")
        lena.write(uuid7(), "plant_value_set", body(value={"typed": typed, "unit": "N.m"}, where=where))
        return reduce_plant_value(list(lena.kept.values()))

    program = bundle.data["calc"]
    wide, narrow, other = state("14", {}), state("15", WHERES[1]), state("16", WHERES[4])
    facts = {"screw": {"word": "M8"}, "sealed": {"yes": False}}
    used, unclear = that_hold(program, [wide, narrow], "set_screw_torque", facts)
    assert (used["target"]["typed"], used["target"]["origin"], unclear) == ("15", "plant", [])
    assert that_hold(program, [wide, narrow], "set_screw_torque", {})[0]["target"]["typed"] == "14"
    assert that_hold(program, [wide, narrow, other], "set_screw_torque", facts) == ({}, ["target"])


def test_a_withdrawn_value_changes_no_old_record(records: Records, bundle: TinyBundle) -> None:
    """The reading carries the value it used; worked out again years later it gives the same, whatever became of the value."""
    full = {
        **bundle.data,
        "facts": [
            {
                "name": "screw",
                "kind": "word",
                "choices": [{"word": "M8", "label": {"en": "M8"}}],
                "label": {"en": "Screw"},
            }
        ],
    }
    made = asyncio.run(records.plant_values.set(LEAD, full, body(value="16 N.m", where={"screw": "M8"})))
    (state,) = records.plant_values.all()
    used, _ = that_hold(bundle.data["calc"], [state], "set_screw_torque", {"screw": {"word": "M8"}})
    phone = Phone()
    job = start_job(phone, bundle)
    taken = reading(bundle, "16")
    values, _ = calc.read_inputs(bundle.data["calc"], "set_screw_torque", taken["entries"])
    makers, _ = calc.read_makers(bundle.data["calc"], "set_screw_torque", used)
    result = json.loads(json.dumps(calc.evaluate(bundle.data["calc"], "set_screw_torque", values, makers)))
    phone.write(job, "reading_taken", {**taken, "maker": used, "result": result})
    phone.sync(records)
    before = records.job(job).state["readings"]
    assert not before["tighten/first"]["all"][0]["differs"]
    asyncio.run(
        records.plant_values.set(LEAD, full, body(value="12 N.m", where={"screw": "M8"}), made["record"])
    )
    asyncio.run(records.plant_values.withdraw(LEAD, made["record"], "wrong sheet"))
    assert records.job(job).state["readings"] == before
    assert (
        records.job(job).state["readings"]["tighten/first"]["all"][0]["body"]["maker"]["target"]["event"]
        == made["id"]
    )
    assert records.verify() == []
    forged = json.loads(json.dumps(used))
    forged["target"]["document"] = "another sheet"
    phone.write(job, "reading_taken", {**taken, "maker": forged, "result": result})
    phone.sync(records)
    assert [one.code for one in records.verify()] == ["plant_value_differs"]
    there = reduce_plant_value(phone.of(made["record"]))  # the phone heard of all of it
    assert (there["holds"], len(there["set"])) == (False, 2)

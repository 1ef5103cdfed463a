"""The history itself, before any server has seen it."""

from __future__ import annotations

import hashlib
from datetime import date
from typing import Any

from demo_data import photos, plant
from demo_data.scenario import Scenario
from demo_plant_case import TODAY

from shaftside.records.canonical import canonical, hash_of

METHODS = {
    "ring_set_screws",
    "set_screw_collar",
    "cam_collar",
    "clamp_collar",
    "adapter_sleeve",
    "pull_off_sleeve",
}


def test_the_same_day_and_handbook_give_the_same_bytes(bundle: Any) -> None:
    first = [canonical(batch) for _, batch in plant.events(TODAY, bundle)]
    second = [canonical(batch) for _, batch in plant.events(TODAY, bundle)]
    assert first == second
    assert first != [canonical(batch) for _, batch in plant.events(date(2026, 11, 23), bundle)]


def test_every_phone_writes_one_unbroken_chain(bundle: Any) -> None:
    last: dict[str, tuple[int, str | None]] = {}
    ids: set[str] = set()
    for device, batch in plant.events(TODAY, bundle):
        assert len(batch) <= 100
        for event in batch:
            seq, previous = last.get(device, (0, None))
            assert (event["seq"], event["previous"]) == (seq + 1, previous)
            assert event["id"] not in ids
            ids.add(event["id"])
            last[device] = (event["seq"], hash_of(event))


def test_all_six_methods_and_both_works_are_there(bundle: Any) -> None:
    started = [
        (one["body"]["method"], one["body"]["work"])
        for _, batch in plant.events(TODAY, bundle)
        for one in batch
        if one["kind"] == "job_started"
    ]
    assert set(started) == {(method, work) for method in METHODS for work in ("mount", "remove")} | {("set_screw_collar", "check")}
    assert 110 <= len(started) <= 160


def test_every_position_has_the_facts_its_procedures_ask_for(bundle: Any) -> None:
    known = {one["name"]: one for one in bundle.data["facts"]}
    for position in Scenario.read(TODAY).positions.values():
        unknown = set(position.facts) - set(known)
        assert not unknown, (position.key, unknown)
        missing = [
            name
            for name, fact in known.items()
            if position.method in (fact.get("asked_for") or METHODS)
            and not fact.get("optional")
            and not fact.get("when")
            and name not in position.facts
        ]
        assert not missing, (position.key, missing)


def test_the_photos_are_drawn_alike_each_time_and_stand_in_the_record(bundle: Any) -> None:
    told = [one["body"] for _, batch in plant.events(TODAY, bundle) for one in batch if one["kind"] == "photo_added"]
    names = set(Scenario.read(TODAY).raw["photos"].values())
    assert {one["sha256"] for one in told} == {hashlib.sha256(photos.picture(name)).hexdigest() for name in names}
    for name in names:
        photos.picture.cache_clear()
        before = photos.picture(name)
        photos.picture.cache_clear()
        assert photos.picture(name) == before
        assert len(before) < 20_000


def test_what_is_invented_says_so_where_people_see_it() -> None:
    scenario = Scenario.read(TODAY)
    assert all("(demo)" in one.name for one in scenario.people.values())
    assert all("(demo)" in one.name for one in scenario.devices.values())
    assert all("(invented)" in one.machine["area"] for one in scenario.positions.values())
    assert all(
        "Invented" in value["document"] for one in scenario.positions.values() for value in one.maker.values()
    )
    assert 38 <= len(scenario.positions) <= 46
    roles = {role for one in scenario.people.values() for role in one.roles}
    assert roles == {"technician", "lead", "planner", "admin"}

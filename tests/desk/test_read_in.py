"""A phone's file read in at the desk: taken as claimed, again without doubling, and a damaged one refused in a sentence."""

from __future__ import annotations

import json
from typing import Any

from shaftside.records.canonical import hash_of
from shaftside.records.event import uuid7, wall_now

from .desk_plant import Desk


def unsent_file(desk: Desk) -> dict[str, Any]:
    """What a phone that never reached the server saves: a job begun and a note."""
    device, job, previous, kept = uuid7(), uuid7(), None, []
    bundle = desk.rooms.handbooks.current
    who = next(one.id for one in desk.rooms.people.people() if "technician" in one.roles)
    started = {
        "position": uuid7(), "machine": {"id": "F9", "name": "Fan 9", "area": ""}, "position_name": "DE",
        "procedure": "ring_set_screws_mount", "method": "ring_set_screws", "work": "mount", "bundle": bundle.hash, "facts": {},
    }  # fmt: skip
    for seq, (kind, body) in enumerate([("job_started", started), ("note_added", {"text": "written on a lost phone"})], 1):
        event = {
            "id": uuid7(), "schema": 1, "record": job, "device": device, "seq": seq, "previous": previous, "parents": [previous] if previous else [],
            "actor": who, "kind": kind, "body": body, "wall": wall_now(), "offset_min": 0, "monotonic_ms": seq,
        }  # fmt: skip
        previous = hash_of(event)
        kept.append({"id": event["id"], "record": job, "hash": previous, "event": event})
    return {"device": device, "written": wall_now(), "events": kept}


def sent(client: Any, content: bytes) -> Any:
    return client.post("/desk/read-in", files={"file": ("unsent.json", content, "application/json")})


def test_the_unsent_of_a_phone_are_read_in_once_and_wait_for_their_person(desk: Desk) -> None:
    lead = desk.as_("maud")
    assert "/desk/read-in" in lead.get("/desk/").text
    assert "File from a phone" in lead.get("/desk/read-in").text
    file = unsent_file(desk)
    said = sent(lead, json.dumps(file).encode())
    assert said.status_code == 200
    assert "2 only claimed" in said.text
    job = file["events"][0]["record"]
    assert f"/desk/jobs/{job}" in said.text
    before = desk.rooms.records.events(job)
    sent(lead, json.dumps(file).encode())
    assert desk.rooms.records.events(job) == before, "read in again, nothing is doubled"
    assert len(desk.rooms.records.job(job).state["claimed"]) == 2
    assert "written on a lost phone" in lead.get(f"/desk/jobs/{job}").text


def test_a_damaged_or_foreign_file_is_refused_whole(desk: Desk) -> None:
    lead = desk.as_("maud")
    file = unsent_file(desk)
    file["events"][1]["event"]["body"]["text"] = "changed on the way"
    for content, says in (
        (json.dumps(file).encode(), "not what its hash says"),
        (b"{", "cannot be read"),
        (b'{"events": [1]}', "no file of a phone"),
        (b"", "cannot be read"),
    ):
        said = sent(lead, content)
        assert said.status_code == 422
        assert "Nothing was taken in." in said.text
        assert says in said.text
    assert desk.rooms.records.events(file["events"][0]["record"]) == []


def test_only_a_lead_or_an_administrator_reads_in(desk: Desk) -> None:
    technician = next(one for one in desk.rooms.people.people() if one.roles == {"technician"})
    assert desk.as_(technician.login).get("/desk/read-in").status_code == 403

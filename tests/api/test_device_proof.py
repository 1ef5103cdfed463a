"""A device's id is in every record; only the secret in its browser makes an exchange its own."""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime
from typing import Any

from api_plant import PASSWORD, Plant, device
from fastapi.testclient import TestClient

COOKIE = "shaftside-device"


def sign_in(client: TestClient, who: str, place: str) -> Any:
    return client.post("/api/sign-in", json={"login": who, "password": PASSWORD, "device_id": place})


def note(place: str, actor: str, number: int) -> dict[str, Any]:
    return {
        "id": f"0192f000-0000-7000-8000-00000000f{number:03d}", "schema": 1,
        "record": "0192f000-0000-7000-8000-00000000feed", "device": place, "seq": 1, "previous": None,
        "parents": [], "actor": actor, "kind": "note_added", "body": {"text": "seen"},
        "wall": "2026-05-04T06:00:00.000Z", "offset_min": 0, "monotonic_ms": 1,
    }  # fmt: skip


def push(client: TestClient, place: str, *events: dict[str, Any]) -> Any:
    return client.post("/api/sync", json={"device": place, "cursor": None, "events": list(events)})


def test_nobody_comes_in_as_another_phone(plant: Plant) -> None:
    place = device(401)
    phone, thief = plant.client(), plant.client()
    assert sign_in(phone, "lead", place).status_code == 200
    said = sign_in(thief, "technician", place)
    assert said.status_code == 409
    assert said.json()["error"]["code"] == "device_unproved"
    assert said.json()["error"]["field"] == "device_id"
    assert thief.get("/api/me").status_code == 401, "no sign-in was opened"
    assert plant.people["technician"] not in plant.rooms.people.known_on(place)
    # nor with a secret of another device
    assert sign_in(thief, "technician", device(402)).status_code == 200
    assert sign_in(thief, "technician", place).status_code == 409
    # the phone itself goes on, with the same person and with another
    assert sign_in(phone, "lead", place).status_code == 200
    assert sign_in(phone, "planner", place).status_code == 200


def test_a_stolen_sign_in_alone_cannot_write(plant: Plant) -> None:
    phone, thief = plant.client(), plant.client()
    assert sign_in(phone, "lead", device(403)).status_code == 200
    thief.cookies.set("shaftside", phone.cookies["shaftside"], domain="127.0.0.1", path="/")
    said = push(thief, device(403), note(device(403), plant.people["lead"], 1))
    assert said.status_code == 401
    assert said.json()["error"]["code"] == "device_unproved"
    assert push(phone, device(403)).status_code == 200


def test_a_lost_secret_is_a_new_device_and_what_was_unsent_is_kept_as_claimed(plant: Plant) -> None:
    phone, tess = plant.client(), plant.people["technician"]
    assert sign_in(phone, "technician", device(404)).status_code == 200
    phone.cookies.clear()
    assert sign_in(phone, "technician", device(404)).status_code == 409
    assert sign_in(phone, "technician", device(405)).status_code == 200
    said = push(phone, device(405), note(device(404), tess, 2), note(device(405), tess, 3))
    assert [ack["outcome"] for ack in said.json()["acks"]] == ["claimed", "kept"]


def test_the_secret_is_kept_as_its_hash_and_out_of_reach_of_scripts(plant: Plant) -> None:
    phone = plant.client()
    said = sign_in(phone, "lead", device(406))
    line = next(one for one in said.headers.get_list("set-cookie") if one.startswith(COOKIE))
    assert "HttpOnly" in line
    assert "SameSite=lax" in line
    secret = phone.cookies[COOKIE]
    assert len(secret) == 43
    assert secret not in said.text
    for part in plant.rooms.settings.data.glob("*.sqlite*"):
        assert secret.encode() not in part.read_bytes()


def test_a_device_from_before_takes_a_secret_from_whoever_was_on_it(plant: Plant) -> None:
    place = device(407)
    known = [plant.people["technician"]]
    at = datetime(2026, 5, 4, tzinfo=UTC)
    asyncio.run(plant.rooms.people.import_device(id=place, name="Old phone", people=known, at=at))
    assert sign_in(plant.client(), "lead", place).status_code == 409, "never on it"
    phone = plant.client()
    assert sign_in(phone, "technician", place).status_code == 200
    assert push(phone, place).status_code == 200
    assert sign_in(plant.client(), "technician", place).status_code == 409, "it has its secret now"


def test_a_cookie_of_any_other_shape_is_not_taken_as_a_secret(plant: Plant) -> None:
    phone = plant.client()
    phone.cookies.set(COOKIE, "guess", domain="127.0.0.1", path="/")
    said = sign_in(phone, "lead", device(408))
    assert said.cookies[COOKIE] != "guess"

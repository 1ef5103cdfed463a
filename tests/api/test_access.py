"""Coming in over HTTP, as a phone and as an administrator do."""

from __future__ import annotations

import asyncio
from pathlib import Path

from api_plant import BASE, PASSWORD, Plant, device
from fastapi.testclient import TestClient

from shaftside.app import Rooms, create_app
from shaftside.settings import Settings


def test_the_cookie_is_out_of_reach_of_scripts_and_other_sites(plant: Plant) -> None:
    said = plant.client().post(
        "/api/sign-in",
        json={"login": "lead", "password": PASSWORD, "device_id": device(77), "device_name": "T"},
    )
    cookie = said.headers["set-cookie"]
    assert cookie.startswith("shaftside=")
    assert {"httponly", "samesite=lax", "path=/"} <= {part.strip().lower() for part in cookie.split(";")}
    assert said.json() == {
        "person": {"id": plant.people["lead"], "name": "Lead", "roles": ["lead"]},
        "device": device(77),
    }
    assert cookie.split("=")[1].split(";")[0] not in said.text


def test_on_https_the_cookie_is_pinned_to_the_host(plant: Plant) -> None:
    client = TestClient(plant.app, base_url="https://plant.local")  # type: ignore[arg-type]
    said = client.post("/api/sign-in", json={"login": "lead", "password": PASSWORD, "device_id": device(78)})
    cookie = said.headers["set-cookie"]
    assert cookie.startswith("__Host-shaftside=")
    assert "; Secure" in cookie
    assert "domain" not in cookie.lower()
    assert client.get("/api/me").status_code == 200


def test_who_one_is_then_signed_out(plant: Plant) -> None:
    client = plant.client("planner")
    assert client.get("/api/me").json()["person"]["name"] == "Planner"
    held = dict(client.cookies)
    assert client.post("/api/sign-out", json={}).status_code == 200
    assert client.get("/api/me").status_code == 401
    client.cookies.update(held)  # the old secret is worth nothing now
    assert client.get("/api/me").status_code == 401


def test_wrong_and_unknown_answer_alike(plant: Plant) -> None:
    answers = [
        plant.client().post(
            "/api/sign-in", json={"login": login, "password": "wrong", "device_id": device(9)}
        )
        for login in ("planner", "no-such-person")
    ]
    told = [{**one.json()["error"], "request": ""} for one in answers]
    assert told[0] == told[1]
    assert [one.status_code for one in answers] == [401, 401]


def test_first_start_setup_then_invitation_then_revoked(tmp_path: Path) -> None:
    rooms = Rooms(Settings(data=tmp_path, database=None))
    try:
        app = create_app(rooms.settings, rooms)
        first, second = TestClient(app, base_url=BASE), TestClient(app, base_url=BASE)
        body = {"code": "WRONG", "name": "Ann Admin", "login": "ann", "password": PASSWORD}
        assert first.post("/api/setup", json=body).status_code == 403
        code = rooms.people.new_setup_code()
        assert first.post("/api/setup", json=body | {"code": code}).status_code == 201
        assert first.post("/api/setup", json=body | {"code": code}).status_code == 409

        def sign_in(client: TestClient, login: str, number: int) -> int:
            return client.post(
                "/api/sign-in", json={"login": login, "password": PASSWORD, "device_id": device(number)}
            ).status_code

        assert sign_in(first, "ann", 1) == 200
        link = first.post("/api/people/invitations", json={"name": "Tom", "roles": ["technician"]}).json()[
            "link"
        ]
        assert second.get(link).status_code == 200
        token = link.rsplit("/", 1)[1]
        choice = {"login": "tom", "password": PASSWORD}
        person = second.post(f"/api/invitations/{token}/accept", json=choice).json()["person"]
        assert second.post(f"/api/invitations/{token}/accept", json=choice).status_code == 404
        assert sign_in(second, "tom", 2) == 200
        held = first.get(f"/api/people/{person}/sign-ins").json()
        assert len(held) == 1
        assert first.delete(f"/api/people/{person}/sign-ins/{held[0]['id']}").status_code == 200
        assert second.get("/api/me").status_code == 401
        # changes of people are events in the log, for phones to know
        kinds = [one["event"]["kind"] for one in rooms.records.events(person)]
        assert kinds[0] == "person_added"
        assert sign_in(second, "tom", 2) == 200
        assert first.put(f"/api/people/{person}/disabled", json={"disabled": True}).status_code == 200
        assert second.get("/api/me").status_code == 401
        assert rooms.records.events(person)[-1]["event"]["kind"] == "person_disabled"
    finally:
        rooms.close()


def test_sync_is_for_the_device_of_the_sign_in(plant: Plant) -> None:
    client = plant.client("technician")
    mine = client.post("/api/sync", json={"device": device(0), "cursor": None, "events": []})
    assert mine.status_code == 200
    assert set(mine.json()) == {"acks", "events", "cursor", "more", "server_time"}
    other = client.post("/api/sync", json={"device": device(1), "cursor": None, "events": []})
    assert other.status_code == 409
    assert other.json()["error"]["code"] == "other_device"


def test_odd_events_are_answered_one_by_one_and_never_break_the_exchange(plant: Plant) -> None:
    client = plant.client("technician")
    odd = [None, 1, "x", [], {}, {"id": "x"}, {"id": device(5), "schema": "1"}, {"a": {"b": [[[[1.5]]]]}}]
    said = client.post("/api/sync", json={"device": device(0), "cursor": None, "events": odd})
    assert said.status_code == 200, said.text
    assert len(said.json()["acks"]) == len(odd)
    assert {one["outcome"] for one in said.json()["acks"]} <= {"refused", "conflict"}
    assert all(one["reason"] for one in said.json()["acks"])


def test_a_cursor_that_is_not_ours_is_refused_not_a_fault(plant: Plant) -> None:
    said = plant.client("technician").post(
        "/api/sync", json={"device": device(0), "cursor": "🙂", "events": []}
    )
    assert said.status_code in (200, 400, 422), said.text


def test_the_start_and_a_sign_in_reach_nothing_outside(tmp_path: Path, monkeypatch: object) -> None:
    """With every connection but loopback's refused, the server starts and answers."""
    import socket

    real = socket.socket.connect

    def guarded(self: socket.socket, address: object) -> None:
        if self.family in (socket.AF_INET, socket.AF_INET6) and not str(address[0]).startswith(
            ("127.", "::1")
        ):  # type: ignore[index]
            raise AssertionError(f"tried to reach {address}")
        real(self, address)  # type: ignore[arg-type]

    socket.socket.connect = guarded  # type: ignore[method-assign,assignment]
    try:
        rooms = Rooms(Settings(data=tmp_path, database=None))
        try:
            asyncio.run(rooms.people.add("A", ["admin"], login="ann", password=PASSWORD))
            client = TestClient(create_app(rooms.settings, rooms), base_url=BASE)
            body = {"login": "ann", "password": PASSWORD, "device_id": device(1)}
            assert client.post("/api/sign-in", json=body).status_code == 200
            assert client.get("/phone/").status_code == 200
        finally:
            rooms.close()
    finally:
        socket.socket.connect = real  # type: ignore[method-assign]

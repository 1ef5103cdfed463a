"""The real application over a database of the test's own, and a person of every role."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from shaftside.app import Rooms, create_app
from shaftside.people import ROLES
from shaftside.settings import Settings

PASSWORD = "four plain words here"
BASE = "http://127.0.0.1:8420"


def device(number: int) -> str:
    """A device id."""
    return f"0192f000-0000-7000-8000-{number:012d}"


@dataclass
class Plant:
    """The rooms and the app; `client(role)` is a browser of its own, signed in."""

    rooms: Rooms
    app: object
    people: dict[str, str]

    def client(self, role: str | None = None) -> TestClient:
        client = TestClient(self.app, base_url=BASE, raise_server_exceptions=False, follow_redirects=False)  # type: ignore[arg-type]
        if role:
            said = client.post(
                "/api/sign-in",
                json={
                    "login": role,
                    "password": PASSWORD,
                    "device_id": device(ROLES.index(role)),
                    "device_name": "Test",
                },
            )
            assert said.status_code == 200, said.text
        return client


@pytest.fixture(scope="module")
def plant(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Plant]:
    folder: Path = tmp_path_factory.mktemp("plant")
    rooms = Rooms(Settings(data=folder, database=None, docs=True))
    people = {
        role: asyncio.run(rooms.people.add(role.title(), [role], login=role, password=PASSWORD))
        for role in ROLES
    }
    yield Plant(rooms, create_app(rooms.settings, rooms), people)
    rooms.close()


@pytest.fixture
def nobody(plant: Plant) -> TestClient:
    return plant.client()


@pytest.fixture
def technician(plant: Plant) -> TestClient:
    return plant.client("technician")


@pytest.fixture
def lead(plant: Plant) -> TestClient:
    return plant.client("lead")


@pytest.fixture
def admin(plant: Plant) -> TestClient:
    return plant.client("admin")

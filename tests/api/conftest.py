"""The real application over a database of the test's own, and a person of every role."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from pathlib import Path

import pytest
from api_plant import PASSWORD, Plant
from fastapi.testclient import TestClient

from shaftside.app import Rooms, create_app
from shaftside.people import ROLES
from shaftside.settings import Settings


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

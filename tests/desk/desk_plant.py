"""The real application over the loaded demo plant, and forms as a browser sends them."""

from __future__ import annotations

import asyncio
import re
import sys
from dataclasses import dataclass
from datetime import date
from html import unescape
from pathlib import Path
from typing import Any

from fastapi.testclient import TestClient

from shaftside.app import Rooms, create_app
from shaftside.settings import Settings

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from demo_data import plant as demo_plant  # noqa: E402

PASSWORD = "four plain words here"
TODAY = date(2026, 11, 24)


@dataclass
class Desk:
    """The rooms, the app, and the record id of each story of the demo plant."""

    rooms: Rooms
    app: Any
    examples: dict[str, str]

    def browser(self) -> TestClient:
        """A browser that nobody signed in with."""
        return TestClient(self.app, base_url="http://127.0.0.1:8420", raise_server_exceptions=False)

    def as_(self, login: str) -> TestClient:
        """A browser in which this person came in through the sign-in page."""
        client = self.browser()
        said = client.post("/desk/sign-in", data={"login": login, "password": PASSWORD, "next": "/desk/"})
        assert said.status_code == 200, said.text
        assert said.url.path == "/desk/", said.text
        return client


def empty(folder: Path) -> Desk:
    """A server that nobody has set up."""
    rooms = Rooms(Settings(data=folder, database=None))
    return Desk(rooms, create_app(rooms.settings, rooms), {})


def loaded(folder: Path) -> Desk:
    """A server with the demo plant's two years, whose people all have one password."""
    desk = empty(folder)

    async def fill() -> dict[str, Any]:
        rooms = desk.rooms
        told = await demo_plant.load(rooms.records, rooms.people, rooms.handbooks.current, TODAY)
        for person in rooms.people.people():
            await rooms.people.set_password(person.id, PASSWORD)
        return told

    desk.examples = asyncio.run(fill())["examples"]
    return desk


def heads(page: str) -> list[str]:
    """The heads that a sign-off page would sign."""
    return re.findall(r'name="head" value="([0-9a-f]{64})"', page)


def words(page: str) -> str:
    """What stands on a page, without its tags."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())

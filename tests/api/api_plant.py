"""The real application over a database of the test's own, and a person of every role."""

from __future__ import annotations

from dataclasses import dataclass, field

from fastapi.testclient import TestClient

from shaftside.app import Rooms
from shaftside.people import ROLES

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
    proofs: dict[str, str] = field(default_factory=dict)  # what proves each role's device

    def client(self, role: str | None = None) -> TestClient:
        client = TestClient(self.app, base_url=BASE, raise_server_exceptions=False, follow_redirects=False)  # type: ignore[arg-type]
        if role:
            if role in self.proofs:
                client.cookies.set("shaftside-device", self.proofs[role], domain="127.0.0.1", path="/")
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
            self.proofs[role] = said.cookies["shaftside-device"]
        return client

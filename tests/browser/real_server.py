"""The real server in a process of its own, with three people, for browser tests to talk to, stop and start again."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time
import uuid
from pathlib import Path
from typing import Any

import httpx

PASSWORD = "a bearing on a shaft 42"


class RealServer:
    """`shaftside serve` on loopback with its data in `folder`. `stop()` is SIGKILL: the network is gone, nothing is tidied."""

    def __init__(self, folder: Path, bare: bool = False) -> None:
        """bare: nobody has set it up yet; `people()` does."""
        self.folder = folder
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = int(free.getsockname()[1])
        self.log = folder / "server.log"
        self.process: subprocess.Popen[bytes] | None = None
        self.start()
        if not bare:
            self.people()

    @property
    def address(self) -> str:
        """Where the phone reaches it."""
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        """Start, and wait until it answers."""
        with self.log.open("ab") as out:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "shaftside", "serve", "--data", str(self.folder / "data"), "--port", str(self.port)],
                stdout=out, stderr=out, env=os.environ | {"PYTHONUNBUFFERED": "1"},
            )  # fmt: skip
        until = time.monotonic() + 90
        while time.monotonic() < until:
            try:
                if httpx.get(f"{self.address}/api/health", timeout=20).is_success:
                    return
            except httpx.TransportError:
                time.sleep(0.1)
            assert self.process.poll() is None, self.log.read_text(encoding="utf-8")
        self.stop()
        raise AssertionError("the server did not answer within 90 s:\n" + self.log.read_text(encoding="utf-8"))

    def stop(self) -> None:
        """End it without warning."""
        if self.process is not None:
            self.process.send_signal(signal.SIGKILL)
            self.process.wait()
            self.process = None

    def up(self) -> None:
        """Start it again, if a test left it stopped."""
        if self.process is None:
            self.start()

    def verify(self) -> None:
        """`shaftside verify` finds nothing. Only when it is stopped: one process writes an SQLite file."""
        verified = subprocess.run(
            [sys.executable, "-m", "shaftside", "verify", "--data", str(self.folder / "data")],
            capture_output=True, text=True, check=False, env=os.environ,
        )  # fmt: skip
        assert verified.returncode == 0, verified.stdout + verified.stderr

    def code(self) -> str:
        """The one-time code that it printed at its first start."""
        found = re.search(r"one-time code.*?: (\S+)", self.log.read_text(encoding="utf-8"))
        assert found, self.log.read_text(encoding="utf-8")
        return found[1]

    def people(self, administrator: bool = True) -> None:
        """An administrator by the one-time code, unless Ada is in already; a technician, a second one and a lead by invitation."""
        admin = httpx.Client(base_url=self.address, timeout=60)
        if administrator:
            made = admin.post("/api/setup", json={"code": self.code(), "name": "Ada Admin", "login": "ada", "password": PASSWORD})
            assert made.status_code == 201, made.text
        self.sign_in(admin, "ada")
        for login, name, roles in (
            ("mika", "Mika Aalto", ["technician"]),
            ("noor", "Noor Haddad", ["technician"]),
            ("lena", "Lena Brandt", ["lead"]),
        ):
            link = admin.post("/api/people/invitations", json={"name": name, "roles": roles}).json()["link"]
            token = link.rsplit("/", 1)[-1]
            done = httpx.post(f"{self.address}/api/invitations/{token}/accept", json={"login": login, "password": PASSWORD}, timeout=60)
            assert done.status_code == 201, done.text
        self.lead = httpx.Client(base_url=self.address, timeout=60)
        self.sign_in(self.lead, "lena")

    @staticmethod
    def sign_in(client: httpx.Client, login: str) -> None:
        """Sign a person in on a device of the client's own."""
        answer = client.post("/api/sign-in", json={"login": login, "password": PASSWORD, "device_id": str(uuid.uuid4()), "device_name": "Test"})
        assert answer.is_success, answer.text

    def job(self, job: str) -> dict[str, Any]:
        """A job as the server tells it to the lead."""
        answer = self.lead.get(f"/api/jobs/{job}")
        assert answer.is_success, answer.text
        found: dict[str, Any] = answer.json()
        return found

    def __enter__(self) -> RealServer:
        return self

    def __exit__(self, *_: object) -> None:
        self.stop()

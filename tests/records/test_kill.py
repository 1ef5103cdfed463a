"""The real server is killed while three phones write to it; what it acknowledged is there when it starts again."""

from __future__ import annotations

import os
import random
import re
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from records_kit import Phone

from shaftside.records.canonical import hash_of
from shaftside.records.event import uuid7

PASSWORD = "a bearing on a shaft 42"
PHONES, KILLS = 3, 4


class Server:
    """`shaftside serve` on one data folder; kill() is SIGKILL."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.log = folder, folder / "server.log"
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = int(free.getsockname()[1])
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        with self.log.open("ab") as out:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "shaftside", "serve", "--data", str(self.folder), "--port", str(self.port)],
                stdout=out, stderr=out, env=os.environ | {"PYTHONUNBUFFERED": "1"},
            )  # fmt: skip
        until = time.monotonic() + 30
        while time.monotonic() < until:
            try:
                if httpx.get(f"{self.address}/api/health", timeout=1).is_success:
                    return
            except httpx.TransportError:
                time.sleep(0.05)
            assert self.process.poll() is None, self.log.read_text(encoding="utf-8")
        raise AssertionError(self.log.read_text(encoding="utf-8"))

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def kill(self) -> None:
        assert self.process is not None
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    server = Server(tmp_path)
    server.start()
    yield server
    if server.process is not None and server.process.poll() is None:
        server.kill()


class Writer(threading.Thread):
    """One phone that writes notes and sends them, over and over; keeps what it wrote and what was acknowledged."""

    def __init__(self, server: Server, client: httpx.Client, phone: Phone) -> None:
        super().__init__(daemon=True)
        self.server, self.client, self.phone = server, client, phone
        self.record = uuid7()
        self.acknowledged: dict[str, str] = {}
        self.cut = 0
        self.done = threading.Event()

    def run(self) -> None:
        n = 0
        while not self.done.is_set():
            for _ in range(3):
                n += 1
                self.phone.write(self.record, "note_added", {"text": f"note {n}"})
            self.send()

    def send(self) -> None:
        body = {"device": self.phone.device, "cursor": None, "events": self.phone.outbox[:100], "limit": 0}
        try:
            answer = self.client.post("/api/sync", json=body, timeout=10)
        except httpx.TransportError:
            self.cut += 1
            time.sleep(0.02)
            return
        assert answer.status_code == 200, answer.text
        acks = {ack["id"]: ack for ack in answer.json()["acks"]}
        for event in body["events"]:
            ack = acks[event["id"]]
            assert ack["outcome"] == "kept", ack
            assert ack["hash"] == hash_of(event)
            self.acknowledged[event["id"]] = ack["hash"]
        self.phone.outbox = [one for one in self.phone.outbox if one["id"] not in acks]


def signed_in(server: Server) -> list[tuple[httpx.Client, Phone]]:
    found = re.search(r"one-time code.*?: (\S+)", server.log.read_text(encoding="utf-8"))
    assert found
    out = []
    for number in range(PHONES):
        client = httpx.Client(base_url=server.address)
        if number == 0:
            given: dict[str, Any] = {
                "code": found[1],
                "name": "Ada Admin",
                "login": "ada",
                "password": PASSWORD,
            }
            made = client.post("/api/setup", json=given)
            assert made.status_code == 201, made.text
        device = uuid7()
        answer = client.post(
            "/api/sign-in",
            json={
                "login": "ada",
                "password": PASSWORD,
                "device_id": device,
                "device_name": f"Phone {number}",
            },
        )
        assert answer.is_success, answer.text
        out.append((client, Phone(answer.json()["person"]["id"], device=device)))
    return out


def test_what_was_acknowledged_outlives_a_kill(server: Server) -> None:
    rng = random.Random(20261125)
    writers = [Writer(server, client, phone) for client, phone in signed_in(server)]
    for writer in writers:
        writer.start()
    for _ in range(KILLS):
        time.sleep(rng.uniform(0.15, 0.6))
        server.kill()
        server.start()
    time.sleep(0.3)
    for writer in writers:
        writer.done.set()
        writer.join(20)
        assert not writer.is_alive()
    assert sum(writer.cut for writer in writers) > 0, "no request met a dead server: the test tried nothing"
    for writer in writers:
        while writer.phone.outbox:
            writer.send()  # the same events again: those the server had but could not acknowledge change nothing
        assert len(writer.acknowledged) == writer.phone.seq
        answer = writer.client.get(f"/api/records/{writer.record}/events").json()["events"]
        assert {one["event"]["id"]: one["hash"] for one in answer} == writer.acknowledged
        assert all(hash_of(one["event"]) == one["hash"] for one in answer)
        assert sorted(one["event"]["seq"] for one in answer) == list(range(1, writer.phone.seq + 1))
    server.kill()
    told = subprocess.run(
        [sys.executable, "-m", "shaftside", "verify", "--data", str(server.folder)],
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert told.returncode == 0, told.stdout + told.stderr
    assert "Everything recomputes" in told.stdout

"""Durable appends beside SQLite's own rate, in the same run and on the same disk. Run: python tests/benchmarks/bench_records.py

Raw: one row of the same size a commit, WAL, synchronous=FULL, one after another.
API: a real `shaftside serve` and four phones at once that send as the app does, in lists; each list is waited for.
Printed beside it: one event a request, where the cost is the request (sign-in, headers, JSON), not the log.
"""

from __future__ import annotations

import asyncio
import json
import os
import re
import signal
import socket
import sqlite3
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import httpx

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "records"))
from records_kit import Phone

from shaftside.records.event import uuid7

LEAST = 0.40
PASSWORD = "a bearing on a shaft 42"
AT_ONCE = 24
SECONDS = 4.0


def raw(folder: Path, size: int) -> float:
    """Durable single-row commits a second."""
    connection = sqlite3.connect(folder / "raw.sqlite", isolation_level=None)
    connection.execute("pragma journal_mode=wal")
    connection.execute("pragma synchronous=full")
    connection.execute("create table event (position integer primary key, id text unique, raw blob)")
    blob, n, start = b"x" * size, 0, time.perf_counter()
    while time.perf_counter() - start < SECONDS:
        connection.execute("begin immediate")
        connection.execute("insert into event (id, raw) values (?, ?)", (uuid7(), blob))
        connection.execute("commit")
        n += 1
    return n / (time.perf_counter() - start)


def serve(folder: Path) -> tuple[subprocess.Popen[bytes], str, str]:
    """The real server: process, address, one-time code."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    log = folder / "log"
    with log.open("wb") as out:
        process = subprocess.Popen(
            [sys.executable, "-m", "shaftside", "serve", "--data", str(folder / "data"), "--port", str(port)],
            stdout=out, stderr=out, env=os.environ | {"PYTHONUNBUFFERED": "1"},
        )  # fmt: skip
    address = f"http://127.0.0.1:{port}"
    for _ in range(300):
        try:
            if httpx.get(f"{address}/api/health").is_success:
                break
        except httpx.TransportError:
            time.sleep(0.1)
    found = re.search(r"one-time code.*?: (\S+)", log.read_text(encoding="utf-8"))
    assert found, log.read_text(encoding="utf-8")
    return process, address, found[1]


async def append(address: str, code: str, at_once: int, events: int) -> float:
    """Events a second that were acknowledged, by `at_once` phones with `events` a request."""
    async with httpx.AsyncClient(base_url=address) as first:
        made = await first.post(
            "/api/setup", json={"code": code, "name": "Ada", "login": "ada", "password": PASSWORD}
        )
        assert made.status_code in (201, 409), made.text
    phones: list[tuple[httpx.AsyncClient, Phone]] = []
    for number in range(at_once):
        client = httpx.AsyncClient(base_url=address, timeout=30)
        device = uuid7()
        signed = await client.post(
            "/api/sign-in",
            json={"login": "ada", "password": PASSWORD, "device_id": device, "device_name": f"P{number}"},
        )
        assert signed.is_success, signed.text
        phones.append((client, Phone(signed.json()["person"]["id"], device=device)))
    until = time.perf_counter() + SECONDS

    async def one(client: httpx.AsyncClient, phone: Phone) -> int:
        n = 0
        while time.perf_counter() < until:
            record = uuid7()
            phone.kept.clear()
            sent = [phone.write(record, "note_added", {"text": "x" * 40}) for _ in range(events)]
            phone.outbox.clear()
            answer = await client.post(
                "/api/sync", json={"device": phone.device, "cursor": None, "events": sent, "limit": 0}
            )
            acks: list[Any] = answer.json()["acks"]
            assert all(ack["outcome"] == "kept" for ack in acks), acks
            n += len(acks)
        return n

    start = time.perf_counter()
    done = await asyncio.gather(*(one(client, phone) for client, phone in phones))
    rate = sum(done) / (time.perf_counter() - start)
    for client, _ in phones:
        await client.aclose()
    return rate


def main() -> int:
    """Print rates and ratios; 1 if appends in lists stay under the wanted share."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        phone = Phone()
        size = len(json.dumps(phone.write(uuid7(), "note_added", {"text": "x" * 40})))
        plain = raw(folder, size)
        process, address, code = serve(folder)
        try:
            single = asyncio.run(append(address, code, AT_ONCE, 1))
            listed = asyncio.run(append(address, code, 4, 50))
        finally:
            process.send_signal(signal.SIGTERM)
            process.wait()
        again = raw(Path(tempfile.mkdtemp(dir=place)), size)
    plain = (plain + again) / 2
    print(f"raw SQLite, durable                     {plain:8.0f} commits/s")
    print(
        f"API, {AT_ONCE} phones, 1 event a request      {single:8.0f} events/s   {single / plain:6.2f} of raw"
    )
    print(
        f"API, 4 phones, 50 events a request      {listed:8.0f} events/s   {listed / plain:6.2f} of raw (wanted {LEAST:.2f})"
    )
    return 0 if listed >= LEAST * plain else 1


if __name__ == "__main__":
    raise SystemExit(main())

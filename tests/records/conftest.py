"""A tiny handbook over the real sheets, and a database of each sort."""

from __future__ import annotations

import json
import os
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from records_kit import TinyBundle, TinyBundles

from shaftside import calc
from shaftside.database import Database
from shaftside.records import Records
from shaftside.records.canonical import hash_of
from shaftside.records.event import uuid7

ROOT = Path(__file__).resolve().parents[2]
PG_BIN = Path("/usr/lib/postgresql/15/bin")


@pytest.fixture(scope="session")
def bundle() -> TinyBundle:
    program = calc.load(ROOT / "procedures").program
    steps: list[dict[str, Any]] = [
        {"step": "lock", "needs": [], "not_applicable": "lead"},
        {"step": "prove", "needs": ["lock"], "proves_zero_energy": True, "not_applicable": "never"},
        {
            "step": "tighten",
            "needs": ["prove"],
            "readings": [
                {
                    "reading": "first",
                    "sheet": "set_screw_torque",
                    "ask": ["set_to"],
                    "take": {"screw": {"fact": "screw"}, "place": {"word": "ring"}},
                }
            ],
        },
        {"step": "check", "needs": ["tighten"], "hold": "second_person", "not_applicable": "reason"},
        {"step": "free_end", "needs": ["prove"], "when": ["eq", ["get", "end"], ["word", "free"]]},
        {"step": "unlock", "needs": ["check"], "undoes_zero_energy": True},
    ]
    data = {
        "format": 1,
        "calc": program,
        "facts": [{"name": "screw", "kind": "word"}, {"name": "end", "kind": "word"}],
        "procedures": {"tiny_mount": {"procedure": "tiny_mount", "steps": steps}},
    }
    return TinyBundle(hash_of(data), data)


@pytest.fixture
def sqlite_url(tmp_path: Path) -> str:
    return f"sqlite:///{tmp_path / 'records.db'}"


@pytest.fixture(scope="session")
def pg_server() -> Iterator[str]:
    """A throw-away PostgreSQL on a Unix socket, run as the user postgres when we are root."""
    if not (PG_BIN / "initdb").exists():
        pytest.skip(f"no PostgreSQL server programs in {PG_BIN}")
    folder = Path(tempfile.mkdtemp(prefix="shaftside-pg-"))
    as_user: list[str] = []
    if os.geteuid() == 0:
        if (
            shutil.which("runuser") is None
            or subprocess.run(["id", "postgres"], capture_output=True).returncode
        ):
            pytest.skip("running as root, and there is no user postgres to run PostgreSQL as")
        shutil.chown(folder, "postgres", "postgres")
        as_user = ["runuser", "-u", "postgres", "--"]

    def run(*words: str) -> None:
        subprocess.run([*as_user, *words], check=True, capture_output=True, cwd="/", timeout=120)

    data = folder / "data"
    run(str(PG_BIN / "initdb"), "-D", str(data), "-U", "postgres", "-A", "trust", "--no-sync")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    options = f"-c listen_addresses= -k {folder} -p {port}"
    run(str(PG_BIN / "pg_ctl"), "-D", str(data), "-w", "-l", str(folder / "log"), "-o", options, "start")
    try:
        yield f"host={folder}&port={port}"
    finally:
        run(str(PG_BIN / "pg_ctl"), "-D", str(data), "-m", "immediate", "stop")
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture
def pg_url(pg_server: str) -> str:
    import psycopg

    name = f"t_{uuid7().replace('-', '')}"
    where = dict(part.split("=", 1) for part in pg_server.split("&"))
    with psycopg.connect(user="postgres", dbname="postgres", autocommit=True, **where) as connection:
        connection.execute(f'create database "{name}"')
    return f"postgresql+psycopg://postgres@/{name}?{pg_server}"


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def database(request: pytest.FixtureRequest) -> Iterator[Database]:
    url = request.getfixturevalue("sqlite_url" if request.param == "sqlite" else "pg_url")
    database = Database.open(url)
    database.migrate()
    yield database
    database.close()


@pytest.fixture
def records(database: Database, bundle: TinyBundle) -> Records:
    return Records(database, TinyBundles(bundle))


class Node:
    """A node process that answers one JSON line for each JSON line."""

    def __init__(self) -> None:
        script = Path(__file__).parent / "twin.mjs"
        self.process = subprocess.Popen(
            ["node", str(script)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, encoding="utf-8"
        )

    def ask(self, what: str, *given: Any) -> Any:
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.write(json.dumps([what, *given]) + "\n")
        self.process.stdin.flush()
        answer = json.loads(self.process.stdout.readline())
        if "error" in answer:
            raise ValueError(answer["error"])
        return answer["out"]


@pytest.fixture(scope="session")
def node() -> Iterator[Node]:
    if shutil.which("node") is None:
        pytest.skip("no node: the phone's JavaScript cannot be compared here")
    node = Node()
    yield node
    node.process.kill()
    node.process.wait()

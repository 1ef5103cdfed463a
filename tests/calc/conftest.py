"""The real program, and one Node process for the whole run."""

from __future__ import annotations

import json
import shutil
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from shaftside import calc

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="session")
def program() -> dict[str, Any]:
    return calc.load(ROOT / "procedures").program


@pytest.fixture(scope="session")
def phone(program: dict[str, Any]) -> Iterator[Callable[..., Any]]:
    with phone_of(program) as ask:
        yield ask


@contextmanager
def phone_of(program: dict[str, Any]) -> Iterator[Callable[..., Any]]:
    """The phone's side as a process that holds a program: `ask("evaluate", sheet=..., values=...)`."""
    if shutil.which("node") is None:
        pytest.skip("needs node")
    node = subprocess.Popen(
        ["node", str(Path(__file__).with_name("phone.mjs"))], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, encoding="utf-8"
    )
    assert node.stdin is not None
    assert node.stdout is not None
    stdin, stdout = node.stdin, node.stdout

    def ask(do: str, **parts: Any) -> Any:
        stdin.write(json.dumps({"do": do, **parts}) + "\n")
        stdin.flush()
        return json.loads(stdout.readline())

    ask("program", program=program)
    yield ask
    stdin.close()
    node.wait(timeout=10)

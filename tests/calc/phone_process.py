"""The phone's side of the calculation in a Node process, for as many questions as a test has."""

from __future__ import annotations

import json
import shutil
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest


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

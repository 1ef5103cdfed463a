"""The real program, and one Node process for the whole run."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from phone_process import phone_of

from shaftside import calc

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="session")
def program() -> dict[str, Any]:
    return calc.load(ROOT / "procedures").program


@pytest.fixture(scope="session")
def phone(program: dict[str, Any]) -> Iterator[Callable[..., Any]]:
    with phone_of(program) as ask:
        yield ask

"""The demo plant behind the real application, loaded once for the tests that only read, anew for those that write."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from .desk_plant import Desk, empty, loaded


@pytest.fixture(scope="package")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The loaded plant; each test that writes keeps to a job or a position of its own."""
    made = loaded(tmp_path_factory.mktemp("desk"))
    yield made
    made.rooms.close()


@pytest.fixture
def fresh(tmp_path: Path) -> Iterator[Desk]:
    """A server at its first start."""
    made = empty(tmp_path / "fresh")
    yield made
    made.rooms.close()

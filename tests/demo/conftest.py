"""The demo plant, built once and loaded once for all tests of this folder."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from demo_plant_case import ROOT, Plant, make

from shaftside import handbook


@pytest.fixture(scope="session")
def bundle() -> Any:
    return handbook.build(ROOT / "procedures")


@pytest.fixture(scope="session")
def loaded(bundle: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Plant]:
    made = make(tmp_path_factory.mktemp("demo"), bundle)
    yield made
    made.database.close()

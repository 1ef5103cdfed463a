"""What every browser test needs, or the reason why it is skipped."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from phone_kit import CHROMIUM
from playwright.sync_api import Playwright, sync_playwright

ROOT = Path(__file__).resolve().parents[2]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark everything here, and skip it where there is no chromium."""
    for item in items:
        if Path(str(item.fspath)).parent == Path(__file__).parent:
            item.add_marker(pytest.mark.browser)
            if not Path(CHROMIUM).exists():
                item.add_marker(pytest.mark.skip(reason=f"needs Debian's chromium at {CHROMIUM}"))


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    """One driver for all browser tests."""
    with sync_playwright() as started:
        yield started


@pytest.fixture
def web_copy(tmp_path: Path) -> Path:
    """The app's files in a folder of the test's own, to be changed at will."""
    return Path(shutil.copytree(ROOT / "web", tmp_path / "web"))

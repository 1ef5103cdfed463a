"""What every browser test needs, or the reason why it is skipped."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
import screens
from phone_kit import CHROMIUM
from playwright.sync_api import Playwright, sync_playwright
from real_server import RealServer

ROOT = Path(__file__).resolve().parents[2]


def pytest_configure(config: pytest.Config) -> None:
    """The run begins; the workers of xdist inherit when."""
    screens.begin()


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    """One page with every screen there is, its count, and which promised ones were not taken."""
    count, index = screens.contact_sheet()
    if count:
        terminalreporter.write_line(f"{count} screens: {index}")
    for one in screens.missing(_passed(terminalreporter, config)):
        terminalreporter.write_line(f"MISSING SCREEN: {one}", red=True)


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session) -> None:
    """A promised screen that was not taken fails the run."""
    told = session.config.pluginmanager.get_plugin("terminalreporter")
    if told and not hasattr(session.config, "workerinput") and screens.missing(_passed(told, session.config)):
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def _passed(told: pytest.TerminalReporter, config: pytest.Config) -> set[str]:
    """The browser test files of which every test ran and passed; none where only some were asked for."""
    if config.option.keyword or config.option.markexpr or config.option.lf or any("::" in one for one in config.args):
        return set()
    ran, other = ({Path(one.nodeid.split("::")[0]).name for kind in kinds for one in told.stats.get(kind, [])} for kinds in (("passed",), ("failed", "error", "skipped")))
    return ran - other


@pytest.hookimpl(tryfirst=True)  # before xdist looks at the groups
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark everything here, a file to a worker unless its tests say otherwise, and skip it where there is no chromium."""
    for item in items:
        if item.path.parent == Path(__file__).parent:
            item.add_marker(pytest.mark.browser)
            if item.get_closest_marker("xdist_group") is None:
                item.add_marker(pytest.mark.xdist_group(item.path.name))
            if not Path(CHROMIUM).exists():
                item.add_marker(pytest.mark.skip(reason=f"needs Debian's chromium at {CHROMIUM}"))


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    """One driver for all browser tests."""
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="session")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RealServer]:
    """One real server a worker, for the tests that keep to jobs of their own. A file that changes the plant has its own.

    Who stops it starts it again (`up`). When it has ended, every record of every test is worked out again."""
    with RealServer(tmp_path_factory.mktemp("server")) as started:
        yield started
        started.stop()
        started.verify()


@pytest.fixture
def web_copy(tmp_path: Path) -> Path:
    """The app's files in a folder of the test's own, to be changed at will."""
    return Path(shutil.copytree(ROOT / "web", tmp_path / "web"))

"""The check after a run on a phone, against the real server: started from the position and from later work, walked, sent."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from phone_kit import PhoneApp
from playwright.sync_api import Playwright, expect
from real_server import PASSWORD, RealServer
from story_kit import make_position, walk

pytestmark = pytest.mark.slow


@pytest.fixture
def server(tmp_path: Path) -> Iterator[RealServer]:
    folder = tmp_path / "server"
    folder.mkdir()
    with RealServer(folder) as started:
        yield started


@pytest.fixture
def phone(playwright: Playwright, tmp_path: Path, server: RealServer) -> Iterator[PhoneApp]:
    with PhoneApp(playwright, tmp_path / "phone", server.address) as opened:
        opened.wait_ready()
        opened.sign_in("mika", PASSWORD)
        yield opened
        assert opened.trouble == []


def test_a_check_is_a_job_of_its_own_with_locks_the_screws_and_the_angle_they_moved(
    phone: PhoneApp, server: RealServer
) -> None:
    make_position(phone)
    phone.page.click("text=Start a check after a run")
    expect(phone.page.locator(".signal.DANGER").first).to_be_visible()
    phone.tap("text=I have read this")
    phone.page.wait_for_selector("#step-title")
    job = phone.page.url.split("/job/")[1].split("/")[0]
    phone.go(f"job/{job}/step/retorque_a")
    expect(phone.page.locator("text=Closed for now")).to_be_visible()  # no screw is touched before zero energy is proved
    phone.go(f"job/{job}/step/read_procedure")
    walk(phone)
    expect(phone.page.locator("text=Completed, waiting for sign-off")).to_be_visible()
    phone.go("sending")
    phone.page.click("text=Send now")
    expect(phone.page.locator(".unsent")).to_have_text("all sent", timeout=30_000)
    state = server.job(job)["state"]
    assert (state["work"], state["procedure"]) == ("check", "ring_set_screws_check")
    assert state["readings"]["retorque_a/settled_a"]["all"][0]["body"]["entries"]["turned"]["typed"] == "1"

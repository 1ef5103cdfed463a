"""The whole story on a phone-sized screen, against the real server: sign in, ready offline, network cut, a whole mounting,
killed in the middle, completed, network back, sent; then phone and server hold the same events and the same state."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from phone_kit import PhoneApp
from playwright.sync_api import Playwright, expect
from real_server import PASSWORD, RealServer
from story_kit import make_position, walk

pytestmark = pytest.mark.slow


@pytest.fixture
def server(server: RealServer) -> Iterator[RealServer]:
    """The shared one, which this test stops: that is its network."""
    yield server
    server.up()


@pytest.fixture
def phone(playwright: Playwright, tmp_path: Path, server: RealServer) -> Iterator[PhoneApp]:
    with PhoneApp(playwright, tmp_path / "phone", server.address) as opened:
        opened.wait_ready()
        opened.sign_in("mika", PASSWORD)
        yield opened
        assert opened.trouble == []


def test_the_whole_story(phone: PhoneApp, server: RealServer) -> None:
    expect(phone.page.locator("#ready")).to_be_visible()
    make_position(phone)
    phone.page.click("text=Start mounting")
    expect(phone.page.locator(".signal.DANGER").first).to_be_visible()
    phone.tap("text=I have read this")
    phone.page.wait_for_selector("#step-title")
    job = phone.page.url.split("/job/")[1].split("/")[0]
    server.stop()

    # closed until zero energy is proved, and it says so
    first = phone.page.url
    phone.go(f"job/{job}/step/measure_shaft")
    expect(phone.page.locator("text=Closed for now")).to_be_visible()
    assert phone.page.locator(".reading").count() == 0
    phone.page.goto(first)

    walk(phone, until="measure_shaft")
    before = phone.events()
    phone.page.locator("input[data-pad]").first.focus()
    phone.page.keyboard.type("49.9")
    phone.wait_kept("49.9")
    phone.kill()
    phone.open()
    phone.page.wait_for_selector("#step-title")
    assert phone.page.url.endswith(f"/job/{job}/step/measure_shaft")
    expect(phone.page.locator("input[data-pad]").first).to_have_value("49.9")
    assert phone.events() == before
    phone.page.locator("input[data-pad]").first.fill("49.995")

    walk(phone)
    expect(phone.page.locator("text=Completed, waiting for sign-off")).to_be_visible()
    mine = phone.events()
    assert phone.unsent() > 60

    server.start()
    phone.go("sending")
    phone.page.click("text=Send now")
    expect(phone.page.locator(".unsent")).to_have_text("all sent", timeout=30_000)

    told = server.job(job)
    phone.modules()
    state: dict[str, Any] = phone.page.evaluate(
        """async (job) => {
            const { reduceJob } = await import("/as-written/state.js");
            const kept = await new Promise((resolve) => {
                const opening = indexedDB.open("shaftside");
                opening.onsuccess = () => {
                    const asked = opening.result.transaction("events").objectStore("events").index("record").getAll(job);
                    asked.onsuccess = () => resolve(asked.result);
                };
            });
            return reduceJob(kept);
        }""",
        job,
    )
    assert state["status"] == told["state"]["status"] == "completed"
    assert state == told["state"]
    assert not any(one["differs"] for place in state["readings"].values() for one in place["all"])
    assert len([event for event in mine if event["record"] == job]) == state["count"]

"""A job handed to another phone with no network: a file, taken over once, again, damaged; then both send."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from phone_kit import PhoneApp
from playwright.sync_api import Playwright, expect
from stand_in import StandIn
from test_phone_access import look
from test_phone_life import make_job


@pytest.fixture
def server(web_copy: Path) -> Iterator[StandIn]:
    with StandIn(web_copy) as started:
        yield started


@pytest.fixture
def phones(playwright: Playwright, tmp_path: Path, server: StandIn) -> Iterator[tuple[PhoneApp, PhoneApp]]:
    with (
        PhoneApp(playwright, tmp_path / "one", server.address) as one,
        PhoneApp(playwright, tmp_path / "two", server.address, bypass_csp=True) as two,
    ):
        for phone, login in ((one, "mika"), (two, "noor")):
            phone.wait_ready()
            phone.sign_in(login, "a long password")
        yield one, two
        assert one.trouble == two.trouble == []


def give(phone: PhoneApp, to: Path) -> Path:
    """Make the file on the job's page."""
    phone.tap("summary:has-text('Hand this job')")
    with phone.page.expect_download() as waiting:
        phone.tap("text=File without photos")
    waiting.value.save_as(to)
    return to


def test_a_half_done_job_goes_on_on_another_phone(
    phones: tuple[PhoneApp, PhoneApp], server: StandIn, tmp_path: Path
) -> None:
    one, two = phones
    server.stop()
    make_job(one)
    one.tap("text=Done, next step")
    one.page.wait_for_selector("text=Write down what you see.")
    job = one.page.url.split("/job/")[1].split("/")[0]
    one.go(f"job/{job}")
    file = give(one, tmp_path / "job.json")
    written = one.events()

    two.go("sending")
    damaged = tmp_path / "damaged.json"
    damaged.write_text(file.read_text(encoding="utf-8").replace("Exhaust fan 2", "Exhaust fan 3"), encoding="utf-8")
    two.page.set_input_files("#handover", damaged)
    expect(two.page.locator("main")).to_contain_text("did not arrive whole, or was changed")
    assert two.events() == []
    two.page.set_input_files("#handover", file)
    expect(two.page.locator("main")).to_contain_text(f"{len(written)} entries taken over")
    expect(two.page.locator("main")).to_contain_text("prove zero energy yourself")
    assert two.events() == written
    assert look(two, "taken over") == []
    two.kill()
    two.open()
    two.go("sending")
    two.page.set_input_files("#handover", file)
    expect(two.page.locator("main")).to_contain_text("0 entries taken over")
    assert two.events() == written

    two.tap("text=Open the job")
    two.page.set_viewport_size({"width": 844, "height": 390})
    two.tap(".foot .primary")
    two.page.fill(".reading textarea", "Seen by Noor")
    two.press()
    both = two.events()
    assert len(both) > len(written)
    server.start()
    for phone in (two, one):
        phone.go("sending")
        phone.tap("text=Send now")
        expect(phone.page.locator(".unsent")).to_have_text("all sent")
    assert {json.dumps(event, sort_keys=True) for event in server.events} == {json.dumps(event, sort_keys=True) for event in both}

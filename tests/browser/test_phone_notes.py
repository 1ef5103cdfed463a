"""Tech note, drawing, tables and the working page on a phone 360 wide with the network cut: drawn, in reach, readable, axe."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_kit import AXE, violations
from phone_kit import PhoneApp
from playwright.sync_api import Playwright, expect
from real_server import RealServer
from screens import keep


@pytest.fixture(params=["light", "dark"])
def phone(
    request: pytest.FixtureRequest, playwright: Playwright, tmp_path: Path, server: RealServer
) -> Iterator[PhoneApp]:
    screen = {"viewport": {"width": 360, "height": 740}, "color_scheme": request.param}
    with PhoneApp(playwright, tmp_path / "phone", server.address, bypass_csp=True, **screen) as opened:
        opened.wait_ready()  # app, handbook and its figures are stored
        opened.go("guide")
        expect(opened.page.locator(".card").first).to_be_visible(timeout=30_000)
        # the service worker holds every file before the network goes
        opened.page.wait_for_function("() => navigator.serviceWorker.controller !== null", timeout=30_000)
        opened.offline()
        yield opened
        assert opened.trouble == []


def wrong_with(phone: PhoneApp) -> list[str]:
    """What axe finds, and whether the page is wider than the phone."""
    if not AXE.exists():
        pytest.skip("needs axe-core: npm ci in tests/web")
    keep(phone.page, "" if "/note/" in phone.page.url else "working")
    wrong = violations(phone.page, phone.page.url)
    wide = phone.page.evaluate("document.documentElement.scrollWidth")
    return wrong + ([f"{wide} px wide"] if wide > 360 else [])


def test_a_sheet_is_found_and_its_note_read_with_no_network(phone: PhoneApp) -> None:
    page = phone.page
    page.get_by_label("Find a sheet").fill("taper sleeve")
    expect(page.get_by_role("heading", name="On a taper")).to_be_visible()
    assert page.get_by_role("link", name="First grease fill").count() == 0
    page.get_by_label("Find a sheet").fill("zzz")
    expect(page.get_by_text("No sheet speaks of that.")).to_be_visible()
    phone.go("note/taper_drive_up")
    expect(page.get_by_role("img", name="Drive-up on a tapered sleeve")).to_be_visible()
    assert page.locator("main .signal").first.bounding_box()["y"] < page.locator("main h2").first.bounding_box()["y"]  # type: ignore[index]
    page.evaluate("document.querySelectorAll('details').forEach((one) => (one.open = true))")
    expect(page.get_by_role("math").first).to_be_visible()
    drawn = page.evaluate("() => document.querySelector('svg.drawing path.outline').getBBox().width")
    assert drawn > 50
    assert page.evaluate("() => document.querySelector('mfrac').namespaceURI") == "http://www.w3.org/1998/Math/MathML"
    assert wrong_with(phone) == []
    page.get_by_role("link", name="Radial clearance before mounting").click()
    expect(page.get_by_role("table")).to_be_visible()
    expect(page.get_by_text("up to and including the second").first).to_be_visible()
    assert wrong_with(phone) == []


def test_the_working_is_set_when_it_is_opened(phone: PhoneApp) -> None:
    page = phone.page
    phone.go("guide/torque_wrench")
    phone.tap("text=I have read the cautions")
    page.locator("#g-torque_wanted").fill("62")
    page.locator("summary", has_text="More, to judge").click()
    for field, typed in (("wrench_length", "400"), ("adapter_length", "60")):
        page.locator(f"#g-{field}").fill(typed)
    assert page.locator(".calc").count() == 0, "a closed working costs nothing"
    page.locator("summary", has_text="Working").click()
    line = page.locator(".calc-lines li", has_text="Set on the wrench")
    expect(line.locator(".calc-result")).to_contain_text("53.9")
    expect(line.locator(".calc-math").nth(1)).to_contain_text("62")
    expect(page.locator(".calc")).to_contain_text("metric units")
    assert wrong_with(phone) == []

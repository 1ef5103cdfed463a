"""A label on a machine opens its position: by its address before a sign-in, by the short code typed, by the phone's camera."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from phone_kit import PhoneApp
from playwright.sync_api import Playwright, expect
from stand_in import StandIn
from test_phone_access import look

from shaftside.records.label_code import label_code


@pytest.fixture
def server(web_copy: Path) -> Iterator[StandIn]:
    with StandIn(web_copy) as started:
        yield started


@pytest.fixture
def phone(playwright: Playwright, tmp_path: Path, server: StandIn) -> Iterator[PhoneApp]:
    with PhoneApp(playwright, tmp_path / "phone", server.address) as opened:
        opened.wait_ready()
        opened.sign_in("mika", "a long password")
        yield opened
        assert opened.trouble == []


def position(phone: PhoneApp) -> str:
    """Describe a position; its id."""
    phone.go("new")
    phone.page.fill("#machine", "Exhaust fan 2")
    phone.page.fill("#name", "drive end")
    phone.page.click("text=Set screws")
    phone.tap(".foot button.primary")
    phone.page.wait_for_selector("text=Start mounting")
    return str(phone.page.url.rsplit("/", 1)[-1])


def test_the_short_code_typed_opens_the_position_with_no_network(phone: PhoneApp, server: StandIn) -> None:
    place = position(phone)
    code = label_code(place)
    server.stop()
    phone.go("positions")
    phone.tap("text=Scan a label")
    swapped = next(code[:at] + code[at + 1] + code[at] + code[at + 2 :] for at in range(3) if code[at] != code[at + 1])
    phone.page.fill("#label-code", swapped)
    phone.tap("text=Open the position")
    expect(phone.page.locator("[role=alert]")).to_contain_text("two changed places")
    other = label_code("00000000-0000-7000-8000-" + "1" * 12)
    phone.page.fill("#label-code", other)
    phone.tap("text=Open the position")
    expect(phone.page.locator("[role=alert]")).to_contain_text("knows no position of this label")
    phone.tap("text=Start the camera")  # this browser has none
    expect(phone.page.locator("[role=alert]")).to_contain_text("The camera did not open")
    phone.page.fill("#label-code", code.lower().replace("-", " "))
    phone.tap("text=Open the position")
    expect(phone.page.locator("h1")).to_contain_text("Exhaust fan 2, drive end")
    server.start()


def test_the_address_on_the_label_waits_for_the_sign_in(
    playwright: Playwright, tmp_path: Path, phone: PhoneApp, server: StandIn
) -> None:
    """The phone's own camera app opens the address; the one who is not yet here signs in and stands at the position."""
    place = position(phone)
    with PhoneApp(playwright, tmp_path / "other", server.address, bypass_csp=True) as other:
        other.go(f"position/{place}")
        other.page.wait_for_selector("#login")
        other.page.fill("#login", "noor")
        other.page.fill("#password", "a long password")
        other.tap("form button.primary")
        other.choose_pin()
        expect(other.page.locator("h1")).to_be_visible()
        assert other.page.url.endswith(f"#/position/{place}")
        other.go("scan")
        other.page.wait_for_selector("#label-code")
        assert look(other, "scan") == []

"""The main screens through axe-core, and at 320 px with text at 200 %: no violation, no sideways scroll."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_kit import AXE, violations
from phone_kit import PhoneApp
from playwright.sync_api import Playwright
from screens import keep
from stand_in import StandIn

pytestmark = pytest.mark.skipif(not AXE.exists(), reason="needs axe-core: npm ci in tests/web")


@pytest.fixture(params=["light", "dark"])
def phone(request: pytest.FixtureRequest, playwright: Playwright, tmp_path: Path, web_copy: Path) -> Iterator[PhoneApp]:
    with (
        StandIn(web_copy) as server,
        PhoneApp(playwright, tmp_path / "phone", server.address, bypass_csp=True, color_scheme=request.param) as opened,
    ):
        opened.wait_ready()
        yield opened


def look(phone: PhoneApp, screen: str) -> list[str]:
    """What is wrong with the screen that is shown."""
    phone.settle()
    keep(phone.page, screen)
    wrong = violations(phone.page, screen)
    phone.page.set_viewport_size({"width": 320, "height": 640})
    phone.page.evaluate("document.documentElement.style.fontSize = '200%'")
    wide = phone.page.evaluate("document.documentElement.scrollWidth")
    keep(phone.page, screen)
    phone.page.evaluate("document.documentElement.style.fontSize = ''")
    phone.page.set_viewport_size({"width": 390, "height": 844})
    return wrong + ([f"{screen}: {wide} px wide at 320"] if wide > 320 else [])


def test_main_screens(phone: PhoneApp) -> None:
    wrong = look(phone, "sign-in")
    phone.sign_in("mika", "a long password")
    wrong += look(phone, "home")
    phone.go("new")
    phone.page.wait_for_selector("#machine")
    phone.tap(".foot button.primary")
    wrong += look(phone, "position form with faults")
    phone.page.fill("#machine", "Exhaust fan 2")
    phone.page.fill("#name", "drive end")
    phone.page.click("text=Set screws")
    phone.tap(".foot button.primary")
    phone.page.wait_for_selector("text=Start mounting")
    wrong += look(phone, "position")
    phone.page.click("text=Start mounting")
    wrong += look(phone, "cautions")
    phone.tap("text=I have read this")
    phone.page.wait_for_selector("#step-title")
    wrong += look(phone, "step")
    phone.tap("text=Not applicable")
    wrong += look(phone, "step with a panel")
    for room in ("settings", "sending", "people", "guide", "positions", "job/none"):
        phone.go(room)
        phone.page.wait_for_selector("h1")
        wrong += look(phone, room)
    assert wrong == []

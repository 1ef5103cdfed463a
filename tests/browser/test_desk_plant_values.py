"""A lead sets a plant's value at the desk in a real browser: previewed, set, seen, withdrawn; axe on every page of it."""

from __future__ import annotations

from pathlib import Path

import pytest
from axe_kit import AXE
from phone_kit import ARGS, CHROMIUM
from playwright.sync_api import Page, Playwright, expect
from real_server import PASSWORD, RealServer
from test_desk import look

pytestmark = [pytest.mark.slow, pytest.mark.skipif(not AXE.exists(), reason="needs axe-core: npm ci in tests/web")]


def fill(page: Page, typed: dict[str, str]) -> None:
    for label, text in typed.items():
        page.get_by_label(label).first.fill(text)


def test_set_after_the_preview_and_withdrawn(playwright: Playwright, tmp_path: Path) -> None:
    with RealServer(tmp_path) as real:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGS)
        page = browser.new_context(
            base_url=real.address, bypass_csp=True, viewport={"width": 390, "height": 800}
        ).new_page()
        page.goto("/desk/plant-values")
        fill(page, {"Sign-in name": "lena", "Password": PASSWORD})
        page.get_by_role("button", name="Sign in").click()
        expect(page.get_by_text("None is set.")).to_be_visible()
        wrong = look(page, "Plant's values")
        page.get_by_role("link", name="Set a value").click()
        wrong += look(page, "Set a plant's value")
        page.get_by_label("Sheet").select_option("set_screw_torque")
        page.get_by_role("button", name="Go on").click()
        page.get_by_label("Line").select_option("set_screw_torque.target")
        fill(page, {"Value, with its unit": "120 lbf.ft", "Document": "Instruction sheet 12 (invented)", "Revision or date": "C"})
        page.get_by_text("Only where these facts are so").click()
        page.get_by_label("Set-screw size").first.select_option("M8")
        page.get_by_text("Try it on the sheet").click()
        page.locator("[name='in.place']").select_option("ring")
        page.get_by_role("button", name="Show what it would do").press("Enter")
        preview = page.get_by_role("status").filter(has_text="What this would do")
        expect(preview).to_contain_text("Was it 120\u00a0lbf·in?")
        expect(preview).to_contain_text("13.5\u00a0N·m")
        wrong += look(page, "Set a plant's value: ")
        fill(page, {"Value, with its unit": "15 N.m"})
        page.get_by_role("button", name="Show what it would do").press("Enter")
        expect(preview).not_to_contain_text("Was it")
        page.get_by_role("button", name="Set the plant's value").press("Enter")
        expect(page.get_by_text("Saved.")).to_be_visible()
        expect(page.locator("main")).to_contain_text("Set-screw size: M8")
        wrong += look(page, "Plant's values")
        page.get_by_role("button", name="Withdraw").click()  # the browser itself asks for a reason
        expect(page.locator("main")).not_to_contain_text("Withdrawn")
        fill(page, {"Reason to withdraw it": "sheet 13 came"})
        page.get_by_role("button", name="Withdraw").click()
        expect(page.locator("main")).to_contain_text("sheet 13 came")
        wrong += look(page, "Plant's values")
        browser.close()
        assert wrong == []

"""A sheet run over a table's rows, in the quick guide: the ranked cards by eye, finger, keyboard and screen reader, offline."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
import stand_in
from phone_kit import PhoneApp
from playwright.sync_api import Playwright, expect
from stand_in import StandIn
from test_phone_access import AXE, look

from shaftside import calc

# the sheet made up for tests/calc/test_over.py: 25 mm wanted, the twins reach it within one whole step of each other
MADE = Path(__file__).resolve().parents[1] / "calc/over"
LEAST = 48  # px, a finger in a glove


@pytest.fixture(params=["light", "dark"])
def phone(
    request: pytest.FixtureRequest, playwright: Playwright, tmp_path: Path, web_copy: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[PhoneApp]:
    monkeypatch.setattr(stand_in, "BUNDLE", stand_in.BUNDLE | {"calc": calc.load(MADE).program})
    with (
        StandIn(web_copy) as server,
        PhoneApp(
            playwright, tmp_path / "phone", server.address,
            bypass_csp=True, color_scheme=request.param, viewport={"width": 360, "height": 740},
        ) as opened,
    ):  # fmt: skip
        opened.wait_ready()
        opened.sign_in("mika", "a long password")
        opened.offline()
        opened.go("guide/pick")
        opened.tap("text=I have read the cautions")
        opened.type_number("#g-wanted", "12.5")
        yield opened
        assert opened.trouble == []


def test_the_rows_stand_in_their_order_with_their_reasons(phone: PhoneApp) -> None:
    ways = phone.page.locator("section:has(#over-ways)")
    names = ways.get_by_role("listitem").get_by_role("heading", level=3)
    expect(names).to_have_text([
        "Place 1, shared: First twin", "Place 1, shared: Second twin", "Place 3: Long way", "Place 4: Short way",
        "no place: Unknown way", "no place: No way",
    ])  # fmt: skip
    expect(phone.page.locator("h2", has_text="Best way")).to_be_visible()
    expect(phone.page.locator(".big b").first).to_have_text("First twin")
    short = ways.locator(".rank").nth(3)
    expect(short.locator("dd")).to_have_text(["10\u00a0mm", "−15\u00a0mm", "no"])
    expect(short).to_contain_text("Caution. Short way is short by its 10\u00a0mm; 25\u00a0mm are wanted.")
    expect(ways.locator(".rank").nth(4)).to_contain_text("has no figure for Unknown way.")
    # a section without criteria shows its rows and no places
    expect(phone.page.locator("section:has(#over-colours) h3")).to_have_text(["red", "blue"])
    assert phone.page.evaluate("document.documentElement.scrollWidth") <= 360


def test_every_line_of_a_row_is_one_key_away(phone: PhoneApp) -> None:
    row = phone.page.locator("section:has(#over-ways) .rank").nth(3)
    summary = row.locator("summary")
    box = summary.bounding_box()
    assert box is not None
    assert box["height"] >= LEAST
    expect(summary).to_have_text("Working: Short way")
    summary.focus()
    phone.page.keyboard.press("Enter")
    expect(row.locator("ol.calc-lines")).to_be_visible()
    expect(row.get_by_role("math", name="10\u00a0mm − 25\u00a0mm", exact=True)).to_be_visible()


def test_units_change_the_cards(phone: PhoneApp) -> None:
    phone.go("settings")
    phone.page.click("text=Inch")
    phone.go("guide/pick")
    expect(phone.page.locator("section:has(#over-ways) .rank").nth(2).locator("dd").first).to_have_text("1.5748\u00a0in")


@pytest.mark.skipif(not AXE.exists(), reason="needs axe-core: npm ci in tests/web")
def test_nothing_is_wrong_with_the_screen(phone: PhoneApp) -> None:
    phone.page.locator(".rank summary").first.click()
    assert look(phone, "rows of a table") == []

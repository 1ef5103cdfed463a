"""The drawings beside the steps, on a real job: each is there with its words, fits 320 px at 200 % text, and is kept as a picture."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
import story_kit
from phone_kit import PhoneApp
from playwright.sync_api import Playwright, expect
from real_server import PASSWORD, RealServer
from screens import keep

pytestmark = pytest.mark.slow
# 3 m of steel shaft 40 K warmer on a steel frame 5 K warmer, steel 12e-6/K: 3000 × 12e-6 × (40 − 5) = 1.26 mm.
GROWTH = {
    "travel": "6", "span": "3000", "cold": "20", "shaft_hot": "60", "frame_hot": "25",
    "set_back": "0.6", "set_back_step": "0.1",
}  # fmt: skip


@pytest.fixture
def phone(playwright: Playwright, tmp_path: Path, server: RealServer) -> Iterator[PhoneApp]:
    with PhoneApp(playwright, tmp_path / "phone", server.address) as opened:
        opened.wait_ready()
        opened.sign_in("mika", PASSWORD)
        yield opened
        assert opened.trouble == []


def begin(phone: PhoneApp, facts: dict[str, str]) -> None:
    """A position of its own and its mounting job, up to the first step."""
    story_kit.make_position(phone, facts)
    phone.page.click("text=Start mounting")
    phone.tap("text=I have read this")
    phone.page.wait_for_selector("#step-title")


def look(phone: PhoneApp, name: str) -> str:
    """The words under the drawing of the step that is shown, after it was measured and photographed."""
    shown = phone.page.locator("main .shown").first
    expect(shown.locator("svg.drawing")).to_be_visible()
    for scheme in ("light", "dark"):
        phone.page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
        shown.scroll_into_view_if_needed()
        keep(phone.page, f"drawing {name}")
    phone.page.emulate_media(color_scheme="light")
    phone.page.set_viewport_size({"width": 320, "height": 640})
    phone.page.evaluate("document.documentElement.style.fontSize = '200%'")
    wide = phone.page.evaluate("document.documentElement.scrollWidth")
    keep(phone.page, f"drawing {name}")
    phone.page.evaluate("document.documentElement.style.fontSize = ''")
    phone.page.set_viewport_size({"width": 390, "height": 844})
    assert wide <= 320, f"{name}: {wide} px wide at 320"
    return "\n".join(shown.locator("figcaption p").all_inner_texts()).replace("\u00a0", " ")


def test_a_cam_collar_on_a_free_end(phone: PhoneApp, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(story_kit, "NUMBERS", story_kit.NUMBERS | GROWTH)
    facts = {
        "locking_method": "cam_collar", "housing": "pillow_block", "bearing_type": "insert_ball", "shaft_system": "metric",
        "screw": "M8", "rotation": "clockwise", "end": "free", "load": "normal", "collar_side": "far_side",
    }  # fmt: skip
    begin(phone, facts)
    story_kit.walk(phone, until="bolts_first")
    # the story takes each first choice: two bolts
    for bolt in (1, 2):
        assert f"Bolt {bolt} now. Order: 1, 2." in look(phone, f"bolts-{bolt}")
        # a pass is over only when each bolt has had it: nothing else can be tapped at the thumb
        expect(phone.page.locator(".foot button")).to_have_text([f"Bolt {bolt} is at this torque"])
        phone.tap(f"text=Bolt {bolt} is at this torque")
    expect(phone.page.locator(".foot button")).to_have_text(["Done, next step"])
    assert "Every bolt has had this pass." in look(phone, "bolts-all")
    story_kit.walk(phone, until="place_free")
    story_kit.fill(phone)
    said = look(phone, "growth")
    assert "1.260 mm" in said, said
    story_kit.walk(phone, until="cam_drive")
    expect(phone.page.locator("h1 + .big")).to_have_text("Turn to lock, as you see it: clockwise")
    said = look(phone, "collar")
    assert "Turn to lock, as you see it: clockwise" in said
    assert "behind the bearing" in said


def test_two_set_screws(phone: PhoneApp) -> None:
    begin(phone, story_kit.FACTS)
    story_kit.walk(phone, until="screw_a_again")
    said = look(phone, "screws")
    assert said.split("\n")[:2] == ["Now: A again.", "Then: B again."]

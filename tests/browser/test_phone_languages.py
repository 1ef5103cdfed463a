"""An invented language chosen in the middle of a job with no network: what the person reads, what the record keeps, and back."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from phone_kit import PhoneApp
from playwright.sync_api import Playwright, expect
from real_server import PASSWORD, RealServer
from story_kit import fill, make_position, walk

ROOT = Path(__file__).resolve().parents[2]
sys.path.append(str(ROOT / "tests" / "handbook"))
from tongue import CODE, content  # noqa: E402

pytestmark = pytest.mark.slow
# A catalogue stands alone: it comes when it is chosen, and the app it comes to is one script.
CATALOGUE = (ROOT / "web" / "text" / "en.js").read_text(encoding="utf-8").replace("export const en", "const en") + f"""
export const {CODE} = Object.fromEntries(Object.entries(en).map(([key, text]) => [key, `‹${{text}}›`]));
"""


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RealServer]:
    folder = tmp_path_factory.mktemp("server")
    made = folder / "content"
    made.mkdir()
    content(made)
    shutil.copytree(ROOT / "web", made / "web")
    (made / "web" / "text" / f"{CODE}.js").write_text(CATALOGUE, encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(os.environ, "SHAFTSIDE_CONTENT", str(made))
        with RealServer(folder) as started:
            yield started


@pytest.fixture
def phone(playwright: Playwright, tmp_path: Path, server: RealServer) -> Iterator[PhoneApp]:
    with PhoneApp(playwright, tmp_path / "phone", server.address, locale="fi-FI") as opened:
        opened.wait_ready()
        opened.sign_in("mika", PASSWORD)
        yield opened
        assert opened.trouble == []


def speak(phone: PhoneApp, lang: str) -> None:
    phone.go("settings")
    phone.page.locator(f"label:has(span[lang={lang}]) input").check()
    expect(phone.page.locator("html")).to_have_attribute("lang", lang)


def written_here(phone: PhoneApp) -> list[dict[str, Any]]:
    """This phone's own events, in order; the others came from the server."""
    every = phone.events()
    device = next(event["device"] for event in every if event["kind"] == "position_described")
    return [event for event in every if event["device"] == device]


def test_a_language_is_chosen_in_mid_job_with_no_network_and_the_record_keeps_it(phone: PhoneApp) -> None:
    page = phone.page
    make_position(phone)
    page.click("text=Start mounting")
    phone.tap("text=I have read this")
    page.wait_for_selector("#step-title")
    here = page.url.split("#/")[1]
    english = page.inner_text("#step-title")
    phone.offline()
    before = len(written_here(phone))
    assert written_here(phone)[-1]["body"]["lang"] == "en"

    speak(phone, CODE)
    assert page.inner_text("h1").startswith("‹")
    phone.go(here)
    expect(page.locator("#step-title")).to_have_text(f"‹{english}›")
    expect(page.locator(".where")).to_contain_text("‹Make safe›")
    page.reload()  # an app that is killed comes back in the same language, still with no network
    expect(page.locator("#step-title")).to_have_text(f"‹{english}›")

    # every second translation is unreviewed: below each of those safety lines stands the English, marked as English
    job = here.split("/")[1]
    phone.modules()
    for step in page.evaluate(ALL_STEPS, job):
        phone.go(f"job/{job}/step/{step['id']}")
        expect(page.locator("#step-title")).to_contain_text("‹")
        shown = page.locator(".signal p[lang=en]")
        assert shown.count() == (1 if step["unread"] else 0), step
        if step["unread"]:
            assert shown.inner_text() == step["english"]

    phone.go(here)
    fill(phone)
    phone.tap(".foot .primary")
    expect(page.locator("#step-title")).not_to_have_text(f"‹{english}›")
    written = written_here(phone)[before:]
    assert {event["kind"] for event in written} == {"reading_taken", "step_done"}
    assert {event["body"]["lang"] for event in written} == {CODE}
    assert all(event["body"]["unreviewed"] is True for event in written)

    second = page.url.split("#/")[1]
    speak(phone, "en")
    phone.go(second)
    expect(page.locator("#step-title")).not_to_contain_text("‹")
    walk(phone, until="stop_machine")
    later = written_here(phone)[before + len(written) :]
    assert later
    assert {event["body"]["lang"] for event in later} == {"en"}
    assert not any("unreviewed" in event["body"] for event in later)


ALL_STEPS = """async (job) => {
    const rows = await new Promise((resolve) => {
        const opening = indexedDB.open("shaftside");
        opening.onsuccess = () => {
            const tx = opening.result.transaction(["bundles"]).objectStore("bundles").getAll();
            tx.onsuccess = () => { opening.result.close(); resolve(tx.result.map((one) => JSON.parse(one.text))); };
        };
    });
    const bundle = rows.find((one) => one.calc), figures = rows.find((one) => one.figures), pack = rows.find((one) => one.texts);
    const { layIn } = await import("/as-written/packs.js");
    layIn(Object.assign(bundle, { drawings: figures.figures }), pack);
    return bundle.procedures.ring_set_screws_mount.steps.filter((one) => one.caution).slice(0, 6).map((one) => ({
        id: one.step, english: one.caution.text.en, unread: (one.caution.text.unreviewed ?? []).length > 0 }));
}"""


def test_numbers_dates_and_working_follow_the_language(phone: PhoneApp) -> None:
    page = phone.page
    phone.offline()
    speak(phone, CODE)
    phone.go("guide/set_screw_torque")
    expect(page.locator(".signal p[lang=en]").first).to_be_visible()  # the app's own danger line, its catalogue unreviewed
    expect(page.locator(".signal .panel").first).to_have_text("‹DANGER›")
    phone.tap(".foot .primary")
    page.select_option("#g-screw", "M8")
    page.check("#g-place-0")
    # 13.5 N.m: what set-screw tables print for M8 (common practice, no source)
    expect(page.locator(".big b").first).to_have_text("13,5")

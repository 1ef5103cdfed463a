"""The desk in each other language in a real browser: the switch by keyboard, a sign-off in the language the lead reads, axe and width of each page."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from axe_kit import AXE, violations
from demo_server import DemoServer
from phone_kit import ARGS, CHROMIUM
from playwright.sync_api import Page, Playwright, expect
from test_desk import tab_to

from shaftside.pages import tongue
from shaftside.pages.words import STATEMENT

pytestmark = [pytest.mark.slow, pytest.mark.skipif(not AXE.exists(), reason="needs axe-core: npm ci in tests/web")]
PAGES = (
    "/desk/", "/desk/jobs", "JOB", "JOB/sign", "JOB/working", "JOB/print", "/desk/positions", "/desk/positions/import", "/desk/failures",
    "/desk/sheets", "/desk/sheets/taper_seat", "/desk/sheets/shaft_fit/tables/iso286_shafts", "/desk/plant-values", "/desk/labels",
    "/desk/calendar", "/desk/read-in", "/desk/me", "/desk/nothing",
)  # fmt: skip


def say(lang: str, english: str) -> str:
    """What the desk's catalogue has for a sentence with nothing to fill in."""
    said = tongue.tongues()[lang].said.gettext(english)
    assert said != english, f"no sentence of the desk: {english}"
    return said


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoServer]:
    started = DemoServer(tmp_path_factory.mktemp("demo"))
    yield started
    started.stop()


def come_in(page: Page, server: DemoServer, lang: str) -> None:
    """The lead, by the sign-in page in this language."""
    page.get_by_label(say(lang, "Sign-in name")).fill("maud")
    page.get_by_label(say(lang, "Password")).fill(server.passwords["maud"])
    page.get_by_role("button", name=say(lang, "Sign in"), exact=True).click()
    expect(page.get_by_role("heading", name=say(lang, "Today"), exact=True)).to_be_visible()


def too_wide(page: Page, name: str, width: int) -> list[str]:
    """Whether a page is wider than the screen."""
    wide = page.evaluate("document.documentElement.scrollWidth")
    return [f"{name}: {wide} px wide"] if wide > width else []


# The pages are built the same way in every language, so axe goes over them in one. What differs is how long words are.
@pytest.mark.parametrize(("lang", "scheme", "width"), [("es", "light", 1280), ("es", "dark", 390), ("de", "light", 390)])
def test_every_page_in_each_language_is_accessible_and_fits(playwright: Playwright, server: DemoServer, scheme: Any, width: int, lang: str) -> None:
    browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGS)
    options = {"base_url": server.address, "bypass_csp": True, "color_scheme": scheme, "viewport": {"width": width, "height": 800}}
    page = browser.new_context(**options, locale=lang).new_page()

    def faults(name: str) -> list[str]:  # no picture: each room's is the English one
        return too_wide(page, name, width) + (violations(page, name) if lang == "es" else [])

    page.goto("/desk/")
    wrong = faults("sign-in")
    come_in(page, server, lang)
    job = str(page.locator("a[href$='/sign']").first.get_attribute("href")).removesuffix("/sign")
    for path in PAGES:
        page.goto(path.replace("JOB", job))
        assert page.evaluate("document.documentElement.lang") == lang, path
        wrong += faults(path)
    browser.close()
    assert wrong == []


def test_the_language_is_switched_by_keyboard_and_a_signature_keeps_the_words_that_were_read(playwright: Playwright, server: DemoServer) -> None:
    lang = "es"  # one language is enough here, and the job is signed once; tests/desk goes over every one
    accepted = say(lang, str(STATEMENT)).split(".")[0]
    browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGS)
    page = browser.new_context(base_url=server.address, locale="en-GB").new_page()
    page.goto("/desk/")
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    tab_to(page, tongue.tongues()[lang].name)
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name=say(lang, "Sign in"))).to_be_visible()
    come_in(page, server, lang)
    page.get_by_role("link", name="Dust extraction fan 4").first.click()
    heading = say(lang, "Sign off: %(work)s, %(method)s").split("%")[0] + say(lang, "Mounting")
    expect(page.get_by_role("heading", name=heading)).to_be_visible()
    statement = page.locator(".signing .quote")
    expect(statement).to_contain_text(accepted)
    expect(page.locator(".signing .english")).to_contain_text("I did not do this work.")
    page.get_by_label(say(lang, "This is what I mean by signing")).check()
    page.get_by_label(say(lang, "Your password, again")).fill(server.passwords["maud"])
    page.get_by_role("button", name=say(lang, "Sign off exactly this record")).click()
    expect(page.get_by_role("status")).to_contain_text(say(lang, "Signed off, on exactly what you saw."))
    page.get_by_role("link", name=say(lang, "Printable record")).click()
    expect(page.locator(".signatures")).to_contain_text(accepted)
    expect(page.locator(".deference")).to_contain_text("It is no proof of the machine's state now")
    assert page.pdf().startswith(b"%PDF"), "it prints"
    page.go_back()
    page.get_by_role("button", name="English").click()
    page.get_by_role("link", name="Printable record").click()
    expect(page.locator(".signatures")).to_contain_text(f"(signed in {tongue.tongues()[tongue.SOURCE].calls(lang)})")
    expect(page.locator(f".signatures [lang={lang}]")).to_contain_text(accepted)
    browser.close()

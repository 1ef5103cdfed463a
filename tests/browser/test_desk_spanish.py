"""The desk in Spanish in a real browser: the switch by keyboard, a sign-off in the language the lead reads, axe and width of each page."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from axe_kit import AXE, violations
from demo_server import DemoServer
from phone_kit import ARGS, CHROMIUM
from playwright.sync_api import Page, Playwright, expect
from test_desk import tab_to

pytestmark = [pytest.mark.slow, pytest.mark.skipif(not AXE.exists(), reason="needs axe-core: npm ci in tests/web")]
PAGES = (
    "/desk/", "/desk/jobs", "JOB", "JOB/sign", "JOB/working", "JOB/print", "/desk/positions", "/desk/positions/import", "/desk/failures",
    "/desk/sheets", "/desk/sheets/taper_seat", "/desk/sheets/shaft_fit/tables/iso286_shafts", "/desk/plant-values", "/desk/labels",
    "/desk/calendar", "/desk/read-in", "/desk/me", "/desk/nothing",
)  # fmt: skip


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoServer]:
    started = DemoServer(tmp_path_factory.mktemp("demo"))
    yield started
    started.stop()


def come_in(page: Page, server: DemoServer) -> None:
    """The lead, by the sign-in page in Spanish."""
    page.get_by_label("Nombre de usuario").fill("maud")
    page.get_by_label("Contraseña").fill(server.passwords["maud"])
    page.get_by_role("button", name="Iniciar sesión").click()
    expect(page.get_by_role("heading", name="Hoy", exact=True)).to_be_visible()


def faults(page: Page, name: str, width: int) -> list[str]:
    """What axe finds wrong with a page, and whether it is wider than the screen. No picture: each room's is the English one."""
    wide = page.evaluate("document.documentElement.scrollWidth")
    return violations(page, name) + ([f"{name}: {wide} px wide"] if wide > width else [])


@pytest.mark.parametrize(("scheme", "width"), [("light", 1280), ("dark", 390)])
def test_every_page_in_spanish_is_accessible_and_fits(playwright: Playwright, server: DemoServer, scheme: Any, width: int) -> None:
    browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGS)
    options = {"base_url": server.address, "bypass_csp": True, "color_scheme": scheme, "viewport": {"width": width, "height": 800}}
    page = browser.new_context(**options, locale="es-ES").new_page()
    page.goto("/desk/")
    wrong = faults(page, "sign-in", width)
    come_in(page, server)
    job = str(page.locator("a[href$='/sign']").first.get_attribute("href")).removesuffix("/sign")
    for path in PAGES:
        page.goto(path.replace("JOB", job))
        assert page.evaluate("document.documentElement.lang") == "es", path
        wrong += faults(page, path, width)
    browser.close()
    assert wrong == []


def test_the_language_is_switched_by_keyboard_and_a_signature_keeps_the_words_that_were_read(playwright: Playwright, server: DemoServer) -> None:
    browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGS)
    page = browser.new_context(base_url=server.address, locale="en-GB").new_page()
    page.goto("/desk/")
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    tab_to(page, "Español")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Iniciar sesión")).to_be_visible()
    come_in(page, server)
    page.get_by_role("link", name="Dust extraction fan 4").first.click()
    expect(page.get_by_role("heading", name="Visto bueno: montaje")).to_be_visible()
    statement = page.locator(".signing .quote")
    expect(statement).to_contain_text("No he hecho este trabajo.")
    expect(page.locator(".signing .english")).to_contain_text("I did not do this work.")
    page.get_by_label("Esto es lo que quiero decir al firmar").check()
    page.get_by_label("La contraseña propia, otra vez").fill(server.passwords["maud"])
    page.get_by_role("button", name="Dar el visto bueno exactamente a este registro").click()
    expect(page.get_by_role("status")).to_contain_text("Con visto bueno, exactamente sobre lo que estaba a la vista.")
    page.get_by_role("link", name="Registro imprimible").click()
    expect(page.locator(".signatures")).to_contain_text("No he hecho este trabajo.")
    expect(page.locator(".deference")).to_contain_text("It is no proof of the machine's state now")
    assert page.pdf().startswith(b"%PDF"), "it prints"
    page.go_back()
    page.get_by_role("button", name="English").click()
    page.get_by_role("link", name="Printable record").click()
    expect(page.locator(".signatures")).to_contain_text("(signed in Spanish)")
    expect(page.locator(".signatures [lang=es]")).to_contain_text("No he hecho este trabajo.")
    browser.close()

"""The desk in a real browser over the demo plant: the lead's and the planner's way, by keyboard too, axe on every page."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from demo_server import DemoServer
from phone_kit import ARGS, CHROMIUM
from playwright.sync_api import Browser, Page, Playwright, expect
from real_server import PASSWORD, RealServer
from screens import keep

AXE = Path(__file__).resolve().parents[1] / "web/node_modules/axe-core/axe.min.js"
RULES = "['wcag2a','wcag2aa','wcag21a','wcag21aa','wcag22aa','best-practice']"
pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoServer]:
    started = DemoServer(tmp_path_factory.mktemp("demo"))
    yield started
    started.stop()


@pytest.fixture(scope="module")
def browser(playwright: Playwright) -> Iterator[Browser]:
    opened = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGS)
    yield opened
    opened.close()


Open = Callable[..., Page]


@pytest.fixture
def desk(browser: Browser, server: DemoServer) -> Iterator[Open]:
    """Opens a page for a person; whatever a script or the content policy complained of fails the test."""
    trouble: list[str] = []
    contexts = []

    def opened(who: str, **options: Any) -> Page:
        context = browser.new_context(
            base_url=server.address, **({"viewport": {"width": 1280, "height": 800}} | options)
        )
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(10_000)
        page.on("pageerror", lambda error: trouble.append(str(error)))
        page.on(
            "console",
            lambda said: (
                trouble.append(said.text) if said.type == "error" and "status of 4" not in said.text else None
            ),
        )
        page.goto("/desk/")
        page.get_by_label("Sign-in name").fill(who)
        page.get_by_label("Password").fill(server.passwords[who])
        page.get_by_role("button", name="Sign in").click()
        expect(page.get_by_role("heading", name="Today")).to_be_visible()
        return page

    yield opened
    for context in contexts:
        context.close()
    assert trouble == []


def tab_to(page: Page, text: str, least: int = 0) -> None:
    """Press Tab until what has the focus is called `text`; fails when the whole page was walked."""
    for _ in range(400):
        page.keyboard.press("Tab")
        name = page.evaluate(
            "() => { const at = document.activeElement;"
            " return [at.textContent, at.labels?.[0]?.textContent, at.getAttribute('aria-label')].filter(Boolean).join(' ') }"
        )
        if text in re.sub(r"\s+", " ", name):
            ring = page.evaluate("() => getComputedStyle(document.activeElement).outlineStyle")
            assert ring != "none", f"no ring on “{text}”"
            return
    raise AssertionError(f"Tab never reached “{text}”")


def test_the_lead_signs_off_with_the_keyboard_only(desk: Open, server: DemoServer) -> None:
    page = desk("maud")
    tab_to(page, "Dust extraction fan 4")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Sign off: mounting")).to_be_visible()
    tab_to(page, "This is what I mean by signing")
    page.keyboard.press("Space")
    tab_to(page, "Your password, again")
    page.keyboard.type("not the password")
    page.keyboard.press("Enter")
    expect(page.get_by_role("alert")).to_contain_text("Nothing was signed")
    tab_to(page, "This is what I mean by signing")
    page.keyboard.press("Space")
    tab_to(page, "Your password, again")
    page.keyboard.type(server.passwords["maud"])
    tab_to(page, "Sign off exactly this record")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("Signed off, on exactly what you saw.")
    page.get_by_role("link", name="Printable record").click()
    expect(page.locator(".stamp")).to_contain_text("Signed off")
    expect(page.locator(".signatures")).to_contain_text("Maud Hollimarsh")
    assert page.pdf().startswith(b"%PDF"), "it prints"


def test_the_lead_decides_accepts_and_returns(desk: Open) -> None:
    page = desk("maud")
    page.get_by_role("link", name="Bucket elevator 2, Head shaft, far end").first.click()
    first = page.locator(".first article").first
    expect(first).to_contain_text("Deviation")
    first.get_by_label("Decision").select_option("accept")
    first.get_by_label("Reason").fill("Cleaned again; looked at by me.")
    first.get_by_role("button", name="Record the decision").click()
    expect(page.get_by_role("status")).to_contain_text("The decision is recorded.")
    page.get_by_label("Reason to accept it as it is").first.fill("Measured again by me.")
    page.get_by_role("button", name="Accept this reading").first.click()
    expect(page.get_by_role("status")).to_contain_text("The reading is accepted")
    page.get_by_label("What has to be done, and why").fill("Take the last round again.")
    page.get_by_role("button", name="Return for rework").click()
    expect(page.get_by_role("status")).to_contain_text("Returned for rework")


def test_the_planner_finds_lists_imports_and_reports(desk: Open) -> None:
    page = desk("ravi")
    page.get_by_role("link", name="Installations").click()
    page.get_by_label("Locking method").select_option(label="Eccentric (cam) collar")
    page.get_by_label("Work").select_option("mount")
    page.get_by_role("button", name="Show").click()
    expect(page.locator("main [role=status]")).to_contain_text("installation")
    shown = page.locator("table.list tbody tr")
    assert 0 < shown.count() < 50
    with page.expect_download() as got:
        page.get_by_role("link", name="List to CSV").click()
    text = Path(got.value.path()).read_text(encoding="utf-8-sig")
    assert len(text.strip().splitlines()) == shown.count() + 1
    page.get_by_role("link", name="Positions").click()
    page.get_by_role("link", name="Import from CSV").click()
    rows = "machine,machine_name,position,locking_method,shaft_d\nT-9,Trial fan,drive end,cam_collar,{}\n"
    page.get_by_label("or its rows, pasted").fill(rows.format("50 kg"))
    page.get_by_role("button", name="Dry run").click()
    expect(page.get_by_role("heading", name="Not ready: 1 row to put right")).to_be_visible()
    page.get_by_label("or its rows, pasted").fill(rows.format("50 mm"))
    page.get_by_role("button", name="Dry run").click()
    page.get_by_role("button", name="Apply 1 row").click()
    expect(page.get_by_role("heading", name=re.compile("Trial fan"))).to_be_visible()
    page.get_by_role("link", name="Failures").click()
    page.locator("table.list tbody a").first.click()
    page.locator(".crumb a").last.click()
    page.get_by_label("Found on").fill("2026-11-20")
    page.get_by_label("What was seen, heard or measured").fill("Ran hot again.")
    page.get_by_label("Running hours since it was mounted").fill("190 h")
    page.get_by_role("button", name="Report the failure").click()
    expect(page.get_by_role("heading", name="The installation it follows")).to_be_visible()
    expect(page.get_by_role("heading", name=re.compile("What stands out"))).to_be_visible()


PAGES = (
    "/desk/", "/desk/jobs", "/desk/jobs?since=bad&text=zzzz", "JOB", "JOB/sign", "JOB/working", "JOB/print", "/desk/positions", "POSITION",
    "/desk/positions/import", "/desk/failures", "FAILURE", "/desk/me", "/desk/nothing", "/desk/people",
    "/desk/sheets", "/desk/sheets?find=zzz", "/desk/sheets/taper_seat", "/desk/sheets/method_choice", "/desk/sheets/shaft_fit/tables/iso286_shafts",
    "/desk/labels", "/desk/calendar", "/desk/read-in",
)  # fmt: skip


@pytest.mark.skipif(not AXE.exists(), reason="needs axe-core: npm ci in tests/web")
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1280, 390])
def test_every_page_is_accessible_and_fits(desk: Open, scheme: str, width: int) -> None:
    page = desk("maud", bypass_csp=True, color_scheme=scheme, viewport={"width": width, "height": 800})
    places = {
        "JOB": "a[href$='/sign']",
        "POSITION": "section .lines a[href^='/desk/positions/']",
        "FAILURE": "a[href^='/desk/failures/']",
    }
    found = {}
    for key, where in (("JOB", "/desk/"), ("FAILURE", "/desk/failures"), ("POSITION", "/desk/positions")):
        page.goto(where)
        found[key] = str(page.locator(places[key]).first.get_attribute("href")).removesuffix("/sign")
    wrong = []
    for path in PAGES:
        for key, real in found.items():
            path = path.replace(key, real)
        page.goto(path)
        wrong += look(page, path, width)
        if path.endswith("/print") and scheme == "light":
            page.emulate_media(media="print")
            keep(page)
            page.emulate_media(media="screen")
    assert wrong == []


def test_a_sheet_is_reached_and_read_by_keyboard_alone(desk: Open) -> None:
    page = desk("maud")
    tab_to(page, "Sheets")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Calculation sheets")).to_be_visible()
    tab_to(page, "Find a sheet")
    page.keyboard.type("taper sleeve")
    page.keyboard.press("Enter")
    page.wait_for_url("**find=taper**")
    tab_to(page, "Driving a bearing up its taper")
    page.keyboard.press("Enter")
    expect(page.get_by_role("img", name="Drive-up on a tapered sleeve")).to_be_visible()
    tab_to(page, "Lock")
    page.keyboard.press("Enter")
    expect(page.get_by_role("table")).to_be_visible()


def look(page: Page, name: str, width: int) -> list[str]:
    """What axe finds wrong with a page, and whether it is wider than the screen."""
    keep(page, name)
    page.evaluate(AXE.read_text(encoding="utf-8"))
    said = page.evaluate(f"axe.run(document, {{runOnly: {RULES}, resultTypes: ['violations']}})")
    wrong = [
        f"{name}: {one['id']}: {[node['html'][:90] for node in one['nodes']][:2]}"
        for one in said["violations"]
    ]
    wide = page.evaluate("document.documentElement.scrollWidth")
    return wrong + ([f"{name}: {wide} px wide"] if wide > width else [])


@pytest.mark.skipif(not AXE.exists(), reason="needs axe-core: npm ci in tests/web")
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_administrator_invites_and_ends_a_sign_in(browser: Browser, tmp_path: Path, scheme: str) -> None:
    with RealServer(tmp_path) as real:
        for width in (1280, 390):
            context = browser.new_context(
                base_url=real.address, bypass_csp=True, color_scheme="dark" if scheme == "dark" else "light",
                viewport={"width": width, "height": 800},
            )  # fmt: skip
            page = context.new_page()
            page.goto("/desk/")
            wrong = look(page, "sign-in", width)
            page.get_by_label("Sign-in name").fill("ada")
            page.get_by_label("Password").fill(PASSWORD)
            page.get_by_role("button", name="Sign in").click()
            wrong += look(page, "an empty desk", width)
            page.get_by_role("link", name="People").click()
            page.get_by_label("Name", exact=False).fill("Pia Invented")
            page.get_by_role("button", name="Make an invitation").click()
            wrong += look(page, "people", width)
            link = page.locator("code.link").inner_text()
            page.get_by_role("link", name="Devices and sign-ins").click()
            wrong += look(page, "devices", width)
            before = page.get_by_role("button", name="sign-in of Lena Brandt").count()
            if width == 1280:
                page.get_by_role("button", name="sign-in of Lena Brandt").click()
                expect(page.get_by_role("status")).to_contain_text("That sign-in is ended.")
                assert before == 1
                assert real.lead.get("/api/me").status_code == 401
            page.get_by_role("button", name="Sign out").click()
            page.goto(link)
            expect(page.get_by_role("heading", name="Welcome, Pia Invented")).to_be_visible()
            wrong += look(page, "invitation", width)
            context.close()
            assert wrong == []


@pytest.mark.skipif(not AXE.exists(), reason="needs axe-core: npm ci in tests/web")
def test_the_first_administrator_comes_in_by_the_printed_code(browser: Browser, tmp_path: Path) -> None:
    with RealServer(tmp_path, people=False) as real:
        page = browser.new_context(base_url=real.address, bypass_csp=True, viewport={"width": 390, "height": 800}).new_page()
        page.goto("/desk/setup")
        wrong = look(page, "first start", 390)
        page.get_by_label("code", exact=False).first.fill(real.code())
        page.get_by_label("Your name").fill("Ada Invented")
        page.get_by_label("Sign-in name").fill("ada")
        for field in page.locator("[type=password]").all():
            field.fill(PASSWORD)
        page.locator("main form button").click()
        expect(page.get_by_role("heading", name="Today")).to_be_visible()
        assert wrong == []

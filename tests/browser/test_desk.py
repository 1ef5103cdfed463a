"""The desk in a real browser over the demo plant: the lead's and the planner's way, by keyboard too, axe on every page."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_kit import AXE, violations
from demo_server import DemoServer
from phone_kit import ARGS, CHROMIUM
from playwright.sync_api import Browser, Page, Playwright, expect
from real_server import PASSWORD, RealServer
from screens import DESK, keep

ANY = re.compile(".")
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


# Every page of the desk, and at which addresses each is looked at. JOB and the like are found on the pages themselves.
OF_LEAD = {
    "/desk/": [""],
    "/desk/jobs": ["", "?since=bad&text=zzzz"],
    "/desk/jobs/{job_id}": ["/desk/jobs/JOB"],
    "/desk/jobs/{job_id}/sign": ["/desk/jobs/JOB/sign"],
    "/desk/jobs/{job_id}/working": ["/desk/jobs/JOB/working"],
    "/desk/jobs/{job_id}/print": ["/desk/jobs/JOB/print"],
    "/desk/positions": [""],
    "/desk/positions/{position_id}": ["/desk/positions/POSITION"],
    "/desk/positions/import": [""],
    "/desk/labels": ["", "?position=POSITION"],
    "/desk/failures": [""],
    "/desk/failures/{failure_id}": ["/desk/failures/FAILURE"],
    "/desk/plant-values": [""],
    "/desk/plant-values/set": ["", "?sheet=set_screw_torque"],
    "/desk/calendar": [""],
    "/desk/read-in": [""],
    "/desk/sheets": ["", "?find=zzz"],
    "/desk/sheets/{name}": ["/desk/sheets/taper_seat", "/desk/sheets/method_choice"],
    "/desk/sheets/{name}/tables/{table}": ["/desk/sheets/shaft_fit/tables/iso286_shafts"],
    "/desk/me": [""],
}
OF_ADMINISTRATOR = {"/desk/setup", "/desk/sign-in", "/desk/people", "/desk/people/{person_id}", "/desk/devices", "/desk/invitation/{token}"}
REFUSED = ["/desk/nothing", "/desk/people"]


def test_no_page_of_the_desk_is_left_out() -> None:
    assert set(OF_LEAD) | OF_ADMINISTRATOR == set(DESK)  # which tests/app/test_screens.py compares with the routes


@pytest.mark.skipif(not AXE.exists(), reason="needs axe-core: npm ci in tests/web")
def test_every_page_is_accessible_and_fits(desk: Open) -> None:
    page = desk("maud", bypass_csp=True)
    found = {}
    for key, where, link in (
        ("JOB", "/desk/", "a[href$='/sign']"),
        ("FAILURE", "/desk/failures", "a[href^='/desk/failures/']"),
        ("POSITION", "/desk/positions", "section .lines a[href^='/desk/positions/']"),
    ):
        page.goto(where)
        found[key] = str(page.locator(link).first.get_attribute("href")).removesuffix("/sign").rsplit("/", 1)[-1]
    wrong = []
    for address in [way if way.startswith("/") else template + way for template, ways in OF_LEAD.items() for way in ways] + REFUSED:
        for key, real in found.items():
            address = address.replace(key, real)
        page.goto(address)
        wrong += look(page)
        if address.endswith("/print"):
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


def look(page: Page, heading: str | re.Pattern[str] = ANY) -> list[str]:
    """What axe finds wrong with the page of that heading, light and dark, on a wide screen and a phone's, and where it is too wide."""
    expect(page.get_by_role("heading", name=heading, level=1)).to_be_visible()
    before = page.viewport_size
    wrong = []
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        for width in (1280, 390):
            page.set_viewport_size({"width": width, "height": 800})
            name = f"{page.url.split('/', 3)[3]} {scheme} {width}"
            keep(page, page.url.partition("?")[2])
            # each colour and each width once through axe: what it measures of one does not hang on the other
            wrong += violations(page, name) if (scheme == "light") == (width == 1280) else []
            wide = page.evaluate("document.documentElement.scrollWidth")
            wrong += [f"{name}: {wide} px wide"] if wide > width else []
    if before:
        page.set_viewport_size(before)
    return wrong


@pytest.mark.skipif(not AXE.exists(), reason="needs axe-core: npm ci in tests/web")
def test_the_administrator_sets_up_invites_and_ends_a_sign_in(browser: Browser, tmp_path: Path) -> None:
    """From a server that nobody has set up, on a phone's screen."""
    with RealServer(tmp_path, bare=True) as real:
        context = browser.new_context(base_url=real.address, bypass_csp=True, viewport={"width": 390, "height": 800})
        page = context.new_page()
        page.goto("/desk/")
        wrong = look(page, "Set this server up")
        page.get_by_label("Setup code").fill(real.code())
        page.get_by_label("Your name").fill("Ada Admin")
        page.get_by_label("Sign-in name").fill("ada")
        for field in ("Password", "Password, again"):
            page.get_by_label(field, exact=True).fill(PASSWORD)
        page.get_by_role("button", name="Set up and sign in").click()
        wrong += look(page, "Today")
        real.people(administrator=False)
        page.get_by_role("link", name="People").click()
        page.get_by_label("Name", exact=False).fill("Pia Invented")
        page.get_by_role("button", name="Make an invitation").click()
        link = page.locator("code.link").inner_text()
        wrong += look(page, "People")
        page.locator(".card", has_text="Lena Brandt").get_by_role("link").click()
        wrong += look(page, "Sign-ins of Lena Brandt")
        page.goto("/desk/people")
        page.get_by_role("link", name="Devices and sign-ins").click()
        expect(page.get_by_role("button", name="sign-in of Lena Brandt")).to_have_count(1)
        wrong += look(page, "Devices")
        page.get_by_role("button", name="sign-in of Lena Brandt").click()
        expect(page.get_by_role("status")).to_contain_text("That sign-in is ended.")
        assert real.lead.get("/api/me").status_code == 401
        page.get_by_role("button", name="Sign out").click()
        wrong += look(page, "Sign in")
        page.goto(link)
        wrong += look(page, "Welcome, Pia Invented")
        context.close()
    assert wrong == []

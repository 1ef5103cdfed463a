"""Every procedure of ours from the empty form of a position to the lead's signature, on a phone-sized screen against the real server.

Described and started with network, walked and completed without, sent, signed at the desk by a lead who did no work on it;
then `shaftside verify` works the record out again and finds nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from phone_kit import ARGS, CHROMIUM, PhoneApp
from playwright.sync_api import Page, Playwright, expect
from real_server import PASSWORD, RealServer
from story_kit import answer
from walker import Walker, bundle_of

pytestmark = pytest.mark.slow

PROCEDURES = sorted(path.stem for path in (Path(__file__).resolve().parents[2] / "procedures" / "methods").glob("*.yaml"))
EVERY = {"housing": "pillow_block", "bearing_type": "insert_ball", "shaft_system": "metric", "rotation": "clockwise", "load": "normal"}
# What each method asks beyond that, and the end of the shaft: held in one work, free in the other, so that both are walked.
OF_METHOD: dict[str, dict[str, str]] = {
    "ring_set_screws": {"screw": "M8", "housing": "flange"},
    "set_screw_collar": {"screw": "M8"},
    "cam_collar": {"screw": "M8", "housing": "take_up"},
    "clamp_collar": {"cap_screw": "M8", "screws": "two"},
    "adapter_sleeve": {"bearing_type": "spherical_roller", "taper": "one_in_12", "clearance_class": "CN"},
    "pull_off_sleeve": {"bearing_type": "spherical_roller", "taper": "one_in_12", "clearance_class": "CN", "nut_kind": "held_nut", "split_housing": "yes"},
}
# What is still to be answered: a number's field, or the last choice, which is "no" of a question with yes and no.
OPEN_FACTS = """() => [...document.querySelectorAll('main .field')].filter((one) => !one.innerText.includes('(optional)')).flatMap((one) => {
    const all = [...one.querySelectorAll("input[id^='fact-']")];
    if (!all.length || all.some((each) => each.checked)) return [];
    return [[all.at(-1).id, all[0].hasAttribute('data-pad')]];
})"""
END = {"mount": "free", "remove": "fixed", "check": "fixed"}



@pytest.fixture(scope="module")
def phone(playwright: Playwright, tmp_path_factory: pytest.TempPathFactory, server: RealServer) -> Iterator[PhoneApp]:
    """One phone for all of them, as in a plant: Noor looks where a second person must, Mika works."""
    with PhoneApp(playwright, tmp_path_factory.mktemp("phone"), server.address, viewport={"width": 360, "height": 740}) as opened:
        opened.page.set_default_timeout(60_000)
        opened.wait_ready()
        opened.sign_in("noor", PASSWORD)
        opened.go("people")
        opened.page.fill("#login", "mika")
        opened.page.fill("#password", PASSWORD)
        opened.tap("form:has(#login) button.primary")
        opened.choose_pin()
        opened.page.wait_for_selector("text=Acting: Mika Aalto")
        yield opened
        assert opened.trouble == []


@pytest.fixture(scope="module")
def desk(playwright: Playwright, server: RealServer) -> Iterator[Page]:
    """The lead's browser, signed in."""
    browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGS)
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    page.goto(f"{server.address}/desk/sign-in")
    page.get_by_label("Sign-in name").fill("lena")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("heading", name="Today").wait_for()
    yield page
    browser.close()


def describe(phone: PhoneApp, name: str, facts: dict[str, str]) -> None:
    """The form of a position, as far as this method asks; a shaft of 50 mm, a sleeve's bore of 55, and no to every question with yes or no."""
    phone.go("new")
    phone.page.fill("#machine", "Exhaust fan 2")
    phone.page.fill("#name", name)
    for fact, word in facts.items():
        answer(phone, fact, word)
    for field, number in sorted(phone.page.evaluate(OPEN_FACTS), key=lambda one: bool(one[1])):  # the pad rises over choices
        if number:
            phone.page.fill(f"[id='{field}']", "55" if field == "fact-bore" else "50")
        else:
            phone.page.check(f"[id='{field}']")
    if phone.page.locator(".pad .finish").count():
        phone.page.click(".pad .finish")
    phone.tap(".foot button.primary")


def start(phone: PhoneApp, work: str) -> str:
    """Start it, past the cautions; the job's id."""
    phone.page.click(f".foot a[href$='/{work}'], main a[href$='/{work}']")
    phone.tap("text=I have read this")
    phone.page.wait_for_selector("#step-title")
    return phone.page.url.split("/job/")[1].split("/")[0]


def sign(desk: Page, server: RealServer, job: str) -> None:
    """The lead signs exactly what is on the page."""
    desk.goto(f"{server.address}/desk/jobs/{job}/sign")
    expect(desk.locator("main")).to_contain_text("No deviation, no reading outside its window, nothing in the way.")
    desk.get_by_label("This is what I mean by signing").check()
    desk.get_by_label("Your password, again").fill(PASSWORD)
    desk.get_by_role("button", name="Sign off exactly this record").click()
    expect(desk.get_by_role("status")).to_contain_text("Signed off, on exactly what you saw.")


@pytest.mark.parametrize("procedure", [pytest.param(one, marks=pytest.mark.xdist_group(one.rsplit("_", 1)[1])) for one in PROCEDURES])
def test_from_the_start_to_the_signature(phone: PhoneApp, server: RealServer, desk: Page, procedure: str) -> None:
    method, work = procedure.rsplit("_", 1)
    phone.offline(False)  # whatever became of the one before
    describe(phone, procedure.replace("_", " "), {"locking_method": method} | EVERY | OF_METHOD[method] | {"end": END[work]})
    job = start(phone, work)
    phone.offline()
    book, started = bundle_of(phone, job)
    walker = Walker(phone, book, started["facts"], procedure)
    walker.walk()
    mine = [event for event in phone.events() if event["record"] == job]
    assert phone.unsent() >= len(mine) - 1  # the start itself was sent

    phone.offline(False)
    phone.go("sending")
    phone.tap("text=Send now")
    expect(phone.page.locator("main")).to_contain_text("Everything on this phone has been sent.", timeout=30_000)
    told: dict[str, Any] = server.job(job)
    state = told["state"]
    assert (state["work"], state["procedure"]) == (work, procedure)
    assert (state["status"], told["blockers"]) == ("completed", [])
    assert state["count"] == len(mine)
    # every step that applies was met on the screen, in the bundle's order, and every sheet was judged
    assert walker.walked == [one for one in walker.steps if one in walker.walked]
    assert set(state["steps"]) <= set(walker.walked)
    assert {one["verdict"] for place in state["readings"].values() for one in place["all"]} <= {"inside", "none", "caution", None}

    sign(desk, server, job)
    assert server.job(job)["state"]["status"] == "signed"

"""A second person on the same phone with their own PIN, no network: wrong tries, the wait, a kill, the lock, the password."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from phone_kit import PIN, PhoneApp
from playwright.sync_api import Playwright, expect
from stand_in import STEPS, StandIn
from test_phone_access import look
from test_phone_life import make_job

NOORS = "314159"


@pytest.fixture
def server(web_copy: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[StandIn]:
    monkeypatch.setitem(STEPS[0], "hold", "second_person")
    with StandIn(web_copy) as started:
        yield started


@pytest.fixture
def phone(playwright: Playwright, tmp_path: Path, server: StandIn) -> Iterator[PhoneApp]:
    with PhoneApp(playwright, tmp_path / "phone", server.address, bypass_csp=True) as opened:
        opened.wait_ready()
        opened.page.fill("#login", "noor")
        opened.page.fill("#password", "a long password")
        opened.tap("form button.primary")
        opened.page.wait_for_selector("#again")
        for first, again, said in (("123456", "123456", "in a row"), ("777777", "777777", "all the same"), ("12345", "12345", "6 digits"), (NOORS, PIN, "differ")):
            opened.page.fill("#pin", first)
            opened.page.fill("#again", again)
            opened.tap("form button.primary")
            expect(opened.page.locator("[role=alert]")).to_contain_text(said)
        assert look(opened, "choose a PIN") == []
        opened.choose_pin(NOORS)
        opened.page.wait_for_selector("text=Acting: Noor")
        opened.go("people")
        opened.page.fill("#login", "mika")
        opened.page.fill("#password", "a long password")
        opened.tap("form:has(#login) button.primary")
        opened.choose_pin()
        opened.page.wait_for_selector("text=Acting: Mika")
        yield opened
        assert opened.trouble == []


def test_the_second_person_shows_their_pin(phone: PhoneApp, server: StandIn) -> None:
    make_job(phone)
    server.stop()
    phone.tap("text=Noting this afterwards")
    phone.tap("text=Done, next step")
    step = phone.page.url.rsplit("/", 1)[0] + "/lock"
    phone.page.goto(step)
    confirm = "I am Noor and I have checked it"
    expect(phone.page.locator("text=I am Mika")).to_have_count(0)
    expect(phone.page.locator("main")).to_contain_text("Done by Mika")
    expect(phone.page.locator("main .told", has_text="Done by Mika")).to_contain_text("noted afterwards")
    assert look(phone, "second person") == []
    phone.by_pin(confirm, PIN)  # Mika's PIN is not Noor's
    expect(phone.page.locator("[role=alert]")).to_contain_text("Tries left: 4")
    phone.kill()
    phone.open()
    phone.page.wait_for_selector("#step-title")
    for left in (3, 2, 1):  # the wait is over: the test sets the clock of the last try back, not the count
        phone.page.evaluate(AGED)
        phone.page.reload()
        phone.by_pin(confirm, "000001")
        expect(phone.page.locator("[role=alert]")).to_contain_text(f"Tries left: {left}")
        phone.page.fill("#pin", NOORS)
        phone.tap(f"form button.primary:has-text('{confirm}')")
        expect(phone.page.locator("[role=alert]")).to_contain_text("before the next try")
    phone.page.evaluate(AGED)
    phone.page.reload()
    phone.by_pin(confirm, "000001")
    expect(phone.page.locator("main")).to_contain_text("this PIN is locked")
    assert "step_confirmed" not in [one["kind"] for one in phone.events()]
    assert not [one for one in phone.events() if NOORS in str(one) or PIN in str(one)]

    server.start()
    phone.page.fill("#pin", "a long password")
    phone.tap(f"form button.primary:has-text('{confirm}')")
    expect(phone.page.locator("main")).to_contain_text("Checked by Noor, shown by their password.")
    confirmed = next(one for one in phone.events() if one["kind"] == "step_confirmed")
    assert (confirmed["actor"], confirmed["body"]["confirmed_by"]) == ("p-noor", "password")
    phone.go("")
    expect(phone.page.locator("text=Acting: Mika")).to_be_visible()


def test_a_pin_typed_at_once_stays(playwright: Playwright, tmp_path: Path, server: StandIn) -> None:
    """Signed in from the room of people, the address changes a moment after the fields are there: what is typed stays."""
    with PhoneApp(playwright, tmp_path / "phone", server.address) as opened:
        opened.sign_in("noor", "a long password")
        opened.go("people")
        opened.page.fill("#login", "mika")
        opened.page.fill("#password", "a long password")
        opened.page.evaluate(TYPED_AT_ONCE, PIN)
        opened.tap("form:has(#login) button.primary")
        opened.page.wait_for_url("**/#/")
        assert [opened.page.input_value(field) for field in ("#pin", "#again")] == [PIN, PIN]
        opened.tap("form button.primary")
        opened.page.wait_for_selector("text=Acting: Mika")


def test_idle_it_asks_for_the_pin_and_returns_to_the_step(phone: PhoneApp, server: StandIn) -> None:
    make_job(phone)
    phone.page.goto(phone.page.url.rsplit("/", 1)[0] + "/note")
    phone.page.locator(".reading textarea").press_sequentially("Shaft sc")
    server.stop()
    phone.wait_kept("Shaft sc")
    phone.page.evaluate(IDLE)
    phone.page.reload()
    expect(phone.page.locator("main")).to_contain_text("The phone lay idle")
    assert look(phone, "idle") == []
    assert phone.page.locator(".reading").count() == 0
    phone.page.fill("#pin", PIN)
    phone.tap("form button.primary:has-text('Act as Mika')")
    expect(phone.page.locator(".reading textarea")).to_have_value("Shaft sc")
    server.start()


TYPED_AT_ONCE = """(pin) => new MutationObserver((_, watching) => {
    if (!document.getElementById("again")) return;
    watching.disconnect();
    for (const id of ["pin", "again"]) {
        const field = document.getElementById(id);
        field.value = pin;
        field.dispatchEvent(new Event("input", { bubbles: true }));
    }
}).observe(document.body, { childList: true, subtree: true })"""
CHANGE = """(how) => new Promise((resolve, reject) => {
    const opening = indexedDB.open("shaftside");
    opening.onsuccess = () => {
        const meta = opening.result.transaction("meta", "readwrite").objectStore("meta");
        const asked = meta.get(how.key);
        asked.onsuccess = () => {
            const row = asked.result;
            if (how.key === "people") row.value = row.value.map((one) => one.tries ? {...one, tries: {...one.tries, last: 0}} : one);
            else row.value = 0;
            meta.put(row).onsuccess = () => { opening.result.close(); resolve(); };
        };
    };
})"""
AGED = f"() => ({CHANGE})({{key: 'people'}})"
IDLE = f"() => ({CHANGE})({{key: 'touched'}})"

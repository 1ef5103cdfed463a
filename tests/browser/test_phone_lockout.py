"""The board of energy on a phone-sized screen: what is there gets its row, a proof waits for what it stands on, a shift changes
hands lock by lock and the one who comes proves zero energy and ends the job, who is in charge goes last, and two owners take two locks off with nobody proving zero energy in between."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from phone_kit import PhoneApp
from playwright.sync_api import Locator, Playwright, expect
from real_server import PASSWORD, RealServer
from story_kit import end_row, fill_row, make_position, walk

pytestmark = pytest.mark.slow
SHOTS = os.environ.get("SHAFTSIDE_LOOK")


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RealServer]:
    with RealServer(tmp_path_factory.mktemp("server")) as started:
        yield started


@pytest.fixture(scope="module")
def phone(playwright: Playwright, tmp_path_factory: pytest.TempPathFactory, server: RealServer) -> Iterator[PhoneApp]:
    with PhoneApp(playwright, tmp_path_factory.mktemp("phone"), server.address, viewport={"width": 360, "height": 740}) as opened:
        opened.page.set_default_timeout(60_000)
        opened.page.wait_for_selector("#ready")
        opened.sign_in("noor", PASSWORD)  # the next shift, on the same phone
        opened.go("people")
        opened.page.fill("#login", "mika")
        opened.page.fill("#password", PASSWORD)
        opened.tap("form:has(#login) button.primary")
        opened.choose_pin()
        opened.page.wait_for_selector("text=Acting: Mika Aalto")
        yield opened
        assert opened.trouble == []


def look(phone: PhoneApp, name: str) -> None:
    if SHOTS:
        phone.page.screenshot(path=Path(SHOTS) / f"{name}.png", full_page=True)


def at(phone: PhoneApp, step: str) -> None:
    phone.page.wait_for_url(f"**/step/{step}")


def rows(phone: PhoneApp, name: str) -> list[dict[str, Any]]:
    return [event["body"] for event in phone.events() if event["kind"] == "row_added" and event["body"]["list"] == name]


def box(phone: PhoneApp, name: str) -> Locator:
    """The last row of that name on the group box."""
    return phone.page.locator("main section", has_text="who has a lock on the group box").locator(".card.board", has=phone.page.locator("b", has_text=name)).last


def said(phone: PhoneApp, kind: str) -> int:
    return sum(1 for event in phone.events() if event["kind"] == kind)


def test_the_control_of_energy(phone: PhoneApp) -> None:
    page = phone.page
    make_position(phone)
    page.click("text=Start mounting")
    phone.press("text=I have read this")
    page.wait_for_selector("#step-title")
    job = page.url.split("/job/")[1].split("/")[0]

    # one tap on "It is there" opens the row of that kind, and nothing is recorded before it has its row
    walk(phone, until="list_energy")
    page.locator(".field:has(input[name=f-pressure-pressure]) label", has_text="It is there").click()
    expect(page.locator("#r-source-what")).to_be_visible()
    assert page.locator("[id^=r-source-type]").count() == 0, "the kind is chosen by the tap"
    expect(page.locator(".foot .primary")).to_have_text("Record this row")
    page.locator("#r-source-what").scroll_into_view_if_needed()
    look(phone, "1-there")
    page.fill("#r-source-what", "Lifting cylinder, 60 bar")
    page.fill("#r-source-where", "Valve V4")
    phone.press()
    expect(page.locator("main li.card, main .card.board").first).to_contain_text("Lifting cylinder")
    assert [one["fields"]["type"] for one in rows(phone, "source")] == [{"word": "pressure"}]

    # a source's own place stands in the lock's row; two owners lock the motor
    walk(phone, until="lock_and_tag")
    for owner in ("Mika Aalto", "Sami Kuusi"):
        if page.locator("main button.second", has_text="Add a lock").count():
            phone.press("main button.second:has-text('Add a lock')")
        fill_row(phone)
        page.fill("#r-lock-owner", owner)
        assert "Valve V4" in page.input_value("#r-lock-point")
        look(phone, "2-lock")
        phone.press()
        page.wait_for_function("() => !document.querySelector('#r-lock-owner')")
    assert [one["fields"]["owner"]["text"] for one in rows(phone, "lock")] == ["Mika Aalto", "Sami Kuusi"]

    # voltage straight after the try-start, only for what is electric
    walk(phone, until="test_voltage")
    assert page.locator("main fieldset input[type=checkbox]").count() == 1
    look(phone, "3-voltage")
    walk(phone, until="support_shaft")
    hows = page.locator("[id^=r-hold-how] + span").all_inner_texts()
    assert hows == ["Blocked", "Lowered or landed", "Shaft supported"]
    look(phone, "4-support")

    # the proof shows the tests and the try-start and asks for neither again
    walk(phone, until="prove_zero")
    expect(page.locator("main")).to_contain_text("Try-start:")
    assert page.locator("#proof-tried").count() == 0
    look(phone, "5-proof")
    phone.press()
    page.wait_for_function("() => !location.hash.endsWith('prove_zero')")
    assert said(phone, "zero_energy_proved") == 1

    # two on the group box: Mika in charge, Sami at the machine
    phone.go(f"job/{job}/energy")
    for name, part in (("Mika Aalto", "in_charge"), ("Sami Kuusi", "member")):
        phone.press("main button:has-text('Somebody puts a lock on the group box')")
        page.fill("#r-member-name", name)
        page.fill("#r-member-lock", "B1")
        page.locator("main .choices label", has_text="In charge of this group" if part == "in_charge" else "Works at the machine").click()
        phone.press()
        page.wait_for_function("() => !document.querySelector('#r-member-name')")
    expect(box(phone, "Mika Aalto")).to_contain_text("still on comes off first")
    assert box(phone, "Mika Aalto").locator("button", has_text="Take this lock off").count() == 0
    assert box(phone, "Sami Kuusi").locator("button", has_text="Take this lock off").count() == 1
    look(phone, "5b-box")

    # a shift change: the comer's lock becomes a row, the goer's is asked for at once, and the proof waits for new tests
    phone.go(f"job/{job}/energy")
    phone.press("main button:has-text('Hand the work over')")
    for tick in page.locator("main fieldset label.tick", has_text="Mika Aalto").all():
        tick.click()
    assert page.input_value("#r-handover-from") == "Mika Aalto"
    page.fill("#r-handover-to", "Noor Haddad")
    page.fill("#r-handover-incoming_lock", "77, B7")
    page.fill("#r-handover-read_back", "Housing open, shaft on stands")
    look(phone, "6-handover")
    phone.press()
    page.wait_for_selector("input[name=by-owner]")
    look(phone, "7-goer")
    noor = rows(phone, "lock")[-1]
    assert (noor["fields"]["owner"]["text"], noor["fields"]["lock"]["text"]) == ("Noor Haddad", "77")
    assert noor["of"] == rows(phone, "lock")[0]["of"]
    assert [one["fields"]["part"]["word"] for one in rows(phone, "member")] == ["in_charge", "member", "in_charge"]
    # Mika's on the machine, then on the group box, where Noor is in charge now: one form after the other
    end_row(phone)
    phone.tap(".foot .primary")
    expect(page.locator("main .card.board.over")).to_have_count(1)
    end_row(phone)
    phone.tap(".foot .primary")
    at(phone, "prove_zero")
    expect(page.locator("main .told.care").first).to_contain_text("Not tested")
    assert page.locator("#proof-how").count() == 0
    look(phone, "8-not-yet")
    fill_row(phone)
    phone.press()
    # tested, and still not Mika's to prove: who comes does
    expect(page.locator("main .told.care", has_text="Noor Haddad takes over and proves zero energy.")).to_be_visible()
    assert page.locator("#proof-tried").count() == 0
    look(phone, "8b-comer")
    page.click(".foot a:has-text('Act as Noor Haddad')")
    phone.by_pin("Act as Noor Haddad")
    phone.go(f"job/{job}/step/prove_zero")
    page.wait_for_selector("#proof-tried")
    page.fill("#proof-tried", "Start pressed again by Noor: nothing moved.")
    look(phone, "9-again")
    phone.press()
    page.wait_for_function("() => !location.hash.endsWith('prove_zero')")
    assert said(phone, "zero_energy_proved") == 2

    # the group box is opened by everyone, Noor last
    walk(phone, until="locks_off")
    phone.go(f"job/{job}/energy")
    expect(box(phone, "Noor Haddad")).to_contain_text("still on comes off first")
    for name in ("Sami Kuusi", "Noor Haddad"):
        box(phone, name).locator("button", has_text="Take this lock off").click()
        page.wait_for_selector("input[name=by-owner]")
        end_row(phone)
        phone.press()
        page.wait_for_function("() => !document.querySelector('input[name=by-owner]')")
    phone.go(f"job/{job}/step/locks_off")

    # each owner takes a lock off, one by one, and no third proof is asked for
    walk(phone, until="locks_off")
    off = ".card.board .words .word:has-text('Take this')"
    assert page.locator(off).count() == 2
    for left in (1, 0):
        phone.press(f"{off} >> nth=0")
        page.wait_for_selector("input[name=by-owner]")
        end_row(phone)
        phone.press()
        page.wait_for_function("(left) => document.querySelectorAll('.card.board .words .word[aria-expanded]').length === left && !document.querySelector('input[name=by-owner]')", arg=left)
        at(phone, "locks_off")
        assert page.locator("text=Closed for now").count() == 0
        if left:
            look(phone, "10-one-off")
            phone.go(f"job/{job}")
            expect(page.locator("main")).to_contain_text("Locks are coming off")
            phone.go(f"job/{job}/step/locks_off")
    walk(phone)
    expect(page.locator("main")).to_contain_text("Locks are off. The machine runs.")
    look(phone, "11-runs")
    assert said(phone, "zero_energy_proved") == 2

    # and the job has gone to its end in Noor's hands
    last = next(event for event in phone.events() if event["kind"] == "job_completed")
    assert last["record"] == job
    proofs = [event["actor"] for event in phone.events() if event["kind"] == "zero_energy_proved"]
    assert proofs[0] != proofs[1] == last["actor"] == rows(phone, "handover")[-1]["comer"]

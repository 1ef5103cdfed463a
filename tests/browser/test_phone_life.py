"""The app's life on a phone: ready offline, killed, updated. Against a stand-in that serves a folder."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from phone_kit import PhoneApp
from playwright.sync_api import Playwright, expect
from stand_in import StandIn


@pytest.fixture
def server(web_copy: Path) -> Iterator[StandIn]:
    with StandIn(web_copy) as started:
        yield started


@pytest.fixture
def phone(playwright: Playwright, tmp_path: Path, server: StandIn) -> Iterator[PhoneApp]:
    with PhoneApp(playwright, tmp_path / "phone", server.address) as opened:
        opened.wait_ready()
        opened.sign_in("mika", "a long password")
        yield opened
        assert opened.trouble == []


def make_job(phone: PhoneApp) -> None:
    """A position and a job on it, at its first step."""
    phone.go("new")
    phone.page.fill("#machine", "Exhaust fan 2")
    phone.page.fill("#name", "drive end")
    phone.page.click("text=Set screws")
    phone.tap(".foot button.primary")
    phone.page.click("text=Start mounting")
    phone.tap("text=I have read this")
    phone.page.wait_for_selector("#step-title")


def test_ready_offline_is_true(phone: PhoneApp, server: StandIn) -> None:
    """What it says is so: with nothing listening any more, the app starts cold and opens every room."""
    server.stop()
    phone.close()
    phone.open()
    expect(phone.page.locator("text=Acting: Mika")).to_be_visible()
    expect(phone.page.locator("#ready")).to_be_visible()
    for room in ("guide", "positions", "settings", "sending", "people"):
        phone.go(room)
        expect(phone.page.locator("h1")).to_be_visible()
    server.start()


def test_not_ready_is_said_when_an_asset_fails(
    playwright: Playwright, tmp_path: Path, web_copy: Path
) -> None:
    """An asset that is not the text the version names stops the install, and nobody is told 'ready'."""

    class Lying(StandIn):
        def assets(self) -> list[dict[str, str]]:
            listed = super().assets()
            listed[-1]["hash"] = "0" * 64
            return listed

    with Lying(web_copy) as server, PhoneApp(playwright, tmp_path / "phone", server.address) as phone:
        phone.page.wait_for_selector("#login")
        phone.page.wait_for_timeout(3000)
        assert "/phone/sw.js" in server.asked  # the install had its try
        assert phone.page.locator("#ready").count() == 0


def test_killed_while_typing_returns_to_the_step(phone: PhoneApp, server: StandIn) -> None:
    """No network, SIGKILL in the middle of a word: the same step, the same letters, the same unsent count."""
    make_job(phone)
    server.stop()
    phone.tap("text=Done, next step")
    phone.page.wait_for_selector("text=Write down what you see.")
    before = phone.events()
    unsent = phone.unsent()
    phone.page.locator(".reading textarea").press_sequentially("Shaft sc")
    phone.wait_kept("Shaft sc")
    phone.kill()
    phone.open()
    expect(phone.page.locator("#step-title")).to_have_text("Write down what you see.")
    expect(phone.page.locator(".reading textarea")).to_have_value("Shaft sc")
    assert phone.events() == before
    assert phone.unsent() == unsent > 0
    server.start()
    phone.go("sending")
    phone.page.click("text=Send now")
    expect(phone.page.locator(".unsent")).to_have_text("all sent")
    sent = {event["id"] for event in server.events}
    assert sent == {event["id"] for event in before}


def test_new_version_waits_while_a_job_is_open(phone: PhoneApp, server: StandIn) -> None:
    """The old app goes on, in full, until the job is left and a person says so; then the new one starts with all data."""
    make_job(phone)
    first = phone.page.evaluate("async () => (await caches.keys())")
    sentences = server.folder / "text" / "en.js"
    sentences.write_text(
        sentences.read_text(encoding="utf-8").replace('"Quick guide"', '"Quick guide, newer"'),
        encoding="utf-8",
    )
    phone.page.evaluate("async () => { await (await navigator.serviceWorker.getRegistration()).update(); }")
    phone.page.wait_for_function(
        "async () => Boolean((await navigator.serviceWorker.getRegistration()).waiting)"
    )
    phone.page.reload()
    expect(phone.page.locator("#step-title")).to_be_visible()
    phone.go("")
    expect(phone.page.locator("text=A newer version of the app is here")).to_be_visible()
    expect(phone.page.locator("nav >> text=Quick guide")).to_have_text("Quick guide")
    other = phone.context.new_page()
    other.goto(phone.page.url)
    other.click("a.card")
    other.wait_for_selector("text=All steps")
    phone.page.click("text=Start the newer version")
    expect(phone.page.locator("text=A job is open on this phone")).to_be_visible()
    other.close()
    phone.page.click("text=Understood")
    phone.page.click("text=Start the newer version")
    expect(phone.page.locator("nav >> text=Quick guide, newer")).to_be_visible()
    assert phone.page.locator("a.card").count() == 1
    after = phone.page.evaluate("async () => (await caches.keys())")
    assert len(after) == 1
    assert after != first


def test_other_caches_of_the_origin_are_left_alone(phone: PhoneApp, server: StandIn) -> None:
    """Only caches named as ours go when a version goes."""
    phone.page.evaluate("async () => { await caches.open('somebody-else'); }")
    script = server.folder / "units.js"
    script.write_text(script.read_text(encoding="utf-8") + "// newer\n", encoding="utf-8")
    phone.page.evaluate("async () => { await (await navigator.serviceWorker.getRegistration()).update(); }")
    phone.page.wait_for_function(
        "async () => Boolean((await navigator.serviceWorker.getRegistration()).waiting)"
    )
    phone.go("settings")
    phone.go("")
    phone.page.click("text=Start the newer version")
    # asked again until it holds: the page starts anew while the old version's cache goes
    phone.page.wait_for_function(
        "async () => { const held = await caches.keys(); return held.length === 2 && held.includes('somebody-else'); }"
    )


def test_sign_out_is_refused_with_unsent(phone: PhoneApp, server: StandIn) -> None:
    """Nobody leaves a phone that still holds what was not sent."""
    server.stop()
    make_job(phone)
    phone.go("people")
    phone.page.click("text=Sign out of this phone")
    expect(phone.page.locator("[role=alert]")).to_contain_text("not yet sent")
    server.start()


def test_unsent_can_be_saved_as_a_file(phone: PhoneApp, server: StandIn) -> None:
    """The file holds the very events, in order."""
    server.stop()
    make_job(phone)
    phone.go("sending")
    with phone.page.expect_download() as waiting:
        phone.page.click("text=Save the unsent as a file")
    saved = json.loads(Path(waiting.value.path()).read_text(encoding="utf-8"))
    assert saved["events"]
    assert [one["event"] for one in saved["events"]] == phone.events()
    server.start()


def test_a_second_tap_does_not_act_on_the_next_screen(phone: PhoneApp) -> None:
    """Two taps in a quarter of a second do one step, not two."""
    make_job(phone)
    phone.settle()
    box = phone.page.locator(".foot .primary").bounding_box()
    assert box is not None
    for _ in range(2):
        phone.page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        phone.page.wait_for_timeout(120)
    expect(phone.page.locator("#step-title")).to_have_text("Write down what you see.")
    expect(phone.page.locator(".wrong")).to_have_count(0)  # nor did the second press what came under the finger
    kinds = [event["kind"] for event in phone.events()]
    assert kinds.count("step_done") == 1


def test_later_work_is_said_to_be_done_or_started_as_its_own_job(phone: PhoneApp) -> None:
    """From a completed job: one look recorded with its note, the other begun as a job that is made safe anew."""
    make_job(phone)
    job = phone.page.url.split("/job/")[1].split("/")[0]
    phone.tap("text=Done, next step")
    phone.page.fill(".reading textarea", "All well.")
    phone.press()
    phone.go(f"job/{job}")
    phone.tap("text=Complete the job")
    looks = phone.page.locator("section.told > div")
    expect(looks).to_have_count(2)
    looks.first.get_by_text("Record as done").click()
    phone.page.click("text=Save as done")
    expect(phone.page.locator("[role=alert]")).to_have_text("Write a few words first.")
    assert "follow_up_done" not in [event["kind"] for event in phone.events()]
    phone.page.fill("#panel-text", "Tab bent in, line unbroken.")
    phone.page.click("text=Save as done")
    expect(looks.first).to_contain_text("Done, Mika")
    expect(looks.first).to_contain_text("Tab bent in, line unbroken.")
    assert looks.first.get_by_text("Record as done").count() == 0
    last = phone.events()[-1]
    assert (last["kind"], last["record"]) == ("follow_up_done", job)
    assert last["body"] == {"follow_up": "look_24", "note": "Tab bent in, line unbroken.", "lang": "en"}

    phone.go("positions")
    phone.page.click("a.card")
    phone.page.click("text=Later work is due here")
    looks.last.get_by_text("Start as a job of its own").click()
    phone.tap("text=I have read this")
    expect(phone.page.locator("#step-title")).to_have_text("Lock every isolator.")
    began = phone.events()[-1]
    assert (began["kind"], began["body"]["parent_job"], began["body"]["follow_up"]) == ("job_started", job, "look_168")
    assert began["record"] != job
    own = began["record"]
    phone.go("")
    phone.page.click("text=Due later: 1")
    card = phone.page.locator("details[open] a.card")
    expect(card).to_contain_text("Being done in a job of its own, begun")
    assert str(card.get_attribute("href")).endswith(f"job/{own}")
    phone.go(f"job/{own}")
    expect(phone.page.locator("main")).to_contain_text("Look at the lock, 168")
    phone.page.click("text=The job before this one")
    expect(looks).to_have_count(2)
    expect(looks.last).to_contain_text("Being done in a job of its own, begun")
    assert looks.last.get_by_text("Start as a job of its own").count() == 0
    expect(looks.last.get_by_text("Record as done")).to_be_visible()

    phone.go(f"job/{own}/step/lock")
    phone.tap("text=Done, next step")
    phone.page.fill(".reading textarea", "In line.")
    phone.press()
    phone.go(f"job/{own}")
    phone.tap("text=Complete the job")
    phone.go(f"job/{job}")
    expect(looks.last).to_contain_text("Done in a job of its own,")
    assert looks.last.get_by_text("Record as done").count() == 0
    looks.last.get_by_text("Done in a job of its own").click()
    expect(phone.page.locator("main")).to_contain_text("The job before this one")
    phone.page.reload()
    phone.go("")
    expect(phone.page.locator("main")).not_to_contain_text("Being done in a job of its own")


def test_a_job_begun_at_the_position_says_which_later_work_it_does(phone: PhoneApp) -> None:
    """The start offers what is open there and takes none of it by itself; what is chosen stands in the start and is closed by it."""

    def finish() -> str:
        job = phone.page.url.split("/job/")[1].split("/")[0]
        phone.tap("text=Done, next step")
        phone.page.fill(".reading textarea", "All well.")
        phone.press()
        phone.go(f"job/{job}")
        phone.tap("text=Complete the job")
        return str(job)

    def begin(choose: str | None) -> dict[str, str]:
        phone.go("positions")
        phone.page.click("a.card")
        phone.page.click("text=Start mounting")
        expect(offered).to_be_visible()
        if choose:
            offered.locator("a", has_text=choose).first.click()
            expect(offered).to_have_count(0)
            expect(phone.page.locator("main .strong").first).to_contain_text(choose)
        phone.tap("text=I have read this")
        phone.page.wait_for_selector("#step-title")
        return dict(phone.events()[-1]["body"])

    offered = phone.page.locator("section.told", has_text="Is this job for one of these")
    make_job(phone)
    job = finish()
    assert "follow_up" not in begin(None)
    finish()
    phone.go(f"job/{job}")
    expect(phone.page.locator("main")).not_to_contain_text("Done in a job of its own")

    began = begin("Look at the lock, 168")
    assert began["follow_up"] == "look_168"
    parent = began["parent_job"]
    finish()
    phone.go(f"job/{parent}")
    looks = phone.page.locator("section.told > div")
    expect(looks.last).to_contain_text("Done in a job of its own,")
    expect(looks.first).to_contain_text("Record as done")

"""What the server answers to a phone: refused and claimed entries with what to do, in the person's own language; a server that
dies in the middle of an exchange, at any moment of it, loses nothing and doubles nothing."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
import stand_in
from phone_kit import PhoneApp
from playwright.sync_api import Playwright, Route, expect
from real_server import PASSWORD, RealServer
from stand_in import StandIn
from story_kit import make_position
from test_phone_acts import panel
from test_phone_life import make_job

pytestmark = pytest.mark.slow
REASON = "This step was already closed."
# By language: two entries, one entry, the word of a refusal, the button.
SAID = {
    "es": ("aceptar sin más 2 anotaciones.", "aceptar sin más 1 anotación.", "Rechazada", "Entendido"),
    "de": ("konnte 2 Einträge nicht", "konnte 1 Eintrag nicht", "Abgelehnt", "Verstanden"),
}


@pytest.fixture
def answering(web_copy: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[StandIn]:
    """A server that takes a job's start only as claimed, and refuses a step that is done."""
    monkeypatch.setitem(stand_in.BUNDLE, "languages", ["en", *SAID])
    with StandIn(web_copy) as started:
        started.outcomes = {
            "job_started": {"outcome": "claimed"},
            "step_done": {"outcome": "refused", "code": "step_closed", "reason": REASON},
        }
        yield started


def speak(phone: PhoneApp, lang: str) -> None:
    """Choose the phone's language."""
    phone.go("settings")
    phone.page.locator(f"label:has(span[lang={lang}]) input").check()
    expect(phone.page.locator("html")).to_have_attribute("lang", lang)


def test_what_was_refused_or_claimed_is_said_until_it_is_understood(playwright: Playwright, tmp_path: Path, answering: StandIn) -> None:
    with PhoneApp(playwright, tmp_path / "phone", answering.address) as phone:
        phone.wait_ready()
        phone.sign_in("mika", "a long password")
        make_job(phone)
        phone.tap("text=Done, next step")
        phone.page.wait_for_selector("text=Write down what you see.")
        phone.go("sending")
        phone.tap("text=Send now")
        main = phone.page.locator("main")
        expect(phone.page.locator(".unsent")).to_have_text("all sent")
        refused = main.locator("li.card", has_text="Refused")
        expect(refused).to_contain_text("Step done")
        expect(refused).to_contain_text(REASON)
        expect(refused).to_contain_text("is kept as it was, but has no effect")
        claimed = main.locator("li.card", has_text="Kept as claimed")
        expect(claimed).to_contain_text("Job started")
        expect(claimed).to_contain_text("They sign in here, or say on the desk that the entry is theirs.")

        # how many, in words that agree with the number, in either language
        said = main.locator(".told.care", has=phone.page.locator("a[href='#/sending']"))
        phone.go("")
        expect(said).to_contain_text("take 2 entries.")
        speak(phone, "de")
        phone.go("")
        expect(said).to_contain_text(SAID["de"][0])
        two, one, refusal, button = SAID["es"]
        speak(phone, "es")
        phone.go("")
        expect(said).to_contain_text(two)
        phone.go("sending")
        phone.tap(f"li.card:has-text('{refusal}') button:has-text('{button}')")
        expect(main.locator("li.card", has_text=refusal)).to_have_count(0)
        phone.go("")
        expect(said).to_contain_text(one)
        phone.page.reload()  # what was understood does not come back, what was not stays
        expect(said).to_contain_text(one)
        _, one, _, button = SAID["de"]
        speak(phone, "de")
        phone.go("")
        expect(said).to_contain_text(one)
        phone.go("sending")
        phone.tap(f"li.card button:has-text('{button}')")
        phone.go("")
        expect(said).to_have_count(0)
        assert {event["kind"] for event in phone.events()} >= {"job_started", "step_done"}  # both stay in the record
        assert phone.trouble == []


def dies(server: RealServer, moment: float | None, sent: threading.Event) -> Callable[[Route], None]:
    """What becomes of the next exchange. moment: seconds from its start to the kill; None: it is answered, and the answer lost."""

    def handle(route: Route) -> None:
        if sent.is_set():
            route.abort()
            return
        sent.set()
        if moment is None:
            assert route.fetch().ok
            server.stop()
            route.abort()
            return
        threading.Timer(moment, server.stop).start()
        route.continue_()

    return handle


def test_a_server_killed_in_the_middle_of_an_exchange_loses_and_doubles_nothing(
    playwright: Playwright, tmp_path: Path, server: RealServer
) -> None:
    """SIGKILL before the entries arrive, while they are written, and when they are written and the answer is lost."""
    with PhoneApp(playwright, tmp_path / "phone", server.address) as phone:
        phone.wait_ready()
        phone.sign_in("mika", PASSWORD)
        make_position(phone)
        phone.page.click("text=Start mounting")
        phone.tap("text=I have read this")
        phone.page.wait_for_selector("#step-title")
        step = phone.page.url.split("#/", 1)[1]
        job = step.split("/")[1]
        moments: list[float | None] = [None, 0.0, 0.01, 0.05]
        for moment in moments:
            sent = threading.Event()

            phone.offline()
            phone.go(step)
            panel(phone, "Note", f"Seen {moment}", "Save the note")
            assert phone.unsent() > 0
            phone.context.route("**/api/sync", dies(server, moment, sent))
            phone.offline(False)
            phone.go("sending")
            phone.tap("text=Send now")
            for _ in range(100):
                if sent.is_set() and server.process is None:
                    break
                phone.page.wait_for_timeout(100)
            assert sent.is_set()
            assert server.process is None
            phone.context.unroute("**/api/sync")
            server.up()
        phone.go("sending")
        phone.tap("text=Send now")
        expect(phone.page.locator(".unsent")).to_have_text("all sent", timeout=30_000)
        mine = {event["id"]: event for event in phone.written() if event["record"] == job}
        assert len([one for one in mine.values() if one["kind"] == "note_added"]) == len(moments)
        answer = server.lead.get(f"/api/records/{job}/events").json()
        kept = [one["event"] for one in (answer if isinstance(answer, list) else answer["events"])]
        assert len(kept) == len(mine) == server.job(job)["state"]["count"]
        assert {one["id"]: one for one in kept} == mine
        phone.page.reload()
        expect(phone.page.locator(".unsent")).to_have_text("all sent")
        assert phone.trouble == []

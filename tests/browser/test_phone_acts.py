"""What a person does beside the straight way, on a phone-sized screen against the real server: photo, not applicable, deviation,
what the server would not take, the left hand, two phones on one job, and a new handbook in the middle of a job."""

from __future__ import annotations

import hashlib
import io
import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from phone_kit import META, PhoneApp
from PIL import Image
from playwright.sync_api import Playwright, expect
from real_server import PASSWORD, RealServer
from screens import keep
from story_kit import make_position

pytestmark = pytest.mark.slow
ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RealServer]:
    """One server, on a copy of the content that a test may change."""
    folder = tmp_path_factory.mktemp("server")
    content = folder / "content"
    for part in ("web", "procedures", "demo_data"):
        shutil.copytree(ROOT / part, content / part)
    before = os.environ.get("SHAFTSIDE_CONTENT")
    os.environ["SHAFTSIDE_CONTENT"] = str(content)
    try:
        with RealServer(folder) as started:
            yield started
    finally:
        if before is None:
            del os.environ["SHAFTSIDE_CONTENT"]
        else:
            os.environ["SHAFTSIDE_CONTENT"] = before


@pytest.fixture(scope="module")
def phone(
    playwright: Playwright, tmp_path_factory: pytest.TempPathFactory, server: RealServer
) -> Iterator[PhoneApp]:
    with PhoneApp(playwright, tmp_path_factory.mktemp("phone"), server.address) as opened:
        opened.wait_ready()
        opened.sign_in("mika", PASSWORD)
        yield opened
        assert opened.trouble == []


@pytest.fixture(scope="module")
def job(phone: PhoneApp) -> str:
    """An open job, its first steps not yet done."""
    make_position(phone)
    return start(phone)


def start(phone: PhoneApp) -> str:
    """Start mounting at the position on the screen."""
    phone.page.get_by_text("Start mounting").click()
    phone.tap("text=I have read this")
    phone.page.wait_for_selector("#step-title")
    return str(phone.page.url.split("/job/")[1].split("/")[0])


def steps(server: RealServer, allowed: str) -> list[dict[str, Any]]:
    """The make-safe steps that may be marked not applicable as `allowed` says, from the handbook."""
    handbook = server.lead.get("/api/handbook").json()["procedures"]
    return [
        one
        for one in handbook["ring_set_screws_mount"]["steps"]
        if one["phase"] == "make_safe" and one.get("not_applicable") == allowed
    ]


def send(phone: PhoneApp) -> None:
    """Send by hand, and wait until everything is sent and received."""
    phone.go("sending")
    phone.tap("text=Send now")
    expect(phone.page.get_by_role("button", name="Send now")).to_be_enabled(timeout=20_000)
    expect(phone.page.locator(".unsent")).to_have_text("all sent", timeout=20_000)


def panel(phone: PhoneApp, word: str, text: str, save: str) -> None:
    """Open one of the words under a step, write, save."""
    phone.settle()
    phone.page.get_by_role("button", name=word, exact=True).click()
    phone.page.locator("#panel-text").fill(text)
    phone.tap(f"text={save}")
    expect(phone.page.locator("#panel-text")).to_have_count(0)


def of_kind(phone: PhoneApp, job: str, kind: str) -> list[dict[str, Any]]:
    """Events of a job on this phone."""
    return [event for event in phone.events() if event["record"] == job and event["kind"] == kind]


def test_a_photo_on_a_step_reaches_the_server_by_its_hash(
    phone: PhoneApp, server: RealServer, job: str
) -> None:
    """Taken without network it is seen under its step at once; sent, the server has it under the hash in the record."""
    picture = io.BytesIO()
    Image.effect_noise((640, 480), 80).save(picture, "PNG")
    phone.offline()
    phone.settle()
    phone.page.set_input_files(
        "#camera", {"name": "lock.png", "mimeType": "image/png", "buffer": picture.getvalue()}
    )
    thumb = phone.page.locator(".thumbs img")
    expect(thumb).to_have_count(1)
    expect(thumb).to_have_js_property("complete", True)
    assert thumb.evaluate("(image) => image.naturalWidth") > 0
    keep(phone.page, "step with a photo")
    [event] = of_kind(phone, job, "photo_added")
    sha256 = event["body"]["sha256"]
    assert server.lead.get(f"/api/photos/{sha256}").status_code == 404
    phone.offline(False)
    send(phone)
    kept = server.lead.get(f"/api/photos/{sha256}")
    assert kept.status_code == 200
    assert Image.open(io.BytesIO(kept.content)).size == (640, 480)
    assert [one["sha256"] for one in server.job(job)["state"]["photos"]] == [sha256]
    phone.go(f"photo/{sha256}")
    expect(phone.page.locator("img.whole")).to_be_visible()
    keep(phone.page)


def test_not_applicable_needs_a_reason_and_keeps_it(phone: PhoneApp, server: RealServer, job: str) -> None:
    step = steps(server, "reason")[0]
    phone.go(f"job/{job}/step/{step['step']}")
    phone.settle()
    phone.page.get_by_role("button", name="Not applicable", exact=True).click()
    phone.tap("text=Mark as not applicable")
    expect(phone.page.get_by_text("Write a few words first.")).to_be_visible()
    assert of_kind(phone, job, "step_not_applicable") == []
    phone.page.locator("#panel-text").fill("Marked on the guard already")
    phone.tap("text=Mark as not applicable")
    expect(phone.page.get_by_text("Marked not applicable by Mika Aalto")).to_contain_text(
        "Marked on the guard already"
    )
    send(phone)
    told = server.job(job)["state"]["steps"][step["step"]]
    assert told["reason"] == "Marked on the guard already"


def test_the_leads_decision_on_a_deviation_is_seen_on_the_phone(
    phone: PhoneApp, server: RealServer, job: str
) -> None:
    step = steps(server, "lead")[0]
    phone.go(f"job/{job}/step/{step['step']}")
    panel(phone, "Cannot do this", "The written procedure is not at the machine", "Raise the deviation")
    told = phone.page.get_by_text("The written procedure is not at the machine")
    expect(told).to_contain_text("the lead has not decided yet")
    acts = phone.page.locator(".foot button")
    phone.read_on()
    expect(acts).to_have_text(["Leave open, next step", "Do this step after all"])
    keep(phone.page, "deviation not decided")
    phone.tap("text=Leave open, next step")
    expect(phone.page.locator("#step-title")).not_to_have_text(step["do"]["en"])
    assert of_kind(phone, job, "step_done") == []
    send(phone)
    [event] = of_kind(phone, job, "deviation_raised")
    answer = server.lead.post(
        f"/api/jobs/{job}/deviation",
        json={
            "deviation": event["id"],
            "decision": "rework",
            "reason": "Fetch the sheet from the office first",
        },
    )
    assert answer.is_success, answer.text
    send(phone)
    phone.go(f"job/{job}/step/{step['step']}")
    expect(told).to_contain_text("the lead wants rework")
    expect(acts.filter(has_text="Leave open")).to_have_count(0)


def test_left_hand_brings_the_words_under_a_step_to_the_left_and_stays(
    phone: PhoneApp, server: RealServer, job: str
) -> None:
    step = steps(server, "lead")[1]["step"]

    def note_at() -> float:
        phone.go(f"job/{job}/step/{step}")
        phone.page.wait_for_selector("#step-title")
        box = phone.page.get_by_role("button", name="Note", exact=True).bounding_box()
        assert box is not None
        return float(box["x"])

    right = note_at()
    for hand, reload in (("Left", True), ("Right", False)):
        phone.go("settings")
        phone.settle()
        phone.page.get_by_role("group", name="Hand that holds the phone").get_by_label(hand).check()
        phone.page.wait_for_selector(f"html[data-hand={hand.lower()}]")
        if reload:
            assert note_at() < 30 < right
            phone.page.reload()
            assert note_at() < 30
    assert note_at() == right


def test_a_reload_returns_to_the_same_step(phone: PhoneApp, server: RealServer, job: str) -> None:
    step = steps(server, "lead")[1]
    phone.go(f"job/{job}/step/{step['step']}")
    expect(phone.page.locator("#step-title")).to_have_text(step["do"]["en"])
    phone.page.reload()
    expect(phone.page.locator("#step-title")).to_have_text(step["do"]["en"])


def test_two_phones_on_one_job_hold_the_same_in_the_end(
    playwright: Playwright, phone: PhoneApp, server: RealServer, job: str, tmp_path: Path
) -> None:
    """Each writes without knowing of the other; after sending both show both, and all three tell one state."""
    first, second = steps(server, "lead")[1:3]
    with PhoneApp(playwright, tmp_path / "other", server.address) as other:
        other.sign_in("noor", PASSWORD)
        send(other)
        for one, step, text in ((phone, first, "Seen by Mika"), (other, second, "Seen by Noor")):
            one.offline()
            one.go(f"job/{job}/step/{step['step']}")
            panel(one, "Note", text, "Save the note")
        for one in (phone, other, phone):
            one.offline(False)
            send(one)
        for one in (phone, other):
            for step, text in ((first, "Seen by Mika"), (second, "Seen by Noor")):
                one.go(f"job/{job}/step/{step['step']}")
                expect(one.page.get_by_text(text)).to_be_visible()
        mine, theirs = (
            {event["id"] for event in one.events() if event["record"] == job} for one in (phone, other)
        )
        assert mine == theirs
        assert len(mine) == server.job(job)["state"]["count"]
        assert other.trouble == []


def test_a_new_handbook_leaves_an_open_job_on_its_own(phone: PhoneApp, server: RealServer, job: str) -> None:
    """The job goes on by the words it was started with; the next job has the new ones."""
    step = steps(server, "lead")[1]
    old, new = step["do"]["en"], "Tell everybody by radio."
    server.stop()
    changed = 0
    for file in (server.folder / "content" / "procedures" / "shared").glob("*.yaml"):
        text = file.read_text(encoding="utf-8")
        changed += text.count(old)
        file.write_text(text.replace(old, new), encoding="utf-8")
    assert changed == 1
    for language in (server.folder / "content" / "procedures" / "languages").glob("*.po"):
        language.write_text(language.read_text(encoding="utf-8").replace("X-Complete: yes", "X-Complete: no"), encoding="utf-8")
    server.start()  # a changed text has no translation yet, so each language waits
    newest = hashlib.sha256(server.lead.get("/api/handbook").content).hexdigest()
    phone.page.reload()
    phone.page.wait_for_function(f"async () => (await ({META})('handbook')) === '{newest}'")
    send(phone)
    phone.go("positions")
    phone.page.locator("a.card").first.click()
    later = start(phone)
    for which, words in ((job, old), (later, new)):
        phone.go(f"job/{which}/step/{step['step']}")
        expect(phone.page.locator("#step-title")).to_have_text(words)
        phone.page.reload()
        expect(phone.page.locator("#step-title")).to_have_text(words)
    started = {
        event["record"]: event["body"]["bundle"] for event in phone.events() if event["kind"] == "job_started"
    }
    assert started[job] != started[later]

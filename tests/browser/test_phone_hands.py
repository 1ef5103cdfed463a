"""On the real handbook: axe on every kind of screen, a step by keyboard alone, and every target as large as a hand needs, gloved or not, left or right."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import story_kit
from phone_kit import MORE, PhoneApp
from playwright.sync_api import Locator, Playwright, expect
from real_server import PASSWORD, RealServer
from screens import keep
from test_phone_access import AXE, look

pytestmark = [pytest.mark.slow, pytest.mark.skipif(not AXE.exists(), reason="needs axe-core: npm ci in tests/web")]
MM = 1 / 0.159  # px a millimetre on a usual phone: 1 px = 1/160 in
# A plant's own torque, so that the step shows whose value rules.
VALUE = {
    "line": "set_screw_torque.target", "value": "15 N.m", "document": "Instruction sheet 12 (invented)", "revision": "C",
    "where": {"screw": "M8"},
}  # fmt: skip

# Each thing that can be tapped and is shown, with what it is. A control inside a label is as large as the label.
TARGETS = """() => [...document.querySelectorAll('a[href], button, input, select, textarea, summary, label.word')]
  .filter((one) => one.checkVisibility() && !one.closest('.skip, .hidden') && !one.matches('.hidden, .skip'))
  .map((one) => { const whole = one.closest('label, .number') ?? one; const box = whole.getBoundingClientRect();
    return { what: one.outerHTML.slice(0, 90), kind: one.matches('.primary') ? 'primary' : one.matches('a.card, button.card, .steps-list a') ? 'row' : one.closest('.pad') ? 'pad' : 'other',
      width: box.width, height: box.height }; })"""

# What reaches beyond the right edge of the screen.
BEYOND = """() => [...document.querySelectorAll('body *')]
  .filter((one) => one.checkVisibility() && !one.closest('.hidden, .skip, svg') && one.getBoundingClientRect().right > document.documentElement.clientWidth + 1)
  .map((one) => one.outerHTML.slice(0, 90))"""


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RealServer]:
    """Its own: a plant's value changes what every phone shows."""
    with RealServer(tmp_path_factory.mktemp("server")) as started:
        started.lead.post("/api/plant-values", json=VALUE)
        yield started


@pytest.fixture
def phone(playwright: Playwright, tmp_path: Path, server: RealServer) -> Iterator[PhoneApp]:
    with PhoneApp(playwright, tmp_path / "phone", server.address, bypass_csp=True) as opened:
        opened.wait_ready()
        opened.sign_in("mika", PASSWORD)
        yield opened
        assert opened.trouble == []


def begin(phone: PhoneApp) -> str:
    story_kit.make_position(phone)
    phone.page.click("text=Start mounting")
    phone.tap("text=I have read this")
    phone.page.wait_for_selector("#step-title")
    return phone.page.url.split("/job/")[1].split("/")[0]


def small(phone: PhoneApp, glove: float) -> list[dict[str, Any]]:
    """Targets that are smaller than the hand needs: 18 mm primary, 15 mm a row of a list, 9.5 mm any other."""
    least = {"primary": 18 * MM, "row": 15 * MM, "pad": 9.5 * MM / glove, "other": 9.5 * MM}
    found: list[dict[str, Any]] = phone.page.evaluate(TARGETS)
    assert found
    return [one for one in found if one["height"] < least[one["kind"]] * glove - 1]


def set_to(phone: PhoneApp, name: str, words: str) -> None:
    phone.go("settings")
    phone.page.wait_for_selector(f"input[name={name}]")
    phone.tap(f"fieldset:has(input[name={name}]) label:has-text('{words}')")
    expect(phone.page.locator(f"fieldset:has(input[name={name}]) label:has-text('{words}') input")).to_be_checked()


def test_every_kind_of_screen_through_axe(phone: PhoneApp) -> None:
    job = begin(phone)
    wrong = look(phone, "first step")
    story_kit.walk(phone, until="screw_a_full")
    expect(phone.page.locator("main")).to_contain_text("the plant's value")
    wrong += look(phone, "step with the plant's value and a drawing")
    phone.page.locator("main input[data-pad]").first.click()
    wrong += look(phone, "step with the pad")
    phone.page.click(".pad .finish")
    for place in (f"job/{job}", f"job/{job}/energy", f"job/{job}/step/bolts_first", f"job/{job}/step/prove_zero", "note/taper_drive_up", "note/set_screw_torque", "guide/free_end", "settings"):
        phone.go(place)
        phone.page.wait_for_selector("h1")
        wrong += look(phone, place)
    phone.go("note/taper_drive_up")
    table = phone.page.locator("main a[href*='#/note/taper_drive_up/']").first.get_attribute("href")
    assert table
    phone.go(table[2:])
    phone.page.wait_for_selector("h1")
    wrong += look(phone, table)
    set_to(phone, "theme", "Sun")
    wrong += look(phone, "settings in the sun")
    phone.go(f"job/{job}/step/screw_a_full")
    phone.page.wait_for_selector("#step-title")
    wrong += look(phone, "a step in the sun")
    phone.page.emulate_media(forced_colors="active")
    wrong += look(phone, "a step in the person's own colours")
    phone.page.emulate_media(forced_colors="none")
    set_to(phone, "theme", "As the phone")
    places = ("", f"job/{job}", f"job/{job}/energy", f"job/{job}/step/screw_a_full", "note/set_screw_torque")
    set_to(phone, "lang", "Español")
    for place in places:
        phone.go(place)
        phone.page.wait_for_selector("h1")
        wrong += look(phone, place)
    set_to(phone, "lang", "Deutsch")  # the same screens with longer words: what is asked here is whether they fit
    phone.page.set_viewport_size({"width": 360, "height": 740})
    for place in places:
        phone.go(place)
        phone.page.wait_for_selector("h1")
        phone.settle()
        wrong += [f"{place}: {one}" for one in phone.page.evaluate(BEYOND)]
    assert wrong == []


def test_a_step_by_keyboard_alone(phone: PhoneApp) -> None:
    """From the title to the next step: every field is reached by Tab, answered by keys, and recorded by Enter."""
    begin(phone)
    story_kit.walk(phone, until="screw_a_full")
    keys = phone.page.keyboard
    phone.page.locator("#step-title").focus()
    answered: set[str] = set()
    for _ in range(60):
        keys.press("Tab")
        here: dict[str, Any] = phone.page.evaluate(
            """() => { const one = document.activeElement; const box = one.getBoundingClientRect(); const foot = document.querySelector('.foot')?.getBoundingClientRect();
            return { id: one.id, name: one.name ?? '', type: one.type ?? '', text: one.innerText ?? '', primary: one.matches('.foot .primary'),
              hidden: !!foot && !one.closest('.foot, .pad') && box.top >= foot.top } }"""
        )
        assert not here["hidden"], f"{here} lies under the foot"
        if here["primary"] and {"set_to", "set_to_step"} <= answered:
            phone.settle()
            keys.press("Enter")
            break
        if here["id"].startswith("f-torque_a-"):
            name = here["id"].split("-")[2]
            if here["type"] == "radio":
                if here["name"] not in answered:
                    keys.press("Space")
                answered.add(here["name"])
            elif name not in answered and "unit" not in here["id"]:
                keys.type(story_kit.NUMBERS[name])
                answered.add(name)
    phone.page.wait_for_url("**/step/screw_b_full")
    expect(phone.page.locator("#step-title")).to_be_focused()


def test_targets_are_as_large_as_the_hand_needs(phone: PhoneApp) -> None:
    job = begin(phone)
    places = ("", "positions", f"job/{job}", f"job/{job}/energy", f"job/{job}/step/read_procedure", f"job/{job}/step/bolts_first", "guide", "note/free_end", "settings")
    wrong: dict[str, list[dict[str, Any]]] = {}
    phone.go("guide/free_end")
    phone.tap(".foot .primary")  # its cautions, read
    for at, glove in enumerate((1.0, 1.25, 1.5)):
        phone.go("settings")
        phone.page.locator("input[name=gloves]").nth(at).check()
        phone.settle()
        for place in places:
            phone.go(place)
            phone.page.wait_for_selector("h1")
            phone.settle()
            wrong[f"{place} {glove}"] = small(phone, glove)
        for hand in ("left", "right"):
            phone.go("settings")
            phone.page.locator("input[name=hand]").nth(0 if hand == "right" else 1).check()
            phone.settle()
            phone.go("guide/free_end")
            phone.page.locator("main input[data-pad]").first.click()
            phone.page.wait_for_selector(".pad")
            wrong[f"pad {hand} {glove}"] = small(phone, glove)
            phone.settle()
            typed, keys = (phone.page.locator(one).first.bounding_box() for one in ("main .number:focus-within", ".pad"))
            assert typed
            assert keys
            assert typed["y"] + typed["height"] <= keys["y"], "what is typed lies under the pad"
            one, back = (phone.page.locator(f".pad button:text-is('{key}')").bounding_box() for key in ("1", "⌫"))
            assert one
            assert back
            assert (back["x"] > one["x"]) == (hand == "right")
            keep(phone.page, f"pad {hand} glove {glove}", whole=False)
    assert {place: found for place, found in wrong.items() if found} == {}


def test_what_is_next_stands_at_the_thumb(phone: PhoneApp) -> None:
    """Home, list, board and a finished step lead to the first open step; a panel comes up ready to type in."""
    page = phone.page
    job = begin(phone)
    first = page.url.rsplit("/", 1)[-1]
    page.set_viewport_size({"width": 360, "height": 740})
    phone.tap("text=Not applicable")
    expect(page.locator("#panel-text")).to_be_focused()
    box = page.locator("#panel-text").bounding_box()
    assert box is not None
    foot = page.locator(".foot").bounding_box()
    assert foot is not None
    assert box["y"] + box["height"] <= foot["y"], "the field that was opened lies under the button"
    phone.tap("text=Close without saving")
    for place in ("", "positions"):
        phone.go(place)
        on = page.locator(".foot .primary")
        expect(on).to_have_text("Go on: Exhaust fan 2, drive end")
        expect(on).to_have_attribute("href", f"#/job/{job}/step/{first}")
        keep(page, "work is open")

    story_kit.walk(phone, until="measure_shaft")
    phone.go(f"job/{job}/step/{first}")
    expect(page.locator(".foot .primary")).to_have_text("Next open step")
    phone.tap(".foot .primary")
    page.wait_for_url("**/step/measure_shaft")
    phone.go(f"job/{job}/step/list_energy")
    page.click("text=The whole board")
    page.wait_for_url("**/energy/list_energy")
    expect(page.locator(".head .back")).to_have_attribute("href", f"#/job/{job}/step/list_energy")
    expect(page.locator(".foot .primary")).to_have_attribute("href", f"#/job/{job}/step/measure_shaft")

    # one micrometer, one unit: the planes that are still empty follow, the temperature does not
    phone.go(f"job/{job}/step/measure_shaft")
    unit = page.locator("[id*='-plane_'][id$='-unit']")
    expect(unit).to_have_text(["mm"] * 6)
    unit.first.click()
    expect(unit).to_have_text(["in"] * 6)
    expect(page.locator("[id$='shaft_temperature-unit']")).to_have_text("°C")
    page.locator("[id$='plane_1-0']").fill("abc")
    expect(page.locator(".field .wrong").first).to_have_text("“abc” is not a number.")

    # the thickest glove, upright and sideways: what is typed stands over the keys, in the field too, and Enter is whole
    phone.go("settings")
    page.locator("input[name=gloves]").nth(2).check()
    for wide, high in ((360, 740), (740, 360)):
        page.set_viewport_size({"width": wide, "height": high})
        phone.go(f"job/{job}/step/measure_shaft")
        page.locator("[id$='plane_2-1']").fill("1,968")
        expect(page.locator(".typed b")).to_have_text("1,968 in")
        expect(page.locator(".typed span")).to_have_text("Middle plane, two directions 2")
        phone.settle()
        field, head, said, enter = (page.locator(one).bounding_box() for one in (".number:focus-within", ".head", ".typed", ".pad .finish"))
        assert field is not None
        assert head is not None
        assert said is not None
        assert enter is not None
        assert enter["y"] + enter["height"] <= high
        assert field["y"] >= head["y"] + head["height"] - 3, "what is typed lies under the head"
        assert wide > high or field["y"] + field["height"] <= said["y"], "what is typed lies under the pad"
        keep(page, f"pad {wide} thick glove", whole=False)


def more(phone: PhoneApp) -> Locator:
    """The act at the thumb while something that must be seen lies below. From here on the test scrolls by itself."""
    phone.page.remove_locator_handler(phone.page.locator(MORE))
    return phone.page.locator(MORE)


def test_nothing_is_confirmed_unseen(phone: PhoneApp) -> None:
    """The cautions before a job, then a step that ends below the fold: by tap, by scroll and by key; nobody is held up who has seen all."""
    page = phone.page
    page.set_viewport_size({"width": 360, "height": 740})
    story_kit.make_position(phone)
    below = more(phone)
    page.click("text=Start mounting")
    last = page.locator(".page .signal").last
    expect(below).to_have_text("More below ↓")
    assert look(phone, "cautions below") == []
    page.set_viewport_size({"width": 360, "height": 740})
    page.reload()  # the whole screen was on the picture just taken
    expect(below).to_be_visible()
    for _ in range(20):
        if not below.count():
            break
        below.click()
        page.wait_for_timeout(100)
    box, foot = last.bounding_box(), page.locator(".foot").bounding_box()
    assert box is not None
    assert foot is not None
    assert 0 < box["y"] + box["height"] <= foot["y"] + 4, "the last caution was never on the screen"
    expect(page.locator(".foot .primary")).to_have_text("I have read this. Start the job")
    page.evaluate("scrollTo(0, 0)")
    page.wait_for_timeout(100)
    expect(page.locator(".foot .primary")).to_have_text("I have read this. Start the job")
    phone.tap(".foot .primary")
    page.wait_for_selector("#step-title")
    job = page.url.split("/job/")[1].split("/")[0]

    phone.go(f"job/{job}/step/find_rotation")
    page.get_by_label("Counter-clockwise").check()
    expect(page.locator("main .told.halt")).to_contain_text("The position says Clockwise.")
    phone.go(f"job/{job}/step/list_energy")
    expect(below).to_be_visible()
    page.evaluate("scrollTo(0, document.body.scrollHeight)")  # a finger, not the button
    expect(below).to_have_count(0)
    phone.go(f"job/{job}/step/read_procedure")
    page.set_viewport_size({"width": 740, "height": 360})
    expect(below).to_be_visible()
    below.focus()
    for _ in range(20):
        if not below.count():
            break
        page.keyboard.press("Enter")
        page.wait_for_timeout(100)
    expect(page.locator(".foot .primary")).to_have_text("Record, next step")
    expect(page.locator(".foot .primary")).to_be_focused()  # the key that went down now records

"""A person's way through a job on the phone: describe a position, start, answer each step as the screen asks."""

from __future__ import annotations

import io

from phone_kit import PhoneApp
from PIL import Image
from playwright.sync_api import Locator

FACTS = {
    "locking_method": "ring_set_screws", "housing": "flange", "bearing_type": "insert_ball", "shaft_system": "metric",
    "screw": "M8", "rotation": "clockwise", "end": "fixed", "load": "normal",
}  # fmt: skip
NUMBERS = {
    "plane_1": "49.995", "plane_2": "49.995", "plane_3": "49.995", "gauge_step": "0.001", "shaft_temperature": "20",
    "gauge_temperature": "20", "set_to": "13,5", "set_to_step": "0.5", "torque_wanted": "13.5", "wrench_most": "60", "wrench": "60", "calibrated_days_ago": "30", "lift_1": "0.02", "lift_2": "0.01", "bore": "50", "outside_d": "90", "width": "20", "bearing_mass": "0.5",
    "minutes": "60", "ambient": "20", "end_a": "35",
}  # fmt: skip


HERE = ("electric", "gravity")
"""Energy that the tests' machine has: each wants its row, its lock or hold, its test."""
LEFT_EMPTY = ("Measured, where a gauge", "Heavy bearing", "Vibration, measured")  # readings taken only where an instrument is at hand


def choose(field: Locator, name: str) -> None:
    """One choice of a word or yes/no field: the wanted one, else the first."""
    wanted = {"clicked": "yes", "dropped": "no", "hot": "no", "thread_locked": "no"}.get(name)
    radios = field.locator("input[type=radio]")
    if name not in HERE and "Looked, none here" in field.inner_text():
        return radios.nth(1).check()
    target = (
        field.locator(f"input[id$='-{wanted}']")
        if wanted and field.locator(f"input[id$='-{wanted}']").count()
        else radios.first
    )
    target.check()


def fill(phone: PhoneApp) -> None:
    """Answer every empty field of the step on the screen."""
    measured = "".join(f":not([aria-label^='{name}'])" for name in LEFT_EMPTY)
    for field in phone.page.locator(f"main .reading{measured} .field").all():
        if not field.is_visible() or "(optional)" in field.inner_text():
            continue
        number = field.locator("input[data-pad]")
        if number.count():
            for at in range(number.count()):
                one = number.nth(at)
                if one.input_value():
                    continue
                name = (one.get_attribute("id") or "").split("-")[2]
                one.focus()
                phone.page.keyboard.type(NUMBERS.get(name, "1"))
        elif field.locator("select").count():
            options = [str(option.get_attribute("value")) for option in field.locator("option").all()]
            field.locator("select").select_option(next(one for one in options if one))
        elif field.locator("textarea").count():
            if not field.locator("textarea").input_value():
                field.locator("textarea").fill("Seen at the machine and noted.")
        elif field.locator("input[type=radio]").count() and not field.locator("input:checked").count():
            choose(field, str(field.locator("input[type=radio]").first.get_attribute("name")).split("-")[-1])
    phone.settle()  # a choice made last has put the pad away by now
    if phone.page.locator(".pad .finish").count():
        phone.page.click(".pad .finish")


def fill_row(phone: PhoneApp) -> None:
    """Answer every empty field of the row's form, for every source there is."""
    for tick in phone.page.locator("main fieldset input[type=checkbox]").all():
        tick.check()
    for box in phone.page.locator("main input[id^='r-']:not([type=radio]):not([data-pad])").all():
        if not box.input_value():
            box.fill("Seen at the machine and noted")
    for select in phone.page.locator("main select[id^='r-']").all():
        select.select_option(index=1)
    for name in {str(one.get_attribute("name")) for one in phone.page.locator("main input[type=radio][id^='r-']").all()}:
        phone.page.locator(f"main input[name='{name}']").first.check()


def fill_proof(phone: PhoneApp) -> None:
    """What the screen still asks of the proof: tests and try-start are in the record."""
    for name, text in (("how", "Isolator locked and tried; wheel strapped; no voltage on three phases."), ("tried", "Start pressed at the panel and from the control room: nothing moved.")):
        box = phone.page.locator(f".field:has(#proof-{name})")
        if box.count() and "(optional)" not in box.inner_text():
            phone.page.fill(f"#proof-{name}", text)


def only_proof(phone: PhoneApp) -> None:
    """Zero energy is proved once in a job where nothing undid it: nobody writes a second proof because a screen asks for one."""
    job = phone.page.url.split("/job/")[1].split("/")[0]
    mine = [event for event in phone.events() if event["record"] == job]
    last = max([at for at, event in enumerate(mine) if event["kind"] == "zero_energy_proved"], default=-1)
    undone = [event for event in mine[last:] if event["kind"] == "row_added" and event["body"]["list"] in ("handover", "test_run")]
    assert last < 0 or undone, f"a second proof is asked for: {phone.page.inner_text('main')[:400]}"


def take_photo(phone: PhoneApp) -> None:
    """The phone's own camera hands a picture over."""
    picture = io.BytesIO()
    Image.effect_noise((64, 48), 80).save(picture, "PNG")
    before = phone.page.locator(".thumbs img").count()
    phone.page.set_input_files("#camera", {"name": "lock.png", "mimeType": "image/png", "buffer": picture.getvalue()})
    phone.page.locator(".thumbs img").nth(before).wait_for()


def end_row(phone: PhoneApp) -> None:
    """Its owner takes it off, or it comes out."""
    own = phone.page.locator("main input[name=by-owner]")
    if own.count():
        own.first.check()
    for box in phone.page.locator("main #e-note").all():
        box.fill("Out, counted")


def make_position(
    phone: PhoneApp, facts: dict[str, str] = FACTS, lengths: dict[str, str] | None = None
) -> None:
    """Describe a position from the handbook's own form. lengths: millimetres by fact, 50 where not said, a bore 55: on a sleeve it is larger than the shaft."""
    phone.go("new")
    phone.page.fill("#machine", "Exhaust fan 2")
    phone.page.fill("#name", "drive end")
    for word in ("locking_method", *facts):
        answer(phone, word, facts[word])
    for field in phone.page.locator("main .field").all():
        number = field.locator("input[data-pad]")
        if number.count() and "(optional)" not in field.inner_text():
            number.first.focus()
            phone.page.keyboard.type(
                ({"bore": "55"} | (lengths or {})).get((number.first.get_attribute("id") or "").split("-")[1], "50")
            )
        elif (
            field.locator("input[type=radio]").count()
            and not field.locator("input:checked").count()
            and "(optional)" not in field.inner_text()
        ):
            field.locator("input[type=radio]").last.check()
    phone.settle()  # a choice made last has put the pad away by now
    if phone.page.locator(".pad .finish").count():
        phone.page.click(".pad .finish")
    phone.tap(".foot button.primary")
    phone.page.wait_for_selector("text=Start mounting")


def answer(phone: PhoneApp, fact: str, choice: str) -> None:
    """Choose a word for a fact, by its place in the handbook's choices."""
    listed = phone.page.evaluate("async () => (await (await fetch('/api/handbook')).json()).facts")
    spec = next(one for one in listed if one["name"] == fact)
    words = [one["word"] for one in spec.get("choices", [])]
    if spec["kind"] == "yesno":
        phone.page.check(f"#fact-{fact}-{choice}")
    elif len(words) > 6:
        phone.page.select_option(f"#fact-{fact}", choice)
    else:
        phone.page.check(f"#fact-{fact}-{words.index(choice)}")


def walk(phone: PhoneApp, until: str | None = None, most: int = 260) -> None:
    """Do what the foot of the screen asks, step by step, up to the step `until`, to where a second person must look, or to the completed job."""
    for _ in range(most):
        phone.page.wait_for_selector("main")
        if until and phone.page.url.endswith(f"/step/{until}"):
            return
        if phone.page.locator(".pad .finish").count():
            phone.page.click(".pad .finish")
            continue
        phone.read_on()
        primary = phone.page.locator(".foot .primary")
        if not primary.count():
            off = phone.page.locator(".card.board .words .word", has_text="Take this")
            if not off.count():
                return
            phone.tap(".card.board .words .word:has-text('Take this') >> nth=0")
            continue
        label = primary.inner_text()
        if label == "The second person looks now":
            return  # nobody walks past it: the test says who looks
        if label.startswith("Record the proof"):
            only_proof(phone)
            fill_proof(phone)
        elif label == "Take the photo":
            take_photo(phone)
            continue
        elif label == "Record this row":
            fill_row(phone)
        elif label == "Record it as off":
            end_row(phone)
        elif label.startswith("Record"):
            fill(phone)
            if primary.inner_text() == "Record this row":
                fill_row(phone)  # what is there wants its row first
        elif label == "Measure again":
            phone.press(".foot button.word:has-text('Go on')")  # leave it as it is
            continue
        phone.press()
        wrong = [one for one in phone.page.locator(".field .wrong").all_inner_texts() if one.strip()]
        assert wrong == [], (phone.page.url, wrong)
    raise AssertionError(f"not done after {most} taps: {phone.page.url}")

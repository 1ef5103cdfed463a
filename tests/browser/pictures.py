"""Makes the pictures of README from the running demo. Run: python tests/browser/pictures.py

Starts `shaftside demo` on a free port, signs in as its people, and writes demo_data/pictures/*.png (palette, under 120 kB).
"""

from __future__ import annotations

import io
import re
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

OUT = Path(__file__).resolve().parents[2] / "demo_data" / "pictures"
ARGS = [
    "--no-sandbox",
    "--disable-quic",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
SETTLE_MS = 700


class Demo:
    """The demo as README starts it: its address and the three sign-ins it printed."""

    def __enter__(self) -> Demo:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            port = free.getsockname()[1]
        self.process = subprocess.Popen(
            [sys.executable, "-m", "shaftside", "demo", "--port", str(port)],
            stdout=subprocess.PIPE,
            text=True,
        )
        self.address, said = f"http://127.0.0.1:{port}", ""
        assert self.process.stdout is not None
        while "Ctrl-C" not in said:
            line = self.process.stdout.readline()
            assert line, said
            said += line
        self.passwords = dict(re.findall(r"^\s+\w+\s+(tess|maud|ravi)\s+(\S+)$", said, re.MULTILINE))
        return self

    def __exit__(self, *_: object) -> None:
        self.process.send_signal(signal.SIGTERM)
        self.process.wait(20)


def save(page: Page, name: str, height: int | None = None) -> None:
    """A picture of what is on the screen, in a palette of 64 colours."""
    page.wait_for_timeout(SETTLE_MS)
    picture = Image.open(io.BytesIO(page.screenshot(full_page=False))).convert("RGB")
    if height:
        picture = picture.crop((0, 0, picture.width, height))
    picture.quantize(64, dither=Image.Dither.NONE).save(OUT / f"{name}.png", optimize=True)
    size = (OUT / f"{name}.png").stat().st_size
    print(f"{name:<20} {picture.width} x {picture.height}  {size:,} bytes")
    assert size < 120_000


PIN = "271828"


def phone(browser: Browser, demo: Demo, theme: str) -> Page:
    """A signed-in phone of 390 by 844 with the demo's records on it."""
    context = browser.new_context(
        viewport={"width": 390, "height": 844},
        device_scale_factor=2,
        has_touch=True,
        is_mobile=True,
        color_scheme=theme,
    )
    page = context.new_page()
    page.goto(f"{demo.address}/phone/")
    page.get_by_label("Sign-in name").fill("tess")
    page.get_by_label("Password").fill(demo.passwords["tess"])
    page.wait_for_timeout(SETTLE_MS)
    page.get_by_role("button", name="Sign in").click()
    for field in ("#pin", "#again"):
        page.locator(field).fill(PIN)
    page.wait_for_timeout(SETTLE_MS)
    page.locator("form button.primary").click()
    page.get_by_text("Work open").first.wait_for()
    page.get_by_text("Ready offline").first.wait_for(timeout=60_000)
    page.locator("a.card", has_text="Adapter sleeve").first.wait_for(timeout=60_000)
    return page


def to(page: Page, demo: Demo, path: str) -> None:
    page.goto(f"{demo.address}/phone/#/{path}")
    page.wait_for_timeout(SETTLE_MS)


def open_job(page: Page, words: str) -> str:
    """The id of the open job whose card says `words`."""
    card = page.locator("a.card", has_text=words).first
    found = re.search(r"job/([0-9a-f-]{36})", card.get_attribute("href") or "")
    assert found
    return found[1]


def to_gauge(page: Page) -> None:
    """Scroll so that the recorded value and its gauge are what the picture shows."""
    page.locator(".page svg.gauge").last.evaluate(
        "(gauge) => gauge.closest('.card, section, .reading').scrollIntoView()"
    )


def phone_pictures(browser: Browser, demo: Demo) -> None:
    """Position list, a make-safe step, a torque step and a taper step with their verdicts; the quick guide in the dark."""
    page = phone(browser, demo, "light")
    taper, safe = open_job(page, "Dryer supply fan 1"), open_job(page, "Bucket elevator 1")
    torque = open_job(page, "Bagging belt conveyor 3")
    to(page, demo, "positions")
    save(page, "phone-positions")
    to(page, demo, f"job/{safe}")
    page.get_by_role("link", name="Go on with the next step").click()
    save(page, "phone-make-safe")
    to(page, demo, f"job/{torque}/step/screw_a_full")
    to_gauge(page)
    save(page, "phone-torque")
    driving(page, demo, taper)
    to(page, demo, f"job/{safe}/energy")
    save(page, "phone-energy")
    choice(page, demo)
    to(page, demo, "note/taper_drive_up")
    page.locator("svg.drawing").first.evaluate("(drawing) => scrollTo(0, drawing.getBoundingClientRect().top + scrollY - 220)")
    save(page, "phone-note")
    to(page, demo, "settings")
    page.locator("label:has(span[lang=es]) input").check()
    page.locator("html[lang=es]").wait_for()
    to(page, demo, f"job/{torque}/step/screw_a_full")
    save(page, "phone-spanish")
    page.context.close()
    page = phone(browser, demo, "dark")
    to(page, demo, "guide/set_screw_torque")
    read_on(page)
    understood = page.get_by_role("button", name="I have read the cautions")
    if understood.count():
        understood.click()
    page.get_by_text("In the bearing's inner ring").click()
    page.get_by_label("Screw size").select_option("M8")
    page.locator(".page .big").first.evaluate("(number) => number.scrollIntoView({ block: 'center' })")
    save(page, "phone-guide")
    page.context.close()


def read_on(page: Page) -> None:
    """Down to the end, as a person must before the act at the thumb is there."""
    page.wait_for_timeout(SETTLE_MS)
    while page.locator(".foot .more").count():
        page.locator(".foot .more").click()
        page.wait_for_timeout(SETTLE_MS)


def driving(page: Page, demo: Demo, job: str) -> None:
    """The next push on a taper, told while the figures are being typed."""
    to(page, demo, f"job/{job}/step/drive_up")
    page.locator("#step-title").wait_for()
    read_on(page)
    page.get_by_role("button", name="Measure again").click()
    page.wait_for_timeout(SETTLE_MS)
    for name, typed in (("clearance_now", "0.1"), ("travel_now", "0.6")):
        page.locator(f"main input[id$='-{name}']").fill(typed)
    if page.locator(".pad .finish").count():
        page.locator(".pad .finish").click()
    page.locator(".gauge.standing, .verdict.next").first.wait_for()
    page.locator(".verdict.next").first.evaluate("(told) => scrollTo(0, told.getBoundingClientRect().top + scrollY - 150)")
    save(page, "phone-taper")


def choice(page: Page, demo: Demo) -> None:
    """The locking methods ranked for one shaft and duty, from the quick guide."""
    to(page, demo, "guide/method_choice")
    read_on(page)
    page.get_by_role("button", name="I have read the cautions").click()
    page.wait_for_timeout(SETTLE_MS)
    for field in page.locator("main .field").all():
        name = field.locator("input, select").first.get_attribute("name") or field.locator("input, select").first.get_attribute("id") or ""
        name = name.removeprefix("g-")
        if not field.is_visible() or ("(optional)" in field.inner_text() and name not in CHOICE):
            continue
        number, radios = field.locator("input[data-pad]"), field.locator("input[type=radio]")
        if number.count():
            number.first.fill(CHOICE[name])
        elif field.locator("select").count():
            field.locator("select").select_option(CHOICE[name])
        elif radios.count():
            radios.nth(int(CHOICE.get(name, "-1"))).check()
    if page.locator(".pad .finish").count():
        page.locator(".pad .finish").click()
    page.locator(".rank").first.wait_for()
    page.locator("section:has(.rank) h2").first.evaluate("(title) => scrollTo(0, title.getBoundingClientRect().top + scrollY - 90)")
    save(page, "phone-choice")


# A conveyor pulley, 50 mm: numbers as typed, else the place of a radio; of the others the last, which is no.
CHOICE = {
    "shaft_d": "50", "shaft_system": "0", "speed": "300", "load": "2", "grade": "4", "tolerance_class": "h7", "bearing_type": "0", "removed": "1",
    "far_side_free": "0", "can_read": "0", "tapered_made": "0", "clamp_made": "0",
}  # fmt: skip


def desk_pictures(browser: Browser, demo: Demo) -> None:
    """What waits for the lead, a sign-off, a signed job, and a failure beside its record."""
    context = browser.new_context(viewport={"width": 1280, "height": 900}, locale="en-GB")
    page = context.new_page()
    page.goto(f"{demo.address}/desk/sign-in")
    page.get_by_label("Sign-in name").fill("maud")
    page.get_by_label("Password").fill(demo.passwords["maud"])
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("heading", name="Today").wait_for()
    save(page, "desk-today")
    page.locator("a", has_text="Bucket elevator 2, Head shaft, far end").first.click()
    save(page, "desk-sign-off")
    page.goto(f"{demo.address}/desk/failures")
    page.locator("main a[href^='/desk/failures/']", has_text="Dryer exhaust fan 2").first.click()
    save(page, "desk-failure")
    page.get_by_role("link", name="Mounting: adapter sleeve").click()
    page.locator("#readings").evaluate("(title) => title.scrollIntoView()")
    save(page, "desk-job")
    context.close()


def main() -> None:
    """Every picture, in the order README shows them."""
    OUT.mkdir(exist_ok=True)
    start = time.monotonic()
    with Demo() as demo, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=ARGS)
        phone_pictures(browser, demo)
        desk_pictures(browser, demo)
        browser.close()
    print(f"{time.monotonic() - start:.0f} s")


if __name__ == "__main__":
    main()

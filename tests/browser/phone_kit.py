"""A phone-sized Chromium with its own user data, so that it can be closed, killed and opened again."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
from pathlib import Path
from types import TracebackType
from typing import Any

from playwright.sync_api import BrowserContext, Page, Playwright, Route
from playwright.sync_api import Error as PlaywrightError

from shaftside import content

CHROMIUM = "/usr/bin/chromium"
ARGS = [
    "--no-sandbox",
    "--disable-gpu",  # there is none here: drawn by the page's own process, not by a second one that plays a card
    "--disable-quic",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
# The app ignores taps for 400 ms of its own clock after a screen changed: a second tap must not act on the next screen.
# The guard stays; a test that is done looking moves that clock on, and waits for what is drawn instead of for a time.
CLOCK = "(() => { const now = performance.now.bind(performance); window.ahead = 0; performance.now = () => now() + window.ahead; })()"
SETTLED = """async () => {
    await document.fonts.ready;
    // two frames: a change of address that was set off has been heard, and its screen is drawn
    for (let frame = 0; frame < 2; frame += 1) await new Promise((drawn) => requestAnimationFrame(drawn));
    await Promise.allSettled(document.getAnimations().map((moving) => moving.finished));
    window.ahead += 450;
}"""
# What a tap changes: where, what is asked at the thumb, what is recorded, what is missing.
SCREEN = """() => [location.hash, document.querySelector('.foot')?.innerText, document.querySelectorAll('main li.card, main .card.board, main .told').length,
    document.querySelectorAll('.wrong').length].join('|')"""
META = """(key) => new Promise((resolve) => {
    const opening = indexedDB.open("shaftside");
    opening.onsuccess = () => {
        const asked = opening.result.transaction("meta").objectStore("meta").get(key);
        asked.onsuccess = () => { opening.result.close(); resolve(asked.result?.value); };
    };
})"""
KEPT_DRAFT = """(typed) => new Promise((resolve, reject) => {
    const opening = indexedDB.open("shaftside");
    opening.onerror = () => reject(opening.error);
    opening.onsuccess = () => {
        const asked = opening.result.transaction("drafts").objectStore("drafts").getAll();
        asked.onsuccess = () => { opening.result.close(); resolve(JSON.stringify(asked.result).includes(JSON.stringify(typed))); };
    };
})"""
PIN = "271828"
MORE = ".foot .more"


class PhoneApp:
    """The app on one phone. `page` is its one tab; `trouble` collects what a page must not say."""

    def __init__(self, playwright: Playwright, folder: Path, address: str, **context: Any) -> None:
        self.playwright = playwright
        self.folder = folder
        self.address = address
        self.options: dict[str, Any] = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True} | context
        self.trouble: list[str] = []
        self.context: BrowserContext
        self.page: Page
        self.open()

    def open(self, path: str = "") -> None:
        """Start the browser with this phone's data and open the app as its icon would."""
        self.context = self.playwright.chromium.launch_persistent_context(
            str(self.folder), executable_path=CHROMIUM, args=ARGS, **self.options
        )
        self.context.add_init_script(CLOCK)
        self.page = self.context.pages[0] if self.context.pages else self.context.new_page()
        self.page.set_default_timeout(15_000)
        self.page.on("pageerror", lambda error: self.trouble.append(str(error)))
        self.page.on("console", lambda said: self.trouble.append(said.text) if "Content Security Policy" in said.text else None)
        # before every act: a person reads on down where the thumb says that there is more
        self.page.add_locator_handler(self.page.locator(MORE), lambda _: self.read_on(), no_wait_after=True)
        self.page.goto(f"{self.address}/phone/{path}")

    def wait_ready(self) -> None:
        """Until app, handbook and figures are stored: seconds of work for a server just started and a new phone, more on a busy machine."""
        self.page.wait_for_selector("#ready", timeout=60_000)

    def close(self) -> None:
        """Leave the app as a person does."""
        self.context.close()

    def kill(self) -> None:
        """The battery dies: every process of this browser gets SIGKILL, found by its own user-data folder."""
        listed = subprocess.run(["ps", "-eo", "pid=,args="], capture_output=True, text=True, check=True).stdout
        for line in listed.splitlines():
            pid, _, args = line.strip().partition(" ")
            if f"--user-data-dir={self.folder}" in args:
                with contextlib.suppress(ProcessLookupError):
                    os.kill(int(pid), signal.SIGKILL)
        with contextlib.suppress(PlaywrightError):  # the browser is gone, which is the point
            self.context.close()
        for lock in self.folder.glob("Singleton*"):
            lock.unlink(missing_ok=True)

    def offline(self, cut: bool = True) -> None:
        """Cut the network, or bring it back."""
        self.context.set_offline(cut)

    def settle(self) -> None:
        """Wait until the screen is drawn and listens to taps."""
        self.page.evaluate(SETTLED)

    def read_on(self) -> None:
        """Down to the end, screen by screen, until nothing that must be read or filled in is left unseen."""
        more = self.page.locator(MORE)
        if not more.count():
            return
        for _ in range(30):
            self.page.evaluate("(more) => document.querySelector(more)?.click()", MORE)
            if not more.count():
                break
        else:
            raise AssertionError(f"no end below: {self.page.url}")
        self.settle()

    def tap(self, selector: str) -> None:
        """Tap what can be tapped, after the screen has settled."""
        self.page.click(selector, trial=True)  # it is there, still, and not held by work that goes on
        self.settle()
        self.page.click(selector)

    def press(self, selector: str = ".foot .primary") -> None:
        """Tap the first such, and wait until the screen has answered."""
        self.read_on()
        before = self.page.evaluate(SCREEN)
        self.settle()
        self.page.locator(selector).first.click()
        self.page.wait_for_function(f"(before) => ({SCREEN})() !== before && !document.querySelector('.foot [disabled]')", arg=before)
        self.settle()  # the work is over; the change of address that it asked for comes a moment later

    def go(self, path: str) -> None:
        """Go to a screen by its address."""
        self.page.goto(f"{self.address}/phone/#/{path}")

    def sign_in(self, login: str, password: str) -> None:
        """First sign-in on this phone, with network."""
        self.page.wait_for_selector("#login")
        self.page.fill("#login", login)
        self.page.fill("#password", password)
        self.tap("form button.primary")
        self.choose_pin()
        self.page.wait_for_selector("text=Acting:")

    def choose_pin(self, pin: str = PIN) -> None:
        """After a sign-in: the PIN for this phone, typed twice."""
        self.page.wait_for_selector("#again")
        self.page.fill("#pin", pin)
        self.page.fill("#again", pin)
        self.tap("form button.primary")

    def by_pin(self, button: str, pin: str = PIN) -> None:
        """Tap the button with a name on it, then show the PIN."""
        self.tap(f"button:has-text('{button}')")
        self.page.fill("#pin", pin)
        self.tap(f"form button.primary:has-text('{button}')")

    def unsent(self) -> int:
        """What the head of the screen says is not yet sent."""
        text = self.page.inner_text(".unsent")
        return int(text.rsplit(" ", 1)[-1]) if "not yet sent" in text else 0

    def type_number(self, field: str, keys: str) -> None:
        """Type on the app's own pad, key by key, and enter."""
        self.page.click(field)
        for key in keys:
            self.page.click(f'.pad button:text-is("{key}")')
        self.page.click(".pad .finish")

    def modules(self) -> None:
        """Let this page import the modules of web/ one by one from /as-written/, as `shaftside` does not serve them: it joins them."""
        web = content.folder("web")

        def give(route: Route) -> None:
            path = web / route.request.url.split("/as-written/", 1)[1]
            route.fulfill(body=path.read_text(encoding="utf-8"), content_type="text/javascript")

        self.context.route("**/as-written/**", give)

    def wait_kept(self, typed: str) -> None:
        """Until what was typed stands in the phone's store, where a kill cannot take it: at once, on any phone."""
        self.page.wait_for_function(KEPT_DRAFT, arg=typed, timeout=3_000)

    def events(self) -> list[dict[str, Any]]:
        """Every event in the phone's store, in order of writing."""
        found: list[dict[str, Any]] = self.page.evaluate(
            """() => new Promise((resolve, reject) => {
                const opening = indexedDB.open("shaftside");
                opening.onerror = () => reject(opening.error);
                opening.onsuccess = () => {
                    const asked = opening.result.transaction("events").objectStore("events").getAll();
                    asked.onsuccess = () => { opening.result.close(); resolve(asked.result.map((kept) => kept.event)); };
                };
            })"""
        )
        return sorted(found, key=lambda event: (event["device"], event["seq"]))

    def written(self) -> list[dict[str, Any]]:
        """The events that this phone wrote itself; others came from the server."""
        device = self.page.evaluate(f"({META})('device')")
        return [event for event in self.events() if event["device"] == device]

    def __enter__(self) -> PhoneApp:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        self.context.close()

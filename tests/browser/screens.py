"""Keeps a picture of every screen that the browser tests reach, and shows them all on one page.

`keep(page)` writes FOLDER/SURFACE--ROOM--STATE--THEME-WIDTH.png, once a run. A room is a screen function of web/app.js `view()`
or a page of the desk; PHONE and DESK promise a picture of each and name the test file that takes it. tests/app/test_screens.py
compares the two lists with the code; after a run `missing()` says what a file that passed did not take.
"""

from __future__ import annotations

import os
import re
import time
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import jinja2

if TYPE_CHECKING:
    from playwright.sync_api import Page

ROOT = Path(__file__).resolve().parents[2]
FOLDER = Path(os.environ.get("SHAFTSIDE_SCREENS") or ROOT / "var" / "screens")
SINCE = "SHAFTSIDE_SCREENS_SINCE"  # when the run began; the workers of one run share it
# Where each screen of the phone is (words after #/, or what is seen on it), and the test file that stands on it.
PHONE: dict[str, tuple[str, str]] = {
    "pinScreen": ("#again", "test_phone_pin.py"),
    "peopleScreen": ("#login", "test_phone_access.py"),
    "homeScreen": ("", "test_phone_access.py"),
    "guideScreen": ("guide", "test_phone_access.py"),
    "sheetScreen": ("guide/.+", "test_phone_hands.py"),
    "noteScreen": ("note/[^/]+", "test_phone_hands.py"),
    "tableScreen": ("note/[^/]+/.+", "test_phone_hands.py"),
    "scanScreen": ("scan", "test_phone_label.py"),
    "positionsScreen": ("positions", "test_phone_access.py"),
    "positionScreen": ("position/.+", "test_phone_access.py"),
    "positionForm": ("new|edit/.+", "test_phone_access.py"),
    "startScreen": ("start/.+", "test_phone_access.py"),
    "settingsScreen": ("settings", "test_phone_access.py"),
    "sendingScreen": ("sending", "test_phone_access.py"),
    "photoScreen": ("photo/.+", "test_phone_acts.py"),
    "missingJob": ("job/none", "test_phone_access.py"),
    "energyScreen": ("job/[^/]+/energy", "test_phone_hands.py"),
    "stepScreen": ("job/[^/]+/step/.+", "test_phone_access.py"),
    "jobScreen": ("job/[^/]+", "test_phone_hands.py"),
}
# Every page of the desk by its route.
DESK: dict[str, str] = {
    "/desk/": "test_desk.py",
    "/desk/sign-in": "test_desk.py",
    "/desk/setup": "test_desk.py",
    "/desk/invitation/{token}": "test_desk.py",
    "/desk/jobs": "test_desk.py",
    "/desk/jobs/{job_id}": "test_desk.py",
    "/desk/jobs/{job_id}/sign": "test_desk.py",
    "/desk/jobs/{job_id}/working": "test_desk.py",
    "/desk/jobs/{job_id}/print": "test_desk.py",
    "/desk/positions": "test_desk.py",
    "/desk/positions/import": "test_desk.py",
    "/desk/positions/{position_id}": "test_desk.py",
    "/desk/labels": "test_desk.py",
    "/desk/failures": "test_desk.py",
    "/desk/failures/{failure_id}": "test_desk.py",
    "/desk/sheets": "test_desk.py",
    "/desk/sheets/{name}": "test_desk.py",
    "/desk/sheets/{name}/tables/{table}": "test_desk.py",
    "/desk/calendar": "test_desk.py",
    "/desk/read-in": "test_desk.py",
    "/desk/devices": "test_desk.py",
    "/desk/people": "test_desk.py",
    "/desk/people/{person_id}": "test_desk.py",
    "/desk/me": "test_desk.py",
    "/desk/plant-values": "test_desk_plant_values.py",
    "/desk/plant-values/set": "test_desk_plant_values.py",
}
# How the screen is shown: theme, width, and what a person chose or the test set.
LOOKS = """() => { const root = document.documentElement, is = (asked) => matchMedia(asked).matches;
    const theme = is('(forced-colors: active)') ? 'forced' : is('print') ? 'print' : root.dataset.theme === 'glare' ? 'sun'
        : is('(prefers-color-scheme: dark)') && root.dataset.theme !== 'light' ? 'dark' : 'light';
    return {look: [theme, root.lang === 'en' ? '' : root.lang, root.style.fontSize ? 'large' : '', innerWidth].filter(Boolean).join('-'),
        again: !!document.querySelector('#again'), login: !!document.querySelector('#login')}; }"""
# A head or foot that sticks would stand in the middle of a picture of the whole page. (The app's content policy forbids a style sheet here.)
STICK = "(how) => document.querySelectorAll('.screen > .head, .screen > .foot').forEach((one) => (one.style.position = how))"


def phone_room(address: str, seen: Iterable[str] = ()) -> str:
    """The screen function that draws an address (words after #/); `seen`: selectors of PHONE found on the page."""
    for name, (where, _) in PHONE.items():
        if where in seen if where.startswith("#") else re.fullmatch(where, address):
            return name
    return "homeScreen"


def desk_room(path: str) -> str:
    """The desk's route of a path; the one with the fewest places to fill in. Else "other"."""
    found = [one for one in DESK if re.fullmatch(re.sub(r"{\w+}", "[^/]+", one), path)]
    return min(found, key=lambda one: one.count("{"), default="other")


def name_of(surface: str, room: str, state: str, look: str) -> str:
    """A file's name without its ending."""
    room = re.sub(r"[{}]", "", room.removeprefix("/desk").strip("/") or "today") if surface == "desk" else room
    return "--".join(re.sub(r"[^A-Za-z0-9]+", "-", one).strip("-")[:60] or "plain" for one in (surface, room, state)) + f"--{look}"


def keep(page: Page, state: str = "", whole: bool = True) -> None:
    """Keep a picture of what is on the screen, unless this run has it. state: what the room's name does not say."""
    path = page.url.split("?")[0].split("#")[0]
    path = "/" + path.split("/", 3)[-1]
    seen = page.evaluate(LOOKS)
    if path.startswith("/phone"):
        address = page.url.split("#/", 1)[1] if "#/" in page.url else ""
        room = phone_room(address, [f"#{one}" for one in ("again", "login") if seen[one]])
        surface, state = "phone", state if state != address else re.sub(r"job/[^/]+|^\w+$", "", address)
    else:
        room = desk_room(path)
        surface, state = "desk", "" if state == path else state
    to = FOLDER / f"{name_of(surface, room, state, seen['look'])}.png"
    if taken(to):
        return
    FOLDER.mkdir(parents=True, exist_ok=True)
    to.touch()  # before the picture: another worker at the same screen passes on
    if whole:
        page.evaluate(STICK, "static")
    page.screenshot(path=to, full_page=whole, timeout=60_000)  # a long page on a busy machine; a picture is no reason to fail
    if whole:
        page.evaluate(STICK, "")


def taken(file: Path) -> bool:
    """Whether this run has it."""
    return file.exists() and file.stat().st_mtime >= float(os.environ.get(SINCE, "0"))


def begin() -> None:
    """A run begins: what is there from before is taken anew where a test comes by."""
    os.environ.setdefault(SINCE, f"{time.time():.3f}")


def missing(passed: set[str]) -> list[str]:
    """Promised by test files that passed whole, and not taken in this run."""
    have = {one.name.split("--")[1] for one in FOLDER.glob("*.png") if taken(one)}
    promised = [(name, file) for name, (_, file) in PHONE.items()]
    promised += [(name_of("desk", route, "", "").split("--")[1], file) for route, file in DESK.items()]
    return [f"{name} ({file})" for name, file in promised if file in passed and name not in have]


SHEET = jinja2.Environment(autoescape=True).from_string("""<!doctype html>
<html lang="en"><meta charset="utf-8"><title>Screens</title>
<style>
body { font: 16px/1.4 system-ui, sans-serif; margin: 2rem; background: #777; color: #000; }
section { background: #eee; padding: 1rem; margin-block: 1rem; border-radius: 8px; }
div { display: flex; flex-wrap: wrap; gap: 1rem; align-items: flex-start; }
figure { margin: 0; width: 15rem; } figure.broad { width: 32rem; }
img { width: 100%; max-height: 34rem; object-fit: cover; object-position: top; border: 1px solid #555; }
</style>
<h1>{{ count }} screens in {{ rooms | length }} rooms</h1>
<p>{% for room in rooms %}<a href="#{{ room }}">{{ room }}</a> {% endfor %}</p>
{% for room, files in rooms.items() %}<section id="{{ room }}"><h2>{{ room }}: {{ files | length }}</h2><div>
{% for file, words, broad in files %}<figure{% if broad %} class="broad"{% endif %}><a href="{{ file }}"><img src="{{ file }}" alt="" loading="lazy"></a><figcaption>{{ words }}</figcaption></figure>
{% endfor %}</div></section>
{% endfor %}</html>
""")


def contact_sheet() -> tuple[int, Path]:
    """Write index.html over all that is in the folder, grouped by room; how many pictures, and where."""
    rooms: dict[str, list[tuple[str, str, bool]]] = {}
    files = sorted(FOLDER.glob("*--*--*--*.png"))
    for file in files:
        surface, room, state, look = file.stem.split("--")
        rooms.setdefault(f"{surface}-{room}", []).append((file.name, f"{state}, {look}".replace("-", " "), look.endswith("1280")))
    index = FOLDER / "index.html"
    if files:
        index.write_text(SHEET.render(rooms=rooms, count=len(files)), encoding="utf-8")
    return len(files), index

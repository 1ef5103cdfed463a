"""Every screen of the phone and every page of the desk is among the pictures that the browser tests promise to keep."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from pathlib import Path

from fastapi.responses import HTMLResponse
from fastapi.routing import APIRoute
from starlette.routing import BaseRoute

from shaftside import pages

ROOT = Path(__file__).resolve().parents[2]
sys.path.append(str(ROOT / "tests" / "browser"))
import screens  # noqa: E402

NO_SCREEN = {"shut", "openJob", "jobTitles"}  # what view() asks before it draws


def drawn() -> set[str]:
    """The screen functions that view() of web/app.js calls."""
    source = (ROOT / "web" / "app.js").read_text(encoding="utf-8")
    view = re.search(r"^function view\(phone\) {\n(.*?)^}", source, re.S | re.M)
    assert view
    return set(re.findall(r"(\w+)\(phone\b", view[1])) - NO_SCREEN


def flat(routes: list[BaseRoute]) -> Iterator[APIRoute]:
    """Every route, those of routers within routers too."""
    for one in routes:
        inner = getattr(one, "routes", None) or getattr(getattr(one, "original_router", None), "routes", None)
        if isinstance(one, APIRoute):
            yield one
        elif inner:
            yield from flat(inner)


def test_every_screen_of_the_phone_is_promised() -> None:
    assert set(screens.PHONE) == drawn()


def test_every_page_of_the_desk_is_promised() -> None:
    assert set(screens.DESK) == {one.path for one in flat(pages.router().routes) if "GET" in one.methods and one.response_class is HTMLResponse}


def test_the_promise_is_made_by_a_test_file() -> None:
    files = {file for _, file in screens.PHONE.values()} | set(screens.DESK.values())
    for file in files:
        assert re.search(r"\b(keep|look)\(", (ROOT / "tests" / "browser" / file).read_text(encoding="utf-8")), file


def test_an_address_names_its_screen() -> None:
    assert screens.phone_room("job/0198/step/lock") == "stepScreen"
    assert screens.phone_room("guide/free_end") == "sheetScreen"
    assert screens.phone_room("job/0198", ["#login"]) == "peopleScreen"  # shut: the sign-in stands at any address
    assert screens.desk_room("/desk/positions/import") == "/desk/positions/import"
    assert screens.desk_room("/desk/positions/0198") == "/desk/positions/{position_id}"
    assert screens.name_of("desk", "/desk/jobs/{job_id}/sign", "", "dark-390") == "desk--jobs-job-id-sign--plain--dark-390"

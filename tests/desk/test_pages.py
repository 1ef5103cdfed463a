"""The desk's pages alone: who may see what, that nothing typed becomes markup, and what each form passes on."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from html import escape, unescape

import pytest
from fastapi.routing import APIRoute
from fastapi.testclient import TestClient

from shaftside.errors import ShaftsideError
from shaftside.pages import (
    access,
    acts,
    admin,
    failures,
    home,
    jobs,
    numbers,
    plant_values,
    positions,
    sheets,
    words,
)

from .standin import FAILURE, HEAD, JOB, PASSWORD, PEOPLE, POSITION, StandInPeople, StandInRecords, app

GETS = {
    "/desk/": set(PEOPLE),
    "/desk/jobs": set(PEOPLE),
    "/desk/jobs.csv": set(PEOPLE),
    f"/desk/jobs/{JOB}": set(PEOPLE),
    f"/desk/jobs/{JOB}/working": set(PEOPLE),
    f"/desk/jobs/{JOB}/print": set(PEOPLE),
    f"/desk/jobs/{JOB}/sign": {"lead"},
    "/desk/positions": set(PEOPLE),
    "/desk/positions/import": {"lead", "plan", "boss"},
    f"/desk/positions/{POSITION}": set(PEOPLE),
    "/desk/failures": set(PEOPLE),
    f"/desk/failures/{FAILURE}": set(PEOPLE),
    "/desk/sheets": set(PEOPLE),
    "/desk/plant-values": set(PEOPLE),
    "/desk/plant-values/set": {"lead"},
    "/desk/people": {"boss"},
    "/desk/devices": {"boss"},
    "/desk/people/tech": {"boss"},
    "/desk/me": set(PEOPLE),
}
POSTS = {
    **{f"/desk/jobs/{JOB}/{act}": {"lead"} for act in ("sign", "return", "decide", "accept", "choose", "agree")},
    "/desk/positions/import": {"lead", "plan", "boss"},
    "/desk/plant-values/set": {"lead"},
    f"/desk/plant-values/{JOB}/withdraw": {"lead"},
    **{f"/desk/people/{act}": {"boss"} for act in ("invite", "tech/roles", "tech/disable", "tech/enable", "tech/sessions/s1/revoke")},
}
PUBLIC = {"/desk/sign-in", "/desk/setup", "/desk/invitation/good", "/desk/assets/desk.css", "/desk/assets/desk.js"}
EVIL = "<script>alert(1)</script>\"'><img src=x onerror=alert(2)>{{7*7}}"


@pytest.fixture(autouse=True)
def plain_numbers(monkeypatch: pytest.MonkeyPatch) -> None:
    """These pages are tried without the calculation room: its words are tested with it."""
    monkeypatch.setattr(numbers, "show", lambda program, value, unit, system, lang: f"{value} {unit}")


def desk(who: str = "", mark: str = "") -> TestClient:
    client = TestClient(app(mark), follow_redirects=False)
    if who:
        client.cookies.set("as", who)
    return client


def records(client: TestClient) -> StandInRecords:
    found: StandInRecords = client.app.state.records  # type: ignore[attr-defined]
    return found


def people(client: TestClient) -> StandInPeople:
    found: StandInPeople = client.app.state.desk_people  # type: ignore[attr-defined]
    return found


@pytest.fixture
def lead() -> Iterator[TestClient]:
    with desk("lead") as client:
        yield client


@pytest.mark.parametrize(("path", "allowed"), GETS.items())
def test_roles_and_pages(path: str, allowed: set[str]) -> None:
    assert desk().get(path).headers["location"].startswith("/desk/sign-in?next=")
    for who in PEOPLE:
        answer = desk(who).get(path)
        assert answer.status_code == (200 if who in allowed else 403), (who, path)
        assert answer.headers["cache-control"] == "no-store"


@pytest.mark.parametrize(("path", "allowed"), POSTS.items())
def test_roles_and_forms(path: str, allowed: set[str]) -> None:
    assert desk().post(path).headers["location"] == "/desk/sign-in"
    for who in set(PEOPLE) - allowed:
        client = desk(who)
        assert client.post(path, data={"reason": "x", "name": "x"}).status_code == 403, (who, path)
        assert records(client).done == []
        assert people(client).done == []


def test_what_is_public_is_this_and_no_more() -> None:
    client = desk()
    for path in PUBLIC - {"/desk/setup"}:
        assert client.get(path).status_code == 200, path
    parts = (access, acts, admin, failures, home, jobs, plant_values, positions, sheets)
    for route in [one for part in parts for one in part.router.routes if isinstance(one, APIRoute)]:
        path = re.sub(r"{\w+}", "x", route.path)
        if path.startswith("/desk/") and "GET" in route.methods and not re.match(r"/desk/(sign-in|setup|invitation/|assets/)", path):
            assert client.get(path).status_code == 303, path


@pytest.mark.parametrize("path", [one for one in GETS if not one.endswith(".csv")] + ["/desk/invitation/good"])
def test_nothing_typed_becomes_markup(path: str) -> None:
    client = desk("lead" if "people" not in path and "invitation" not in path else "boss", EVIL)
    text = client.get(path).text
    assert "<script>alert" not in text
    assert "<img src=x" not in text
    assert "49" not in re.findall(r">\D*(49)\D*<", text), "a typed template is not run"
    if not path.endswith(("import", "working")):
        assert escape(EVIL[:20], quote=True) in text, "the words themselves are shown, escaped"


@pytest.mark.parametrize("path", [*GETS, "/desk/sign-in"])
def test_pages_obey_the_content_rules(path: str) -> None:
    text = desk("boss" if "people" in path else "lead" if path != "/desk/sign-in" else "").get(path).text
    if path.endswith(".csv"):
        return
    assert not re.search(r"<[^>]*\sstyle\s*=", text), "no inline style"
    assert not re.search(r"<[^>]*\son\w+\s*=", text), "no inline handler"
    assert all("src=" in tag for tag in re.findall(r"<script[^>]*>", text)), "no inline script"
    assert not re.search(r"(src|href)=\"https?://", text), "nothing from elsewhere"
    said = unescape(re.sub(r"<[^>]+>", " ", text))
    assert not re.search(r"\bsafe(ly)?\b", said, re.I), "the desk never calls a machine safe"
    ids = re.findall(r"\sid=\"([^\"]+)\"", text)
    assert len(ids) == len(set(ids)), [one for one in ids if ids.count(one) > 1]
    for label in re.findall(r"<label for=\"([^\"]+)\"", text):
        assert label in ids, f"label without its field: {label}"
    for table in re.findall(r"<table.*?</table>", text, re.S):
        assert "<caption" in table
        assert 'scope="col"' in table
    assert text.count("<h1") == 1


def ready(client: TestClient) -> None:
    """A job that nothing holds up."""
    held = records(client)
    held.blockers = []
    held.state |= {"claimed": [], "refused": []}


def signing(**more: object) -> dict[str, object]:
    return {"head": [HEAD], "meaning": "yes", "password": PASSWORD, **more}


def test_signing_passes_on_exactly_the_heads_that_were_shown(lead: TestClient) -> None:
    ready(lead)
    page = lead.get(f"/desk/jobs/{JOB}/sign").text
    shown = re.findall(r'name="head" value="(\w+)"', page)
    assert shown == [HEAD]
    answer = lead.post(f"/desk/jobs/{JOB}/sign", data=signing(head=["aa" * 32]))
    assert answer.headers["location"].endswith("said=signed")
    name, job, actor, heads, statement = records(lead).done[0]
    assert (name, job, actor.id, heads) == ("sign", JOB, "lead", ["aa" * 32])
    assert statement == words.STATEMENT


@pytest.mark.parametrize(
    ("form", "status", "says"),
    [
        (signing(password="wrong"), 403, "not your password"),
        (signing(password=""), 403, "not your password"),
        (signing(meaning=""), 422, "Tick what you mean"),
    ],
)
def test_signing_refused_at_the_form(lead: TestClient, form: dict[str, object], status: int, says: str) -> None:
    ready(lead)
    answer = lead.post(f"/desk/jobs/{JOB}/sign", data=form)
    assert answer.status_code == status
    assert says in answer.text
    assert records(lead).done == []
    assert PASSWORD not in answer.text


def test_signing_refused_by_the_records(lead: TestClient) -> None:
    ready(lead)
    records(lead).refuse = ShaftsideError(409, "heads_changed", "The record has changed since you saw it. Read it again.")
    answer = lead.post(f"/desk/jobs/{JOB}/sign", data=signing())
    assert answer.status_code == 409
    assert "The record has changed since you saw it" in answer.text


def test_no_form_to_sign_own_work_or_over_blockers(lead: TestClient) -> None:
    ready(lead)
    records(lead).blockers = [{"code": "outside_unaccepted", "step": "measure", "reading": "measure/gap"}]
    page = lead.get(f"/desk/jobs/{JOB}/sign").text
    assert "Sign off exactly this record" not in page
    assert "A reading is outside its window" in page
    assert "Accept it with a reason" in page
    ready(lead)
    records(lead).state["workers"] = ["tech", "lead"]
    page = lead.get(f"/desk/jobs/{JOB}/sign").text
    assert "Another lead signs it off" in page
    assert "Sign off exactly this record" not in page


def test_deviations_and_readings_outside_come_before_everything_else(lead: TestClient) -> None:
    page = lead.get(f"/desk/jobs/{JOB}/sign").text
    order = [page.index(mark) for mark in ("rounded ", 'class="reading tone-halt" id="r-', 'id="blockers"' if 'id="blockers"' in page else "Only claimed", 'id="zero"', 'id="steps"', 'id="sign"')]
    assert order == sorted(order)


@pytest.mark.parametrize(
    ("act", "form", "passed"),
    [
        ("decide", {"deviation": "d1", "decision": "accept", "reason": "why"}, ("decide", "d1", "accept", "why")),
        ("accept", {"event": "r1", "reason": "why"}, ("accept", "r1", "why")),
        ("choose", {"step": "s", "reading": "r", "chosen": "c", "reason": "why"}, ("choose", "s", "r", "c", "why")),
        ("agree", {"event": "e3", "reason": "why"}, ("agree", "e3", "why")),
        ("return", {"reason": "why"}, ("send_back", "why")),
    ],
)
def test_acts_and_their_reasons(lead: TestClient, act: str, form: dict[str, str], passed: tuple[str, ...]) -> None:
    assert lead.post(f"/desk/jobs/{JOB}/{act}", data=form | {"back": "sign"}).status_code == 303
    name, job, actor, *rest = records(lead).done[0]
    assert (name, *rest) == passed
    assert (job, actor.id) == (JOB, "lead")
    answer = lead.post(f"/desk/jobs/{JOB}/{act}", data=form | {"reason": "  ", "back": "sign"})
    assert answer.status_code == 422
    assert len(records(lead).done) == 1


def test_a_refused_act_keeps_what_was_typed(lead: TestClient) -> None:
    records(lead).refuse = ShaftsideError(409, "late", "Somebody else decided this already.")
    form = {"deviation": "d1", "decision": "rework", "reason": "new screw first", "back": "sign"}
    answer = lead.post(f"/desk/jobs/{JOB}/decide", data=form)
    assert answer.status_code == 409
    assert "Somebody else decided this already." in answer.text
    assert 'value="new screw first"' in answer.text
    assert '<option value="rework" selected>' in answer.text


def test_the_person_named_may_answer_a_claim() -> None:
    client = desk("tech")
    assert client.post(f"/desk/jobs/{JOB}/claim", data={"event": "ev1", "mine": "yes", "reason": "I did"}).status_code == 303
    assert records(client).done[0][0] == "answer_claim"
    assert records(client).done[0][3:] == ("ev1", True, "I did")


def test_print_has_everything_a_signed_record_needs(lead: TestClient) -> None:
    records(lead).state |= {"status": "signed", "signed": {"by": "lead", "at": "2026-03-03T08:00:00.000Z", "name": "Lea Lead", "heads": [HEAD], "statement": "I accept."}}
    page = unescape(lead.get(f"/desk/jobs/{JOB}/print").text)
    for needed in [JOB, HEAD[:12], "Signed off", "Lea Lead", "I accept.", "does not replace", "Locked", "Start tried", "Signatures", *words.DEFERENCE]:
        assert needed in page, needed
    assert 'class="gauge is-over"' in page, "the window is drawn"
    assert "Not signed off" not in page
    records(lead).state["status"] = "amended"
    assert "does not cover the whole record" in lead.get(f"/desk/jobs/{JOB}/print").text


def test_the_filter_reaches_the_search(lead: TestClient) -> None:
    lead.get("/desk/jobs", params={"text": " fan ", "machine": "F-2", "position": POSITION, "method": "cam_collar", "work": "mount", "status": "signed", "verdict": "over", "deviations": "open", "person": "tech", "since": "2026-01-01", "until": "2026-02-01"})  # fmt: skip
    q = records(lead).query
    assert (q.text, q.machine, q.position, q.method, q.work) == ("fan", "F-2", POSITION, "cam_collar", "mount")
    assert (q.status, q.verdict, q.deviations, q.person) == (("signed",), ("over",), "open", "tech")
    assert (q.since, q.until) == ("2026-01-01", "2026-02-01")


@pytest.mark.parametrize(
    ("params", "says"),
    [
        ({"since": "31.3.2026"}, "is not a day"),
        ({"since": "2026-03-02", "until": "2026-03-01"}, "before the first one"),
        ({"status": "nonsense"}, "not a choice"),
    ],
)
def test_a_filter_that_cannot_be_read_says_so_and_stays(lead: TestClient, params: dict[str, str], says: str) -> None:
    page = lead.get("/desk/jobs", params=params).text
    assert says in page
    if "since" in params:
        assert f'value="{params["since"]}"' in page


def test_list_is_sorted_and_paged(lead: TestClient) -> None:
    held = records(lead)
    held.rows = [held.line(job=f"job-{i:03}", machine_name=f"Fan {i:03}", started_at=f"2026-01-01T00:00:{i % 60:02}.000Z") for i in range(120)]
    page = lead.get("/desk/jobs", params={"sort": "machine", "page": "2"}).text
    assert re.findall(r"/desk/jobs/(job-\d+)\"", page)[:2] == ["job-050", "job-051"]
    assert "Page 2 of 3" in page
    assert lead.get("/desk/jobs", params={"page": "-1"}).status_code == 200
    assert lead.get("/desk/jobs", params={"page": "9" * 400}).status_code == 200


def test_csv_has_the_same_rows_and_runs_nothing(lead: TestClient) -> None:
    held = records(lead)
    held.rows = [held.line(machine_name="=HYPERLINK(1)", position_name="a,\"b\"\nc", area="@x")]
    answer = lead.get("/desk/jobs.csv", params={"status": "completed"})
    assert held.query.status == ("completed",)
    rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert rows[0]["machine name"] == "'=HYPERLINK(1)"
    assert rows[0]["area"] == "'@x"
    assert rows[0]["position"] == 'a,"b"\nc'
    assert "attachment" in answer.headers["content-disposition"]
    assert answer.headers["content-type"].startswith("text/csv"), "never shown as a page"


FILE = "machine;machine_name;position;locking_method;shaft_d [mm]\r\nF-2;Fan 2;drive end;;55\r\nB-1;Belt 1;head;cam_collar;40\r\n"


def test_import_shows_first_and_applies_only_what_was_shown() -> None:
    client = desk("plan")
    page = client.post("/desk/positions/import", files={"file": ("p.csv", b"\xef\xbb\xbf" + FILE.encode())}).text
    assert "<b>1</b> new" in page
    assert "<b>1</b> changed" in page
    assert "<del>50 mm</del>" in page
    assert "<ins>55 mm</ins>" in page
    assert records(client).done == [], "a dry run writes nothing"
    text = unescape(re.search(r'name="text" value="([^"]*)"', page).group(1))  # type: ignore[union-attr]
    seen = re.search(r'name="seen" value="(\w+)"', page).group(1)  # type: ignore[union-attr]
    other = client.post("/desk/positions/import", data={"text": text.replace("55", "56"), "seen": seen, "apply": "yes"})
    assert other.status_code == 200
    assert records(client).done == [], "a text that was not shown is shown first"
    assert client.post("/desk/positions/import", data={"text": text, "seen": seen, "apply": "yes"}).status_code == 303
    acts = records(client).done
    assert [(name, kind) for name, kind, *_ in acts] == [("act", "position_described")] * 2
    assert acts[0][2] == POSITION
    assert acts[0][3]["facts"]["shaft_d"] == {"typed": "55", "unit": "mm"}
    assert acts[1][3]["machine"] == {"id": "B-1", "name": "Belt 1", "area": ""}


def test_import_with_a_wrong_row_changes_nothing_and_keeps_the_text() -> None:
    client = desk("plan")
    wrong = FILE.replace("40", "40 furlong").replace("cam_collar", "glue")
    answer = client.post("/desk/positions/import", data={"text": wrong, "apply": "yes", "seen": ""})
    assert answer.status_code == 422
    assert "is not one of: cam_collar, ring_set_screws" in answer.text
    assert "the unit is not known" in answer.text
    assert "40 furlong" in answer.text
    assert records(client).done == []
    assert "No file was chosen" in client.post("/desk/positions/import", data={"text": " "}).text


def test_a_failure_is_reported_with_what_was_seen() -> None:
    client = desk("plan")
    path = f"/desk/positions/{POSITION}/failure"
    answer = client.post(path, data={"found_on": "2026-03-09", "text": "hot", "running_h": "1250", "appearance": "red dust"})
    assert answer.status_code == 303
    body = records(client).done[0][3]
    assert body == {"position": POSITION, "found_on": "2026-03-09", "text": "hot", "appearance": "red dust", "running_h": {"typed": "1250", "unit": "h"}}


@pytest.mark.parametrize(
    ("form", "says"),
    [
        ({"found_on": "2999-01-01", "text": "hot"}, "has not come yet"),
        ({"found_on": "last week", "text": "hot"}, "year-month-day"),
        ({"found_on": "2026-03-09", "text": ""}, "Say what was seen"),
        ({"found_on": "2026-03-09", "text": "hot", "running_h": "many"}, "not a number"),
        ({"found_on": "2026-03-09", "text": "hot", "running_h": "5 mm"}, "does not measure this"),
    ],
)
def test_a_failure_form_says_what_is_wrong_and_keeps_what_was_typed(form: dict[str, str], says: str) -> None:
    client = desk("plan")
    answer = client.post(f"/desk/positions/{POSITION}/failure", data=form | {"appearance": "keep this"})
    assert answer.status_code == 422
    assert says in unescape(answer.text)
    assert "keep this" in answer.text
    assert records(client).done == []


def test_the_failure_page_names_what_stands_out_and_what_cannot_be_told() -> None:
    page = unescape(desk("plan").get(f"/desk/failures/{FAILURE}").text)
    assert "Outside its window" in page
    assert "Gap" in page
    assert "7 days" in page, "2 to 9 March"
    assert "What this record cannot tell" in page
    assert "gives no running hours" in page


def test_signing_in_and_where_one_goes_then() -> None:
    client = desk()
    assert client.get("/desk/jobs?status=open").headers["location"] == "/desk/sign-in?next=/desk/jobs%3Fstatus%3Dopen"
    good = {"login": "lead", "password": PASSWORD}
    assert client.post("/desk/sign-in", data=good | {"next": "/desk/jobs?status=open"}).headers["location"] == "/desk/jobs?status=open"
    for elsewhere in ("https://evil.example/desk/", "//evil.example/desk/", "/desk/\\evil", "/api/x", "javascript:1"):
        assert desk().post("/desk/sign-in", data=good | {"next": elsewhere}).headers["location"] == "/desk/", elsewhere
    wrong = desk().post("/desk/sign-in", data={"login": "lead", "password": "nope"})
    assert wrong.status_code == 401
    assert 'value="lead"' in wrong.text
    assert "nope" not in wrong.text


def test_setup_only_while_there_is_nobody() -> None:
    client = desk()
    assert client.get("/desk/setup").headers["location"] == "/desk/sign-in"
    people(client).empty = True
    assert client.get("/desk/sign-in").headers["location"] == "/desk/setup"
    form = {"code": "9", "name": "Bo", "login": "bo", "password": PASSWORD, "again": PASSWORD}
    wrong = client.post("/desk/setup", data=form)
    assert wrong.status_code == 403
    assert 'value="Bo"' in wrong.text
    assert PASSWORD not in wrong.text
    assert "differ" in client.post("/desk/setup", data=form | {"again": "x"}).text
    assert client.post("/desk/setup", data=form | {"code": "123"}).status_code == 303


def test_an_invitation_is_shown_once() -> None:
    client = desk("boss")
    assert "Choose at least one role" in client.post("/desk/people/invite", data={"name": "Nina"}).text
    page = client.post("/desk/people/invite", data={"name": "Nina", "role": ["lead", "technician", "king"]})
    assert "http://testserver/desk/invitation/good" in page.text
    assert people(client).done == [("invite", "Nina", frozenset({"lead", "technician"}))]
    assert "invitation/good" not in client.get("/desk/people").text
    assert desk().get("/desk/invitation/used").status_code == 404


def test_choices_of_units_and_theme_are_kept() -> None:
    client = desk("lead")
    answer = client.post("/desk/preferences", data={"units": "inch", "theme": "dark", "back": f"/desk/jobs/{JOB}"})
    assert answer.headers["location"] == f"/desk/jobs/{JOB}"
    assert 'data-theme="dark"' in client.get("/desk/").text
    assert client.post("/desk/preferences", data={"units": "cubits", "back": "//x"}).headers["location"] == "/desk/"


def test_empty_desk_says_what_comes_next() -> None:
    client = desk("lead")
    records(client).rows = []
    for path, says in {"/desk/": "Nothing waits", "/desk/jobs": "No work has been recorded yet", "/desk/positions": "No position is described yet", "/desk/failures": "No failure is reported"}.items():
        assert says in client.get(path).text, path


def test_no_such_thing_is_a_page() -> None:
    answer = desk("lead").get("/desk/jobs/nothing")
    assert answer.status_code == 404
    assert "There is no such job." in answer.text
    assert "Go to Today" in answer.text

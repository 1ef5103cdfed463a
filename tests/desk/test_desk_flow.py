"""The desk's flows on the real application over real rooms: from the setup code to the failure beside its record."""

from __future__ import annotations

import asyncio
import csv
import io
import re

import pytest
from fastapi.testclient import TestClient

from shaftside.records import Actor, JobQuery
from shaftside.records.event import uuid7

from .desk_plant import PASSWORD, Desk, heads, words

GOOD_CSV = (
    "machine,machine_name,area,position,locking_method,shaft_d,screw,rotation\n"
    "X-1,Trial fan 1,Trials,drive end,ring_set_screws,50 mm,M8,clockwise\n"
    "X-1,Trial fan 1,Trials,free end,ring_set_screws,1-15/16 in,M8,clockwise\n"
)


def new_person(admin: TestClient, desk: Desk, name: str, login: str, role: str) -> TestClient:
    """Invite, take the link from the page, accept it in another browser."""
    page = admin.post("/desk/people/invite", data={"name": name, "role": role}).text
    link = re.search(r'<code class="link">([^<]+)</code>', page)
    assert link, page
    theirs = desk.browser()
    assert name in theirs.get(link[1]).text
    said = theirs.post(link[1], data={"login": login, "password": PASSWORD, "again": PASSWORD})
    assert said.url.path == "/desk/", said.text
    assert theirs.get(link[1]).status_code == 404, "a link works once"
    return theirs


def test_from_the_setup_code_to_the_first_sign_in(fresh: Desk) -> None:
    browser = fresh.browser()
    assert browser.get("/desk/").url.path == "/desk/setup", "a server without anybody leads to its setup"
    code = fresh.rooms.people.new_setup_code()
    form = {"code": "0000", "name": "Ada Invented", "login": "ada", "password": PASSWORD, "again": PASSWORD}
    wrong = browser.post("/desk/setup", data=form)
    assert wrong.status_code == 403
    assert "setup code is wrong" in wrong.text
    assert 'value="Ada Invented"' in wrong.text, "what was typed stays"
    differ = browser.post("/desk/setup", data=form | {"code": code, "again": "something else"})
    assert differ.status_code == 422
    done = browser.post("/desk/setup", data=form | {"code": code})
    assert done.url.path == "/desk/"
    assert "Ada Invented" in done.text
    lead = new_person(browser, fresh, "Lea Invented", "lea", "lead")
    assert lead.get("/desk/people").status_code == 403
    lead.post("/desk/sign-out")
    assert lead.get("/desk/jobs").url.path == "/desk/sign-in"
    assert lead.get("/desk/jobs").url.params["next"] == "/desk/jobs"
    bad = lead.post("/desk/sign-in", data={"login": "lea", "password": "not this one at all"})
    assert bad.status_code == 401
    assert "name or the password is wrong" in bad.text
    assert fresh.as_("lea").get("/desk/").status_code == 200


def test_a_file_of_positions_is_tried_dry_then_applied(desk: Desk) -> None:
    ravi = desk.as_("ravi")
    bad = GOOD_CSV.replace("50 mm", "50 kg").replace("clockwise\n", "sideways\n", 1)
    tried = ravi.post("/desk/positions/import", files={"file": ("p.csv", bad.encode(), "text/csv")})
    assert tried.status_code == 422
    said = words(tried.text)
    assert "1 row to put right" in said
    assert "does not measure this" in said
    assert "sideways" in said
    assert "Apply" not in said, "a file with a wrong row cannot be applied"
    assert "Trial fan 1" not in ravi.get("/desk/positions").text
    dry = ravi.post("/desk/positions/import", files={"file": ("p.csv", GOOD_CSV.encode(), "text/csv")})
    assert "2 new" in words(dry.text)
    assert "Trial fan 1" not in ravi.get("/desk/positions").text, "a dry run writes nothing"
    seen = re.search(r'name="seen" value="([0-9a-f]{64})"', dry.text)
    assert seen
    other = {
        "text": GOOD_CSV.replace("50 mm", "55 mm").replace("\n", "\r\n"),
        "seen": seen[1],
        "apply": "yes",
    }
    assert "Nothing has been written yet" in words(ravi.post("/desk/positions/import", data=other).text), (
        "only what was shown"
    )
    done = ravi.post("/desk/positions/import", data=other | {"text": GOOD_CSV.replace("\n", "\r\n")})
    assert done.url.path == "/desk/positions"
    assert "Trial fan 1" in done.text
    assert "The file is applied." in done.text
    again = ravi.post("/desk/positions/import", files={"file": ("p.csv", GOOD_CSV.encode(), "text/csv")})
    assert "2 as they are" in words(again.text)
    assert "nothing to do" in again.text
    assert desk.as_("tess").get("/desk/positions/import").status_code == 403


def test_a_sleeve_whose_bore_is_not_larger_than_the_shaft_is_no_row_to_apply(desk: Desk) -> None:
    ravi = desk.as_("ravi")
    head, row = "machine,position,locking_method,shaft_d,bore\n", "X-9,drive end,adapter_sleeve,{},{}\n"

    def tried(shaft: str, bore: str) -> tuple[int, str]:
        answer = ravi.post("/desk/positions/import", files={"file": ("p.csv", (head + row.format(shaft, bore)).encode(), "text/csv")})
        return answer.status_code, words(answer.text)

    for shaft, bore in (("50 mm", "50 mm"), ("2-3/16 in", "55 mm")):
        status, said = tried(shaft, bore)
        assert status == 422
        assert "bore: On a sleeve the bore is larger than the shaft. Check both" in said
        assert "Apply" not in said
    assert tried("50 mm", "55 mm")[0] == 200


def test_a_lead_signs_exactly_what_stood_on_the_page(desk: Desk) -> None:
    job = desk.examples["waiting_deviations"]
    maud = desk.as_("maud")
    page = maud.get(f"/desk/jobs/{job}/sign").text
    first = page[page.index('id="first"') : page.index('id="zero"')]
    assert first.index("Deviation") < first.index("Accept this reading"), "deviations before readings"
    assert first.count("Accept this reading") == 2
    assert "Sign off exactly" not in page, "no form while something is in the way"
    seen = desk.rooms.records.job(job).state["heads"]
    early = maud.post(f"/desk/jobs/{job}/sign", data={"head": seen, "meaning": "yes", "password": PASSWORD})
    assert early.status_code == 409
    deviation = re.search(r'name="deviation" value="([^"]+)"', page)
    assert deviation
    decide = {"deviation": deviation[1], "decision": "accept", "reason": "", "back": "sign"}
    empty = maud.post(f"/desk/jobs/{job}/decide", data=decide)
    assert empty.status_code == 422
    assert "Give a reason" in empty.text
    assert '<option value="accept" selected>' in empty.text, "the choice is kept"
    maud.post(f"/desk/jobs/{job}/decide", data=decide | {"reason": "Cleaned and looked at again."})
    for reading in re.findall(r'name="event" value="([^"]+)"', first):
        said = maud.post(
            f"/desk/jobs/{job}/accept",
            data={"event": reading, "reason": "Measured again by me.", "back": "sign"},
        )
        assert said.status_code == 200, words(said.text)[:400]
    page = maud.get(f"/desk/jobs/{job}/sign").text
    assert "Later work, and not in the way" in page
    now = heads(page)
    assert now
    assert now != seen
    form = {"head": now, "meaning": "yes", "password": PASSWORD}
    stale = maud.post(f"/desk/jobs/{job}/sign", data=form | {"head": seen})
    assert stale.status_code == 409
    assert desk.rooms.records.job(job).state["status"] == "completed"
    unmeant = maud.post(f"/desk/jobs/{job}/sign", data={"head": now, "password": PASSWORD})
    assert unmeant.status_code == 422
    wrong = maud.post(f"/desk/jobs/{job}/sign", data=form | {"password": "not my password at all"})
    assert wrong.status_code == 403
    assert "Nothing was signed" in wrong.text
    signed = maud.post(f"/desk/jobs/{job}/sign", data=form)
    assert signed.url.path == f"/desk/jobs/{job}"
    assert "Signed off, on exactly what you saw." in signed.text
    state = desk.rooms.records.job(job).state
    assert state["status"] == "signed"
    assert desk.rooms.records.verify(job) == []
    record = words(maud.get(f"/desk/jobs/{job}/print").text)
    assert "Signed off" in record
    assert "Maud Hollimarsh" in record
    assert "I did not do this work." in record
    assert "outstanding" in record, "later work is listed and did not hold the signature up"
    again = maud.post(f"/desk/jobs/{job}/sign", data=form)
    assert again.status_code == 409


def test_who_worked_on_it_does_not_sign_it(desk: Desk) -> None:
    job = desk.examples["waiting_clean"]
    admin, omar = desk.as_("ines"), desk.as_("omar")
    who = next(one.id for one in desk.rooms.people.people() if one.login == "omar")
    assert who in desk.rooms.records.job(job).state["workers"]
    assert omar.get(f"/desk/jobs/{job}/sign").status_code == 403, "a technician has no sign-off page"
    admin.post(f"/desk/people/{who}/roles", data={"role": ["technician", "lead"]})
    page = omar.get(f"/desk/jobs/{job}/sign")
    assert page.status_code == 200, "a change of role holds at once"
    assert "You worked on this job. Another lead signs it off." in page.text
    now = desk.rooms.records.job(job).state["heads"]
    said = omar.post(f"/desk/jobs/{job}/sign", data={"head": now, "meaning": "yes", "password": PASSWORD})
    assert said.status_code in (403, 409)
    assert desk.rooms.records.job(job).state["status"] == "completed"
    maud = desk.as_("maud")
    bare = maud.post(f"/desk/jobs/{job}/return", data={"reason": " "})
    assert bare.status_code == 422
    assert "Say what has to be done" in bare.text
    done = maud.post(f"/desk/jobs/{job}/return", data={"reason": "Photograph the witness marks."})
    assert "Returned for rework" in done.text
    state = desk.rooms.records.job(job).state
    assert state["status"] == "returned"
    assert "Photograph the witness marks." in words(maud.get(f"/desk/jobs/{job}/print").text)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("method", "cam_collar"), ("status", "signed"), ("verdict", "stop"), ("deviations", "any"), ("work", "remove"),
        ("since", "2026-06-01"), ("until", "2025-06-01"), ("text", "conveyor"),
    ],
)  # fmt: skip
def test_the_list_and_its_csv_hold_the_same_jobs(desk: Desk, field: str, value: str) -> None:
    ravi = desk.as_("ravi")
    everything = rows(ravi, "")
    found = rows(ravi, f"{field}={value}")
    assert 0 < len(found) < len(everything)
    page = words(ravi.get(f"/desk/jobs?{field}={value}").text)
    assert f"{len(found)} installation" in page
    column, holds = {
        "method": ("locking method", lambda text: text == "Eccentric (cam) collar"),
        "status": ("status", lambda text: text == "Signed off"),
        "verdict": ("readings", lambda text: "Stop" in text),
        "deviations": ("deviations", lambda text: int(text) > 0),
        "work": ("work", lambda text: text == "Removal"),
        "since": ("started (UTC)", lambda text: text >= "2026-06-01"),
        "until": ("started (UTC)", lambda text: text < "2025-06-02"),
        "text": ("machine name", lambda text: "conveyor" in text.casefold()),
    }[field]
    assert all(holds(one[column]) for one in found)
    assert not all(holds(one[column]) for one in everything), "the filter leaves something out"


def test_the_list_by_machine_position_and_person(desk: Desk) -> None:
    ravi = desk.as_("ravi")
    one = next(iter(desk.rooms.records.positions()))
    tess = next(who for who in desk.rooms.people.people() if who.login == "tess")
    assert {row["machine"] for row in rows(ravi, f"machine={one.machine}")} == {one.machine}
    assert {row["position"] for row in rows(ravi, f"position={one.position}")} == {one.name}
    hers = rows(ravi, f"person={tess.id}")
    assert hers
    assert all(tess.name in row["people"] for row in hers)
    assert "is not a day" in ravi.get("/desk/jobs?since=yesterday").text
    assert "Nothing matches." in ravi.get("/desk/jobs?text=zzzz").text


def test_a_formula_in_a_name_stays_text_in_the_csv(desk: Desk) -> None:
    held = desk.rooms.records
    old = held.job(desk.examples["waiting_clean"]).state
    started = next(one["event"] for one in held.events(old["job"]) if one["event"]["kind"] == "job_started")
    evil = {"id": "@F", "name": '=HYPERLINK("http://x.invalid")', "area": " +cmd|'/c'!A1"}
    body = started["body"] | {"machine": evil, "position_name": "-2+3"}
    job = uuid7()
    asyncio.run(
        held.act("job_started", job, body, Actor(old["workers"][0], "Omar", frozenset({"technician"})))
    )
    row = next(one for one in rows(desk.as_("ravi"), "") if one["job"] == job)
    told = [row[name] for name in ("machine", "machine name", "area", "position")]
    assert told == ["'@F", '\'=HYPERLINK("http://x.invalid")', "' +cmd|'/c'!A1", "'-2+3"]


def rows(client: TestClient, query: str) -> list[dict[str, str]]:
    """The list as CSV, a dict a row."""
    said = client.get(f"/desk/jobs.csv?{query}")
    assert said.headers["content-type"].startswith("text/csv")
    return list(csv.DictReader(io.StringIO(said.content.decode("utf-8-sig"))))


def test_a_failure_is_set_beside_the_installation_it_follows(desk: Desk) -> None:
    job = desk.examples["undersize_accepted"]
    position = desk.rooms.records.job(job).state["position"]
    ravi = desk.as_("ravi")
    form = {"found_on": "2027-01-01", "text": "", "running_h": "many"}
    wrong = ravi.post(f"/desk/positions/{position}/failure", data=form)
    assert wrong.status_code == 422
    said = words(wrong.text)
    assert "Say what was seen" in said
    assert "Running hours:" in said
    good = {
        "found_on": "2026-11-20",
        "text": "Ring turned on the shaft.",
        "running_h": "1250",
        "appearance": "brown powder",
    }
    done = ravi.post(f"/desk/positions/{position}/failure", data=good)
    assert done.url.path.startswith("/desk/failures/"), words(done.text)[:300]
    page = words(done.text)
    assert "Ring turned on the shaft." in page
    assert "1250 h" in page
    assert "The installation it follows" in page
    assert "Ring turned on the shaft." in ravi.get("/desk/failures").text
    assert "Ring turned on the shaft." in ravi.get(f"/desk/positions/{position}").text


def test_what_was_out_of_limits_stands_beside_the_failure(desk: Desk) -> None:
    page = desk.as_("ravi").get(f"/desk/failures/{desk.examples['f_undersize']}").text
    job = desk.examples["undersize_accepted"]
    link = re.search(rf'href="/desk/jobs/{job}#r-([0-9a-f-]+)"', page)
    assert link, "a finding points to its line of the record"
    assert f'id="r-{link[1]}"' in desk.as_("ravi").get(f"/desk/jobs/{job}").text
    assert "Outside its window" in words(page)
    assert "Facts of the record, not causes." in page


def test_the_administrator_sees_devices_and_ends_a_sign_in(desk: Desk) -> None:
    phone = desk.browser()
    place = "0192f000-0000-7000-8000-0000000000aa"
    who = {"login": "jonas", "password": PASSWORD, "device_id": place, "device_name": "Jonas' phone (test)"}
    assert phone.post("/api/sign-in", json=who).status_code == 200
    admin = desk.as_("ines")
    assert 'href="/desk/devices"' in admin.get("/desk/people").text
    page = admin.get("/desk/devices").text
    row = page[page.index("Jonas&#39; phone (test)") :].split("</tr>")[0]
    assert "none yet" in row, "it has sent nothing"
    assert re.search(r"\d{4}-\d\d-\d\d \d\d:\d\d UTC", page[page.index("<tbody>") :].split("</tr>")[0])
    act = re.search(r'action="([^"]+/revoke)"', row)
    assert act
    assert phone.get("/api/me").status_code == 200
    back = admin.post(act[1], data={"back": "/desk/devices"})
    assert back.url.path == "/desk/devices"
    assert phone.get("/api/me").status_code == 401, "the phone has to sign in again"
    assert desk.as_("maud").get("/desk/devices").status_code == 403


def test_the_working_speaks_in_labels(desk: Desk) -> None:
    bundle = desk.rooms.handbooks.current.data["calc"]
    names = {
        line["name"] for sheet in bundle["sheets"].values() for line in [*sheet["lines"], *sheet["inputs"]]
    }
    raw = {name for name in names if "_" in name}
    assert len(raw) > 50
    for story in ("waiting_clean", "near_limit", "undersize_accepted"):
        page = desk.as_("maud").get(f"/desk/jobs/{desk.examples[story]}/working").text
        assert "<math>" in page
        assert raw & set(re.findall(r"\w+", words(page))) == set()


def test_windows_stand_in_the_units_of_what_was_typed(desk: Desk) -> None:
    inch = next(
        job
        for job in desk.rooms.records.search(JobQuery(text="inch built", limit=100))
        if "measure_shaft/sizes" in desk.rooms.records.job(job.job).state["readings"]
    )
    client = desk.as_("maud")
    event = desk.rooms.records.job(inch.job).state["readings"]["measure_shaft/sizes"]["current"]

    def card() -> str:
        page = client.get(f"/desk/jobs/{inch.job}").text
        return words(page[page.index(f'id="r-{event}"') :].split("</article>")[0])

    assert re.search(r"limits [\d.]+ in to [\d.]+ in", card())
    client.post("/desk/preferences", data={"units": "metric", "back": "/desk/"})
    assert re.search(r"limits [\d.]+ mm to [\d.]+ mm", card())


VALUE = {
    "line": "set_screw_torque.target", "value": "60 N.m", "document": "Instruction sheet 12 (invented)", "revision": "C", "page": "4",
    "where.screw": "M8", "in.place": "ring", "in.hardness": "45H",
}  # fmt: skip


def test_a_lead_sets_a_plants_value_after_seeing_what_it_would_do(fresh: Desk) -> None:
    """The preview shows the sheet's own number and what speaks against the value; then it is set, changed, withdrawn."""
    import asyncio

    for login, roles in (("lena", ["lead"]), ("tess", ["technician"])):
        asyncio.run(fresh.rooms.people.add(login.title(), roles, login=login, password=PASSWORD))
    lena, tess = fresh.as_("lena"), fresh.as_("tess")
    assert tess.get("/desk/plant-values/set").status_code == 403
    assert tess.post("/desk/plant-values/set", data=VALUE | {"do": "set"}).status_code == 403
    assert "Full torque" in lena.get("/desk/plant-values/set?sheet=set_screw_torque").text

    told = lena.post("/desk/plant-values/set", data=VALUE | {"do": "preview"})
    shown = words(told.text)
    assert "The sheet itself gives 13.5 N·m" in shown  # set-screw tables for bearing rings, M8 (common practice, no source)
    assert re.search(r"(Stop|Caution):", shown), shown  # four times the seating torque is not passed over in silence
    assert fresh.rooms.records.plant_values.all() == []
    slip = words(lena.post("/desk/plant-values/set", data=VALUE | {"value": "120 lbf.ft", "do": "preview"}).text)
    assert "is about 12 times what is wanted" in slip
    wrong = lena.post("/desk/plant-values/set", data=VALUE | {"document": "", "do": "set"})
    assert wrong.status_code == 422
    assert "Name the document" in wrong.text
    assert 'value="60 N.m"' in wrong.text  # nothing typed is lost

    assert "Saved." in lena.post("/desk/plant-values/set", data=VALUE | {"value": "15 N.m", "do": "set"}).text
    page = words(tess.get("/desk/plant-values").text)
    assert "15 N.m".replace(".", "·") in page
    assert "Instruction sheet 12 (invented), C, page 4" in page
    assert "Set-screw size: M8" in page
    assert "Withdraw" not in page
    (state,) = fresh.rooms.records.plant_values.all()
    again = lena.post("/desk/plant-values/set", data=VALUE | {"do": "set"})
    assert again.status_code == 409
    form = lena.get(f"/desk/plant-values/set?value={state['plant_value']}").text
    assert 'value="15 N.m"' in form
    changed = VALUE | {"record": state["plant_value"], "value": "14 N.m", "revision": "D", "do": "set"}
    assert "14 N·m" in words(lena.post("/desk/plant-values/set", data=changed).text)
    empty = lena.post(f"/desk/plant-values/{state['plant_value']}/withdraw", data={"reason": " "})
    assert empty.status_code == 422
    gone = words(lena.post(f"/desk/plant-values/{state['plant_value']}/withdraw", data={"reason": "sheet 13 came"}).text)
    assert "Records that used it keep it." in gone
    assert "sheet 13 came" in gone
    assert "15 N·m, Instruction sheet 12 (invented), C" in gone  # what it was before stays to be seen
    assert lena.get("/desk/plant-values/set?value=0192f000-0000-7000-8000-00000000ffff").status_code == 404
    assert fresh.rooms.records.verify() == []

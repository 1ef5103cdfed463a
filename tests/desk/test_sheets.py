"""The sheets on the desk: every one can be read whole, with its formulas set, its tables, and the handbook it is of."""

from __future__ import annotations

import re
from html import unescape

from shaftside.handbook.bundle import bind

from .desk_plant import Desk


def text_of(page: str) -> str:
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", page[page.index("<main") :])))


def test_every_sheet_and_every_table_has_its_page(desk: Desk) -> None:
    client = desk.as_("maud")
    program = desk.rooms.handbooks.current.data["calc"]
    index = client.get("/desk/sheets").text
    for name, sheet in program["sheets"].items():
        assert f'href="/desk/sheets/{name}"' in index, name
        answer = client.get(f"/desk/sheets/{name}")
        assert answer.status_code == 200, name
        page = answer.text
        said = text_of(page)
        first = min(page.index(f'<div class="signal {one["signal"]}">') for one in sheet["cautions"])
        assert first < page.index("How it reckons"), "cautions stand before the first formula"
        for part in ("Limits of use", "What it takes", "How it reckons", "How sure a number is", "The maker's instruction rules."):
            assert part in said, (name, part)
        for line in sheet["lines"]:
            source = sheet["sources"].get(line.get("source"))
            assert source is None or " ".join(source["text"].split()) in said, (name, line["name"])
        assert "<math>" in page or not any(line.get("symbol") for line in sheet["lines"]), name
        for table in set(re.findall(r'href="(/desk/sheets/\w+/tables/\w+)"', page)):
            rows = client.get(table).text
            held = program["tables"][table.rsplit("/", 1)[1]]
            assert rows.count("<tr>") == len(held["rows"]) + 1, table
            assert held["source"]["text"] in text_of(rows), table


def test_a_figure_stands_with_the_meaning_of_its_symbols(desk: Desk) -> None:
    page = desk.as_("maud").get("/desk/sheets/taper_drive_up").text
    assert '<svg viewBox="0 0 360' in page
    assert 'role="img" aria-label="Drive-up on a tapered sleeve"' in page
    legend = page[page.index('<dl class="legend">') :].split("</dl>")[0]
    assert "<mi>G</mi></math></dt><dd>Clearance now" in legend


def test_sheets_are_found_by_their_words(desk: Desk) -> None:
    client = desk.as_("maud")
    found = client.get("/desk/sheets?find=taper+sleeve").text
    assert 'href="/desk/sheets/taper_drive_up"' in found
    assert 'href="/desk/sheets/grease_fill"' not in found
    nothing = client.get("/desk/sheets?find=<b>zzz").text
    assert "No sheet speaks of “&lt;b&gt;zzz”" in nothing


def test_an_old_record_links_to_the_sheet_as_it_was(desk: Desk) -> None:
    client = desk.as_("maud")
    current = desk.rooms.handbooks.current
    page = client.get(f"/desk/jobs/{desk.examples['near_limit']}/working").text
    link = re.search(r'href="(/desk/sheets/\w+\?handbook=([0-9a-f]{64}))"', page)
    assert link
    assert client.get(link[1]).status_code == 200
    older = bind({**current.data, "calc": {**current.data["calc"], "sheets": {}}})
    desk.rooms.handbooks.put(older)
    desk.rooms.handbooks.put(current)
    assert "This handbook has no sheets." in client.get(f"/desk/sheets?handbook={older.hash}").text
    assert client.get(f"/desk/sheets/shaft_fit?handbook={older.hash}").status_code == 404
    for wrong in ("0" * 64, "../../etc", "%00"):
        assert client.get(f"/desk/sheets?handbook={wrong}").status_code == 404, wrong


def test_a_table_speaks_as_the_sheets_ask(desk: Desk) -> None:
    page = desk.as_("maud").get("/desk/sheets/clearance_check/tables/radial_clearance").text
    heads, cells = (re.findall(rf'<th scope="{one}"[^>]*>(.*?)</th>', page, re.DOTALL) for one in ("col", "row"))
    assert heads[:3] == ["Bearing", "Bore", "Clearance class marked on the bearing"]
    assert {"Spherical roller", "Tapered", "CN, or nothing marked"} <= set(cells)
    assert not {one for one in cells if "_" in one}


def test_no_such_sheet_or_table(desk: Desk) -> None:
    client = desk.as_("maud")
    for path in ("/desk/sheets/nothing", "/desk/sheets/shaft_fit/tables/nothing", "/desk/sheets/nothing/tables/threads"):
        answer = client.get(path)
        assert answer.status_code == 404, path
        assert "There is no such sheet" in answer.text


def test_the_working_reads_like_a_page_of_a_calculation(desk: Desk) -> None:
    page = desk.as_("maud").get(f"/desk/jobs/{desk.examples['near_limit']}/working").text
    said = text_of(page)
    assert re.search(r"Sheet .+, version \d+ Handbook [0-9a-f]{12} Taken by .+ Taken \d{4}-\d\d-\d\d", said)
    assert page.count('<ol class="calc-lines wide">') == page.count('<section class="calc"')
    assert "Checked by" in said

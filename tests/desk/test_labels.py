"""Labels from the desk: chosen positions on a sheet, each with its machine, name and short code; the camera for the phone alone."""

from __future__ import annotations

from shaftside.records.label_code import label_code

from .desk_plant import Desk


def test_a_sheet_of_labels_for_chosen_positions(desk: Desk) -> None:
    lead = desk.as_("maud")
    rows = desk.rooms.records.positions()
    assert "/desk/labels" in lead.get("/desk/positions").text
    choose = lead.get("/desk/labels").text
    assert choose.count('name="position"') == len(rows)
    chosen = rows[:3]
    sheet = lead.get("/desk/labels", params={"position": [one.position for one in chosen] + ["<x>", chosen[0].position]}).text
    assert sheet.count("<svg viewBox") >= 3
    for one in chosen:
        assert sheet.count(label_code(one.position)) == 1
        assert one.name in sheet
    assert label_code(rows[3].position) not in sheet
    assert "<x>" not in sheet
    assert "safe" not in sheet.split("<main")[1].lower()


def test_every_position_has_a_code_of_its_own(desk: Desk) -> None:
    rows = desk.rooms.records.positions("", retired=True)
    assert len({label_code(one.position) for one in rows}) == len(rows) > 20


def test_the_camera_is_allowed_to_the_phone_app_alone(desk: Desk) -> None:
    client = desk.browser()
    camera = {path: client.get(path).headers["permissions-policy"].split(",")[0] for path in ("/phone/", "/phone/app.js", "/desk/sign-in", "/api/health", "/", "/nothing")}
    assert {path: held for path, held in camera.items() if held == "camera=(self)"}.keys() == {"/phone/", "/phone/app.js"}
    assert {held for path, held in camera.items() if not path.startswith("/phone")} == {"camera=()"}

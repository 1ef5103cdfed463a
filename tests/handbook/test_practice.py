"""The procedures read as a fitter reads them: each rule of order that the trade holds to, in every procedure it touches.

The rules are common practice (no source) unless one is named; energy control as in 29 CFR 1910.147.
"""

from __future__ import annotations

from typing import Any

import pytest

from shaftside import calc, content, handbook

DATA = handbook.build(content.folder("procedures", None)).data
ALL = DATA["procedures"]
MOUNTS = sorted(name for name in ALL if name.endswith("_mount"))
REMOVES = sorted(name for name in ALL if name.endswith("_remove"))


def order(procedure: str) -> list[str]:
    return [step["step"] for step in ALL[procedure]["steps"]]


def step(procedure: str, name: str) -> dict[str, Any]:
    return next(one for one in ALL[procedure]["steps"] if one["step"] == name)


def before(procedure: str, *names: str) -> None:
    places = [order(procedure).index(name) for name in names]
    assert places == sorted(places), (procedure, names)


@pytest.mark.parametrize("procedure", sorted(ALL))
def test_nothing_at_the_machine_comes_before_the_proof_and_nothing_there_can_be_done_without_it(
    procedure: str,
) -> None:
    steps = ALL[procedure]["steps"]
    proof = next(one["step"] for one in steps if one.get("proves_zero_energy"))
    for one in steps:
        if one["phase"] in ("work", "return"):
            assert proof in one["needs"]
            assert order(procedure).index(proof) < order(procedure).index(one["step"])


@pytest.mark.parametrize("procedure", REMOVES)
def test_a_removal_looks_before_it_touches_and_chooses_no_seat(procedure: str) -> None:
    assert "choose_zone" not in order(procedure)
    before(procedure, "prove_zero", "found_look", "support_again", "shaft_damage", "measure_shaft")
    assert step(procedure, "found_look")["hold"] == "check"


@pytest.mark.parametrize("screws", ["one", "two"])
def test_a_clamp_collar_is_closed_in_halves_and_quarters_by_turns(screws: str) -> None:
    facts = {**dict.fromkeys((fact["name"] for fact in DATA["facts"]), None), "screws": screws}
    shown = [
        one["step"]
        for one in ALL["clamp_collar_mount"]["steps"]
        if one["step"].startswith("clamp_") and ("when" not in one or calc.truth(one["when"], facts))
    ]
    a = ["clamp_half", "clamp_three_quarters", "clamp_full", "clamp_again"]
    both = [name for one in a for name in (one, f"{one}_b")]
    assert shown == (both if screws == "two" else a)
    before("clamp_collar_mount", "collar_square", "clamp_half", "gap_open", "paint_line")


def test_a_cam_collars_screw_is_clear_before_it_slides_and_is_last_to_be_tightened() -> None:
    before(
        "cam_collar_mount",
        "screw_clear",
        "slide_on",
        "which_way",
        "cam_seat",
        "cam_drive",
        "collar_screw",
        "cam_line",
    )
    before(
        "cam_collar_remove",
        "collar_found",
        "screw_back",
        "which_way",
        "which_way_found",
        "cam_release",
        "cam_off",
    )


def test_the_cam_is_driven_by_what_was_read_at_the_machine_and_the_record_is_held_against_it() -> None:
    for procedure in ("cam_collar_mount", "cam_collar_remove"):
        take = step(procedure, "which_way")["readings"][0]["take"]
        assert take["rotation"]["reading"] == "find_rotation/rotation_seen"
        assert take["rotation_on_record"] == {"fact": "rotation"}
    program = DATA["calc"]
    seen = {
        "rotation": "clockwise",
        "rotation_seen_from": "drive_end",
        "reversing": False,
        "stands_at": "drive_end",
        "collar_side": "drive_end_side",
    }
    for record, differs in (("counter_clockwise", True), ("clockwise", False), ("unknown", False)):
        result = calc.evaluate(program, "cam_direction", {**seen, "rotation_on_record": record})
        assert ("rotation_differs" in [one["name"] for one in result["checks"]]) is differs
        assert result["values"]["turn_to_lock"] == "clockwise"


@pytest.mark.parametrize(
    ("reversing", "rotation", "by_rotation"),
    [(False, "clockwise", True), (True, "clockwise", False), (False, "unknown", False)],
)
def test_a_wrongly_chosen_cam_collar_can_still_be_taken_off(
    reversing: bool, rotation: str, by_rotation: bool
) -> None:
    facts = {"reversing": reversing, "rotation": rotation}
    assert calc.truth(step("cam_collar_remove", "which_way")["when"], facts) is by_rotation
    assert calc.truth(step("cam_collar_remove", "which_way_found")["when"], facts) is not by_rotation


def test_later_work_is_due_after_a_day_and_a_week_and_never_turns_an_adapter_nut() -> None:
    for procedure in MOUNTS:
        after = [one["after"]["running_h"] for one in ALL[procedure]["follow_ups"] if "running_h" in one["after"]]
        assert after == ([24, 168] if "sleeve" in procedure else [8, 24, 168]), procedure
        if "sleeve" in procedure:
            for one in ALL[procedure]["follow_ups"][:2]:
                assert "not tightened again" in one["why"]["en"]
                assert "torque" not in one["title"]["en"].lower()


@pytest.mark.parametrize("procedure", MOUNTS)
def test_the_held_end_is_placed_before_the_free_one_and_the_shaft_is_measured_before_the_bearing_goes_on(
    procedure: str,
) -> None:
    before(procedure, "measure_shaft", "place_held", "place_free")


def test_what_may_be_left_empty_is_never_asked_as_if_it_were_wanted() -> None:
    """A field that says "Left empty: ..." and is then refused empty teaches people to invent a figure."""
    for name, procedure in ALL.items():
        for one in procedure["steps"]:
            for reading in one["readings"]:
                specs = {spec["name"]: spec for spec in DATA["calc"]["sheets"].get(reading.get("sheet"), {}).get("inputs", [])}
                for asked in reading.get("ask", []):
                    assert "Left empty" not in specs[asked].get("help", {}).get("en", ""), (name, one["step"], asked)


def test_a_drive_up_wants_the_clearance_and_takes_travel_and_angle_where_they_were_measured() -> None:
    for procedure in ("adapter_sleeve_mount", "pull_off_sleeve_mount"):
        (reading,) = step(procedure, "drive_up")["readings"]
        assert "clearance_now" in reading["ask"]
        assert {"travel_now", "angle_now"} <= set(reading["may"])


@pytest.mark.parametrize("procedure", REMOVES)
def test_the_shaft_is_carried_before_anything_that_holds_it_lets_go_and_the_unit_is_free_before_the_pull(procedure: str) -> None:
    free = [one for one in ("screws_out", "screw_back", "cam_release", "cap_slack", "nut_back", "nut_left") if one in order(procedure)]
    before(procedure, "support_again", free[0])
    before(procedure, "support_again", "other_unit", "own_bolts", next(one for one in ("pull", "let_go", "nut_left") if one in order(procedure)))


@pytest.mark.parametrize("procedure", ["adapter_sleeve_mount", "pull_off_sleeve_mount"])
def test_a_sleeve_grips_before_its_housing_is_bolted_down_and_then_the_shaft_is_turned(procedure: str) -> None:
    """The ring moves along by its travel, the shaft's weight is off it: a bolted housing would hold both."""
    before(procedure, "bolts_finger", "align", "weight_off", "zero", "drive_up", "paint_line", "bolts_first", "bolts_round", "turn", "cap_bolts")


def test_the_nut_comes_off_for_its_washer_and_goes_back_on() -> None:
    before("adapter_sleeve_mount", "drive_up", "pressure_off", "nut_off", "new_washer", "nut_on", "tab_on")
    assert step("adapter_sleeve_mount", "tab_on")["needs"].count("nut_on") == 1


def test_the_travel_still_to_come_is_shown_where_the_ring_is_set_short_by_it() -> None:
    number = step("adapter_sleeve_mount", "place_travel")["number"]
    assert (number["sheet"], number["line"], number["to"]) == ("taper_drive_up", "travel_least", "travel_most")


def test_a_sleeve_job_carries_no_other_lock_s_words() -> None:
    for procedure in ("adapter_sleeve_mount", "pull_off_sleeve_mount", "adapter_sleeve_remove", "adapter_sleeve_check"):
        facts = dict.fromkeys((fact["name"] for fact in DATA["facts"]), None) | {"locking_method": procedure.rsplit("_", 1)[0]}
        for one in ALL[procedure]["steps"]:
            if "when" in one and not calc.truth(one["when"], facts):
                continue
            said = " ".join(text["en"].lower() for text in (one["do"], one["why"], one.get("caution", {}).get("text", {"en": ""})))
            assert "cam collar" not in said, one["step"]
            assert "a collar is struck" not in said, one["step"]
            assert [reading["label"]["en"] for reading in one["readings"] if "wrench for the lock" in reading["label"]["en"]] == []


def test_the_flatness_shown_for_a_foot_is_the_table_s_it7() -> None:
    help_ = step("adapter_sleeve_mount", "check_flat")["readings"][0]["help"]["en"]
    rows = {180: "0.040", 250: "0.046", 315: "0.052", 400: "0.057"}  # ISO 286-1, IT7 (secondary)
    assert all(f"{figure} mm up to {size}" in help_ for size, figure in rows.items()), help_
    table = {one["keys"][1][1]: one["values"]["tolerance"] for one in DATA["calc"]["tables"]["iso286_grades"]["rows"] if one["keys"][0] == "IT7"}
    assert {size: table[size / 1000] for size in rows} == {size: pytest.approx(float(figure) / 1000) for size, figure in rows.items()}

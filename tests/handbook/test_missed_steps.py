"""Each missed or wrong step of a mounting and what catches it: a step, a hold, a sheet's check or later work.

The list is trade practice, its consequences named as in ISO 15243 (rolling bearings, damage and failures). `holds` says that
the work after it stays closed until it is done.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import pytest

from shaftside import calc, content, handbook

DATA = handbook.build(content.folder("procedures", None)).data
ALL = DATA["procedures"]
RING = ("ring_set_screws", "set_screw_collar", "cam_collar", "clamp_collar")
SCREWS = ("ring_set_screws", "set_screw_collar")
SLEEVES = ("adapter_sleeve", "pull_off_sleeve")
EVERY = RING + SLEEVES
OPEN_ROLLER = {"sealed": False, "bearing_type": "spherical_roller"}


@dataclass(frozen=True)
class Missed:
    """What may be missed; the step that catches it; for which methods and facts; its sheet; whether it holds the work."""

    what: str
    step: str
    methods: tuple[str, ...] = EVERY
    work: str = "mount"
    facts: tuple[tuple[str, Any], ...] = ()
    sheet: str | None = None
    holds: bool = False


def _of(facts: dict[str, Any]) -> tuple[tuple[str, Any], ...]:
    return tuple(facts.items())


MISSED = [
    Missed("shaft undersize", "measure_shaft", sheet="shaft_fit", holds=True),
    Missed("shaft rough", "surface"),
    Missed("burr under the ring", "dress_shaft"),
    Missed("hammer on outer ring or seal", "slide_on", RING),
    Missed("screw loose: first tightening", "screw_b_again", SCREWS, sheet="set_screw_torque", holds=True),
    Missed("screw loose: collar screw", "collar_screw", ("cam_collar",), sheet="cam_collar_screw", holds=True),
    Missed("screw loose: clamp", "clamp_again", ("clamp_collar",), sheet="clamp_collar_torque", holds=True),
    Missed("screw loose after a run", "retorque_a", SCREWS, "check", sheet="retorque_due", holds=True),
    Missed("screw loose after a run: cam", "retorque_screw", ("cam_collar",), "check", sheet="retorque_due", holds=True),
    Missed("screw loose after a run: clamp", "retorque_a", ("clamp_collar",), "check", sheet="retorque_due", holds=True),
    Missed("screw too tight", "screw_a_full", SCREWS, sheet="set_screw_torque"),
    Missed("wrench wrong", "check_wrench", sheet="torque_wrench"),
    Missed("collar driven the wrong way, or reversing", "which_way", ("cam_collar",), sheet="cam_direction", holds=True),
    Missed("nut driven too little", "drive_up", SLEEVES, facts=_of(OPEN_ROLLER), sheet="taper_drive_up", holds=True),
    Missed("nut driven too far", "measure_after", ("adapter_sleeve",), facts=_of(OPEN_ROLLER), sheet="taper_drive_up", holds=True),
    Missed("nut driven too far: no feeler goes in", "seat_by_maker", SLEEVES, facts=_of({"sealed": True, "bearing_type": "insert_ball"}), sheet="insert_sleeve_seating", holds=True),
    Missed("zero not defined", "zero", SLEEVES, holds=True),
    Missed("nut loosened to reach a tab", "tab_on", ("adapter_sleeve",), sheet="lock_washer", holds=True),
    Missed("no tab, or half bent", "tab_on", ("adapter_sleeve",), holds=True),
    Missed("no tab, or half bent: found later", "tab_look", ("adapter_sleeve",), "check", holds=True),
    Missed("pull-off nut not locked", "lock_nut", ("pull_off_sleeve",), holds=True),
    Missed("both ends held", "end_known"),
    Missed("both ends held: a locating ring too many", "no_locating_rings", facts=_of({"split_housing": True, "end": "free"}), holds=True),
    Missed("free end not placed for growth", "place_free", facts=_of({"end": "free"}), sheet="free_end", holds=True),
    Missed("soft foot, shims at the ends only", "soft_foot", facts=_of({"housing": "pillow_block"}), sheet="soft_foot", holds=True),
    Missed("housing not aligned", "align", holds=True),
    Missed("grease hole blind", "line_grease_hole", facts=_of({"bearing_type": "insert_ball"})),
    Missed("too little or too much grease", "grease", facts=_of({"sealed": False}), sheet="grease_fill"),
    Missed("grease never renewed", "grease_plan", facts=_of({"greased": True}), sheet="relubrication"),
    Missed("wrong clearance class", "identify"),
    Missed("wrong clearance class: measured", "measure_before", SLEEVES, facts=_of(OPEN_ROLLER), sheet="clearance_check", holds=True),
    Missed("no load at the start", "start"),
    Missed("runs hot", "warm", sheet="run_in_temperature"),
    Missed("welding current through the bearing", "weld_earth"),
    Missed("standing in vibration", "stand_still"),
    Missed("screws left in on removal", "screws_out", SCREWS, "remove", holds=True),
    Missed("screw left in on removal: cam", "screw_back", ("cam_collar",), "remove", holds=True),
    Missed("nut taken off before hydraulic release", "nut_back", ("adapter_sleeve",), "remove", facts=_of({"hydraulic": "oil"}), holds=True),
    Missed("oil left in the seat when the nut is let go", "drain_oil", ("adapter_sleeve",), facts=_of({"hydraulic": "oil"}), holds=True),
    Missed("pressure left in the hose", "pressure_off", ("adapter_sleeve",), "remove", facts=_of({"hydraulic": "nut"}), holds=True),
    Missed("shaft not carried when its lock lets go", "support_again", work="remove", holds=True),
    Missed("vertical shaft drops", "hang_shaft", work="remove", facts=_of({"shaft_lies": "vertical"})),
]  # fmt: skip
CASES = [(one, method) for one in MISSED for method in one.methods]


@pytest.mark.parametrize(("missed", "method"), CASES, ids=[f"{method}: {one.what}" for one, method in CASES])
def test_what_may_be_missed_is_asked_for(missed: Missed, method: str) -> None:
    steps = {one["step"]: one for one in ALL[f"{method}_{missed.work}"]["steps"]}
    assert missed.step in steps, f"no step catches: {missed.what}"
    step = steps[missed.step]
    facts = {**dict.fromkeys((fact["name"] for fact in DATA["facts"]), None), "nut_kind": "held_nut", **dict(missed.facts)}
    assert "when" not in step or calc.truth(step["when"], facts) is not False, "left out where it is needed"
    if missed.sheet:
        assert missed.sheet in {one.get("sheet") for one in step["readings"]}
    if missed.holds:
        assert step["hold"]
        after = list(steps)[list(steps).index(missed.step) + 1 :]
        closed = [one for one in after if steps[one]["phase"] in ("work", "return")]
        assert all(missed.step in steps[one]["needs"] for one in closed)


@pytest.mark.parametrize("method", EVERY)
def test_a_nut_on_a_taper_has_no_step_that_tightens_it_again(method: str) -> None:
    check = ALL[f"{method}_check"]
    turned = [one["step"] for one in check["steps"] if one["step"].startswith("retorque")]
    parts = {
        take["part"]["word"]
        for one in check["steps"]
        for reading in one["readings"]
        if "part" in (take := reading.get("take", {}))
    }
    if method in SLEEVES:
        assert turned == []
        assert parts == set()
        assert any("not turned" in one["text"]["en"] for one in check["cautions"])
    else:
        assert turned
        assert len(parts) == 1


@pytest.mark.parametrize("method", EVERY)
def test_a_check_locks_out_like_every_other_work_and_slackens_nothing(method: str) -> None:
    steps = ALL[f"{method}_check"]["steps"]
    names = [one["step"] for one in steps]
    for wanted in ("list_energy", "lock_and_tag", "try_start", "release_energy", "restrain_rotation", "prove_zero"):
        assert names.index(wanted) < names.index("look_marks")
    assert names.index("look_marks") < names.index("base_again") < names.index("locks_off")
    assert not {"support_shaft", "slacken_drive"} & set(names)
    assert not [one["do"]["en"] for one in steps if one["do"]["en"].lower().startswith(("slacken", "loosen", "back "))]

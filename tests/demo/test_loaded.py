"""The plant once loaded: what the lead and the planner find in it, asked of the real services."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import Any

import pytest
from demo_data import photos, plant
from demo_data.scenario import Scenario
from demo_plant_case import TODAY, Plant, make

from shaftside import calc
from shaftside.photo_store import PhotoStore
from shaftside.records import JobQuery
from shaftside.review import findings


def _job(loaded: Plant, story: str) -> Any:
    return loaded.records.job(loaded.told["examples"][story])


def _findings(loaded: Plant, story: str, failure: str | None = None) -> list[findings.Finding]:
    job = _job(loaded, story)
    told = loaded.records.failure(loaded.told["examples"][failure]).state if failure else None
    return findings.review(job.state, job.procedure, job.progress, told).findings


def _verdicts(loaded: Plant, story: str) -> set[str]:
    readings = _job(loaded, story).state["readings"].values()
    return {one["verdict"] for reading in readings for one in reading["all"]}


def test_every_stored_verdict_hash_and_chain_recomputes(loaded: Plant) -> None:
    assert loaded.records.verify() == []


def test_nothing_was_refused(loaded: Plant) -> None:
    for line in loaded.records.search(JobQuery(limit=1000)):
        assert loaded.records.job(line.job).state["refused"] == [], line


def test_loading_again_changes_nothing(loaded: Plant) -> None:
    before = len(loaded.records.search(JobQuery(limit=1000)))
    again = asyncio.run(plant.load(loaded.records, None, loaded.bundle, TODAY))
    assert again == loaded.told
    assert len(loaded.records.search(JobQuery(limit=1000))) == before == loaded.told["jobs"]


@pytest.mark.slow
def test_another_database_gets_the_same_ids(loaded: Plant, tmp_path: Path) -> None:
    other = make(tmp_path, loaded.bundle)
    try:
        assert other.told == loaded.told
    finally:
        other.database.close()


def test_history_is_signed_but_for_the_told_jobs(loaded: Plant) -> None:
    lines = {line.job: line for line in loaded.records.search(JobQuery(limit=1000))}
    examples = loaded.told["examples"]
    unsigned = {job for job, line in lines.items() if line.status != "signed"}
    told = (
        "actor_claimed",
        "open_half_safe",
        "open_half_taper",
        "waiting_clean",
        "waiting_deviations",
        "returned",
    )
    assert unsigned == {examples[one] for one in told}
    assert lines[examples["open_half_safe"]].status == "open"
    assert lines[examples["open_half_taper"]].status == "open"
    assert lines[examples["returned"]].status == "returned"


def test_half_way_through_make_safe_no_work_step_is_open(loaded: Plant) -> None:
    job = _job(loaded, "open_half_safe")
    assert not job.state["zero_energy"]["proved"]
    phase = {one["step"]: one["phase"] for one in job.procedure["steps"]}
    done = [name for name, one in job.state["steps"].items() if one["status"] == "done"]
    assert "make_safe" in {phase[one] for one in done}
    assert {phase[one] for one in done} <= {"prepare", "make_safe"}
    assert all(
        one["status"] in ("closed", "does_not_apply")
        for one in job.progress["steps"]
        if phase[one["id"]] == "work"
    )


def test_half_way_up_the_taper_there_is_still_some_to_go(loaded: Plant) -> None:
    job = _job(loaded, "open_half_taper")
    assert job.state["zero_energy"]["proved"]
    readings = job.state["readings"]
    last = [
        one
        for reading in readings.values()
        for one in reading["all"]
        if "clearance_now" in one["body"].get("entries", {})
    ]
    assert [one["verdict"] for one in last] == ["not_yet"]


def test_clean_waiting_job_can_be_signed_as_it_is(loaded: Plant) -> None:
    assert _job(loaded, "waiting_clean").blockers == []


def test_waiting_job_with_deviations_shows_them(loaded: Plant) -> None:
    codes = [one["code"] for one in _job(loaded, "waiting_deviations").blockers]
    assert "deviation_undecided" in codes
    assert codes.count("outside_unaccepted") >= 2
    assert "stop" in _verdicts(loaded, "waiting_deviations")


def test_claimed_actor_stands_in_the_way_of_the_sign_off(loaded: Plant) -> None:
    assert "claimed" in [one["code"] for one in _job(loaded, "actor_claimed").blockers]


@pytest.mark.parametrize(
    ("story", "kind"),
    [
        ("undersize_accepted", "outside"),
        ("screw_moved", "outside"),
        ("common_practice", "outside"),
        ("thin_reason", "not_applicable"),
        ("afterwards", "afterwards"),
        ("retorque_skipped", "follow_up"),
        ("actor_claimed", "claimed"),
        ("waiting_deviations", "deviation"),
    ],
)
def test_the_desks_review_finds_the_flaw(loaded: Plant, story: str, kind: str) -> None:
    assert kind in {one.kind for one in _findings(loaded, story)}


def test_undersize_is_the_sheets_own_verdict(loaded: Plant) -> None:
    sizes = [
        one
        for reading in _job(loaded, "undersize_accepted").state["readings"].values()
        for one in reading["all"]
        if one["body"].get("sheet") == "shaft_fit"
    ]
    assert any("undersize" in [check["name"] for check in one["body"]["result"]["checks"]] for one in sizes)
    assert any(one.get("accepted") for one in sizes)


def test_moved_screw_is_the_sheets_own_stop(loaded: Plant) -> None:
    fired = [
        check["name"]
        for reading in _job(loaded, "screw_moved").state["readings"].values()
        for one in reading["all"]
        for check in one["body"].get("result", {}).get("checks", [])
    ]
    assert "moved_far" in fired


def test_clearance_left_near_its_limit_is_still_inside(loaded: Plant) -> None:
    left = [
        window
        for reading in _job(loaded, "near_limit").state["readings"].values()
        for one in reading["all"]
        for window in one["body"].get("result", {}).get("windows", [])
        if window["name"] == "left" and window["value"] is not None
    ]
    assert left
    for window in left:
        assert 0 <= window["value"] - window["low"] <= 10e-6
        assert window["position"] == "inside"


def test_two_peoples_readings_are_both_kept_and_one_was_chosen(loaded: Plant) -> None:
    readings = _job(loaded, "conflict").state["readings"].values()
    twice = [one for one in readings if len({each["by"] for each in one["all"]}) > 1]
    assert len(twice) == 1
    assert not twice[0]["conflict"]


def test_the_wrench_was_out_of_calibration_that_day(loaded: Plant) -> None:
    job = _job(loaded, "wrench_old")
    ages = [
        (TODAY - TODAY.fromisoformat(one["body"]["instrument"]["calibrated"])).days
        for reading in job.state["readings"].values()
        for one in reading["all"]
        if "wrench" in one["body"].get("instrument", {}).get("name", "").lower()
    ]
    assert ages
    assert min(ages) > 400


@pytest.mark.parametrize(
    ("failure", "story"),
    [
        ("f_undersize", "undersize_accepted"),
        ("f_near_limit", "near_limit"),
        ("f_retorque", "retorque_skipped"),
        ("f_cam", "wrong_turn_found"),
        ("f_wrench", "wrench_old"),
        ("f_nothing", "clean_before_failure"),
    ],
)
def test_each_failure_follows_the_installation_told(loaded: Plant, failure: str, story: str) -> None:
    view = loaded.records.failure(loaded.told["examples"][failure])
    assert view.follows is not None
    assert view.follows.job == loaded.told["examples"][story]


def test_the_record_before_one_failure_tells_nothing(loaded: Plant) -> None:
    kinds = {one.kind for one in _findings(loaded, "clean_before_failure", "f_nothing")}
    assert not kinds & {
        "outside",
        "deviation",
        "not_applicable",
        "afterwards",
        "conflict",
        "claimed",
        "missing",
        "follow_up",
    }


def test_history_has_the_times_of_history(loaded: Plant) -> None:
    for one in loaded.records.events(loaded.told["examples"]["undersize_accepted"]):
        assert one["event"]["wall"][:4] == one["received"][:4]
        assert one["received"][:10] < TODAY.isoformat()


def test_three_levels_of_makers_values_and_a_conflict_are_told(loaded: Plant) -> None:
    """A plant's value over the common figure; a position whose own value goes before it; jobs with their own."""
    (state,) = loaded.records.plant_values.all()
    assert (state["line"], state["holds"], state["name"]) == ("cam_collar_screw.target", True, "Maud Hollimarsh (demo)")
    program = loaded.bundle.data["calc"]
    result = calc.evaluate(program, "cam_collar_screw", {"screw": "M8", "hardness": "45H"}, {"target": 18.0})
    assert "maker_above_list" in {one["name"] for one in result["checks"]}
    own = [one.maker for one in Scenario.read(TODAY).positions.values() if "cam_collar_screw.target" in one.maker]
    assert own
    assert all(one["cam_collar_screw.target"]["typed"] == "13.5" for one in own)


def test_the_look_after_a_day_was_a_job_of_its_own(loaded: Plant) -> None:
    mounted = _job(loaded, "screw_moved")
    [line] = [one for one in loaded.records.search(JobQuery(limit=1000)) if one.work == "check"]
    check = loaded.records.job(line.job)
    assert (check.state["parent_job"], check.state["follow_up"]) == (mounted.id, "retorque_24h")
    assert check.state["status"] == "signed"
    assert "retorque_24h" not in {one["follow_up"] for one in mounted.state["follow_ups_done"]}  # its own job closes it
    assert any("settled" in place for place in check.state["readings"])


def test_a_greased_bearing_comes_due_again_by_the_hours_of_its_own_sheet(loaded: Plant) -> None:
    job = _job(loaded, "afterwards")
    [due] = [one for one in job.state["outstanding"] if one["follow_up"] == "regrease"]
    entries = job.state["readings"]["grease_plan/plan"]["all"][0]["body"]["entries"]
    # t = K (14 000 000 / (n √d) − 4 d) of The Tribology Handbook, A20, with its K = 10 for ball, 0.4 for grit, and the
    # charts' half for each 15 K of the ring over 70 °C; the ring taken 10 K over the housing
    n, d, over = 1450, 50, float(entries["temperature"]["typed"]) + 10 - 70
    hours = 10 * 0.4 * 0.5 ** (over / 15) * (14e6 / (n * d**0.5) - 4 * d)
    assert due["after"]["running_h"] == int(hours)


def test_the_photos_can_be_looked_at(bundle: Any, tmp_path: Path) -> None:
    store = PhotoStore(tmp_path / "photos")
    for name in photos.DRAWN:
        told = photos.body(name, "lock_and_tag")
        store.put(told["sha256"], photos.picture(name), told["type"])
        assert store.has(told["sha256"])

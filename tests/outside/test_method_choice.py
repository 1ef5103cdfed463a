"""Choice of the locking method. The points are common practice put in numbers by the project: no source stands behind them,
and these tests hold them only to what the trade says of each method. Outside values: ISO 286-2 with JIS B 1558 (size and
offset), ISO 21940-11 (grade), Garwood's limits of a Poisson count (how little a few failures say).
"""

import math
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from outside_units import MM, RPM, UM, fired
from running import Run

quick = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
PUSHING = ["ring_set_screws", "set_screw_collar", "cam_collar"]
CENTRED = ["clamp_collar", "adapter_sleeve", "pull_off_sleeve"]
HOUR = 3600.0


def choose(run: Run, **more: Any) -> dict[str, Any]:
    common = {
        "shaft_d": 50 * MM, "shaft_system": "metric", "load": "normal", "shock": False, "reversing": False, "speed": 1000 * RPM, "grade": "G 6.3",
        "shaft_measured": 49.99 * MM, "bearing_type": "insert_ball", "removed": "seldom", "far_side_free": True, "can_read": True,
        "tapered_made": True, "clamp_made": True,
    }  # fmt: skip
    got: dict[str, Any] = run("method_choice", **{**common, **more})
    assert got["status"] == "done"
    return got


def rows(result: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {one["key"]: one for one in result["over"][0]["rows"]}


def said(row: dict[str, Any]) -> set[str]:
    return {one["name"] for one in row["checks"]}


def test_a_plain_duty_takes_the_simple_lock(run: Run) -> None:
    got = choose(run)
    assert got["values"]["choice_first"] == "ring_set_screws"
    assert all(one["place"] is not None for one in rows(got).values())
    assert "advice" in fired(got)


def test_reversing_rules_out_the_cam_and_loaded_screws(run: Run) -> None:
    """Clamp, adapter, or set screws at light load only as an exception (truth table of the cam; handbooks, secondary)."""
    loaded = rows(choose(run, reversing=True))
    assert [key for key, one in loaded.items() if one["values"]["ruled_out"]] == PUSHING
    assert "cam_backwards" in said(loaded["cam_collar"])
    assert all("screws_backwards" in said(loaded[key]) for key in PUSHING[:2])
    light = rows(choose(run, reversing=True, load="light"))
    assert [key for key, one in light.items() if one["values"]["ruled_out"]] == ["cam_collar"]
    assert "reverses" in said(light["ring_set_screws"])
    assert light["cam_collar"]["place"] is None


@pytest.mark.parametrize(
    ("tolerance_class", "speed"), [("h6", 3250), ("h7", 2615), ("h8", 2005), ("h9", 1450), ("h11", 665)]
)
def test_offset_rules_out_at_the_speed_where_it_reaches_the_grade(run: Run, tolerance_class: str, speed: float) -> None:
    """50 mm in bore +21/0, ISO 286-2 and JIS B 1558 (secondary): e*omega = 6.3 mm/s, ISO 21940-11 (secondary)."""
    common: dict[str, Any] = {"shaft_measured": None, "tolerance_class": tolerance_class}
    over = rows(choose(run, speed=speed * 1.01 * RPM, **common))
    under = rows(choose(run, speed=speed * 0.99 * RPM, **common))
    for key in PUSHING:
        assert over[key]["values"]["out_offset"] is True
        assert "too_far_off" in said(over[key])
        assert under[key]["values"]["out_offset"] is False
    assert not any(over[key]["values"]["out_offset"] for key in CENTRED)


@pytest.mark.parametrize(
    ("load", "smallest"), [("simple", -62), ("light", -39), ("normal", -25), ("heavy", -16), ("very_heavy", -16)]
)
def test_an_undersize_shaft_is_no_seat(run: Run, load: str, smallest: float) -> None:
    """50 mm shafts: h9 -62, h8 -39, h7 -25, h6 -16 um, ISO 286-2 (secondary); sleeves take h9, a clamp collar h7 (practice)."""
    limit = 50 * MM + smallest * UM
    at = rows(choose(run, load=load, shaft_measured=limit, speed=60 * RPM))
    below = rows(choose(run, load=load, shaft_measured=limit - 0.1 * UM, speed=60 * RPM))
    for key in PUSHING:
        assert (at[key]["values"]["out_shaft"], below[key]["values"]["out_shaft"]) == (False, True)
    assert at["clamp_collar"]["values"]["row_smallest"] == pytest.approx(49.975 * MM, abs=1e-9)
    assert at["adapter_sleeve"]["values"]["row_smallest"] == pytest.approx(49.938 * MM, abs=1e-9)


def test_a_shaft_worn_below_every_class_leaves_nothing(run: Run) -> None:
    got = choose(run, shaft_measured=49.9 * MM, speed=60 * RPM)
    assert got["values"]["choice_first"] is None
    assert "all_ruled_out" in fired(got)
    assert got["verdict"] == "stop"


def test_shock_turns_to_the_concentric_locks(run: Run) -> None:
    got = choose(run, shock=True, load="heavy", shaft_measured=49.995 * MM)
    found = rows(got)
    best_pushing = max(found[key]["values"]["points"] for key in PUSHING)
    assert got["values"]["choice_first"] in ("adapter_sleeve", "pull_off_sleeve")
    assert best_pushing < found["adapter_sleeve"]["values"]["points"]
    assert "hard_on_screws" in said(found["ring_set_screws"])
    # the advice to change the method comes before any points (trade's shaft rules, common practice)
    blind = rows(choose(run, shock=True, shaft_measured=49.995 * MM, far_side_free=False, removed="often"))
    assert blind["set_screw_collar"]["values"]["points"] > blind["adapter_sleeve"]["values"]["points"]
    assert blind["set_screw_collar"]["place"] > blind["adapter_sleeve"]["place"]


def test_shock_wants_the_tightest_shaft_of_a_screw(run: Run) -> None:
    """Shock counts as very heavy load: h6, -16 um at 50 mm (practice; ISO 286-2, secondary), at whatever load is stated."""
    found = rows(choose(run, shock=True, load="simple"))
    assert found["ring_set_screws"]["values"]["row_smallest"] == pytest.approx(49.984 * MM, abs=1e-9)
    assert rows(choose(run, load="simple"))["ring_set_screws"]["values"]["row_smallest"] == pytest.approx(49.938 * MM, abs=1e-9)


def test_a_lock_that_leaves_half_the_grade_gains(run: Run) -> None:
    """30 um between 49.99 and 50.021 mm is 15.5 um off: 1.62 mm/s at 1000, 3.25 at 2000 r/min, and G 6.3 has 3.15 to half (derived)."""
    slow, fast = rows(choose(run)), rows(choose(run, speed=2000 * RPM))
    for key in PUSHING:
        assert (slow[key]["values"]["p_centre"], fast[key]["values"]["p_centre"]) == (2, 0)
    assert fast["clamp_collar"]["values"]["p_centre"] == 2


def test_old_marks_missing_parts_and_nobody_to_read(run: Run) -> None:
    marked = rows(choose(run, seat_marked=True))
    assert [key for key, one in marked.items() if "old_marks" in said(one)] == PUSHING
    parts = rows(choose(run, tapered_made=False, clamp_made=False))
    assert [key for key, one in parts.items() if "no_parts" in said(one)] == CENTRED
    unread = rows(choose(run, can_read=False, bearing_type="spherical_roller"))
    assert "nobody_reads" in said(unread["adapter_sleeve"])
    assert unread["pull_off_sleeve"]["values"]["ruled_out"] is False
    ball = rows(choose(run, can_read=False, bearing_type="insert_ball"))
    assert ball["adapter_sleeve"]["values"]["ruled_out"] is False  # its maker's angle can lead
    assert "maker_angle" in said(ball["adapter_sleeve"])
    unanswered = choose(run, tapered_made=None, clamp_made=None, can_read=None, far_side_free=None, seat_marked=None)
    assert not any(one["values"]["ruled_out"] for one in rows(unanswered).values())
    assert "parts_unknown" in fired(unanswered)


def test_off_often_or_from_one_side_only_gains_the_pull_off_nut(run: Run) -> None:
    got = choose(run, removed="often", far_side_free=False)
    assert got["values"]["choice_first"] in ("clamp_collar", "pull_off_sleeve")
    found = rows(got)
    assert found["pull_off_sleeve"]["values"]["points"] > found["adapter_sleeve"]["values"]["points"]
    assert "no_room" in said(found["adapter_sleeve"])


COST: dict[str, Any] = {"hours_down": 8 * HOUR, "cost_hour": 1500.0, "work_hours": 20 * HOUR, "work_cost_hour": 50.0, "parts_cost": 400.0,
                        "shaft_cost": 3000.0, "shaft_share": 0.2, "price_difference": 700.0}  # fmt: skip


def test_cost_of_a_failure_and_the_break_even(run: Run) -> None:
    """Book-keeping by hand: 8 x 1500 + 20 x 50 + 400 + 0.2 x 3000 = 14 000; 700 is a twentieth of it."""
    v = choose(run, **COST)["values"]
    assert v["cost_failure"] == pytest.approx(14_000)
    assert v["break_even"] == pytest.approx(0.05)
    assert v["break_even_whole"] == 1
    dear = choose(run, **{**COST, "price_difference": 35_000.0})["values"]
    assert (dear["break_even"], dear["break_even_whole"]) == (pytest.approx(2.5), 3)


def test_no_rate_is_invented(run: Run) -> None:
    none = choose(run, **COST)
    assert none["values"]["years_to_pay"] is None
    assert "no_rate" in fired(none)
    nought = choose(run, **COST, failures_seen=0.0, years_seen=5.0)
    assert nought["values"]["years_to_pay"] is None
    assert "none_seen" in fired(nought)
    seen = choose(run, **COST, failures_seen=2.0, years_seen=10.0)
    assert seen["values"]["years_at_best"] == pytest.approx(0.05 / 0.2)
    assert seen["values"]["years_to_pay"] is None
    share = choose(run, **COST, failures_seen=2.0, years_seen=10.0, avoided_share=0.5)
    assert share["values"]["years_to_pay"] == pytest.approx(0.5)


def test_five_failures_say_a_third_to_twice(run: Run) -> None:
    """Garwood 1936, 95 % limits of a Poisson count of 5 (secondary): 1.62 and 11.67, which the warning says in words."""

    def at_most(n: int, mean: float) -> float:
        return sum(math.exp(-mean) * mean**k / math.factorial(k) for k in range(n + 1))

    assert 1 - at_most(4, 1.62) == pytest.approx(0.025, rel=0.02)
    assert at_most(5, 11.67) == pytest.approx(0.025, rel=0.02)
    low, high = 1.62 / 5, 11.67 / 5
    assert low == pytest.approx(1 / 3, rel=0.05)
    assert high == pytest.approx(2.3, rel=0.05)
    assert "few_seen" in fired(choose(run, **COST, failures_seen=4.0, years_seen=10.0))
    assert "few_seen" not in fired(choose(run, **COST, failures_seen=5.0, years_seen=10.0))


def test_inch_shafts_go_by_their_own_limits(run: Run) -> None:
    """2 in shaft, screws +0/-0.0010 in, adapter +0/-0.003 in (common practice, no source)."""
    found = rows(choose(run, shaft_d=50.8 * MM, shaft_system="inch", shaft_measured=50.77 * MM, speed=60 * RPM))
    assert found["ring_set_screws"]["values"]["row_smallest"] == pytest.approx(50.8 * MM - 25.4 * UM, abs=1e-9)
    assert found["ring_set_screws"]["values"]["out_shaft"] is True
    assert found["adapter_sleeve"]["values"]["out_shaft"] is False
    assert found["clamp_collar"]["values"]["row_smallest"] is None
    assert found["clamp_collar"]["values"]["out_shaft"] is False


@quick
@given(st.floats(49.9, 50.0), st.floats(49.9, 50.0), st.floats(50, 5000), st.sampled_from(["simple", "light", "normal", "heavy"]))
def test_a_larger_shaft_never_rules_more_out(run: Run, one: float, other: float, speed: float, load: str) -> None:
    small, large = (rows(choose(run, shaft_measured=d * MM, speed=speed * RPM, load=load)) for d in sorted((one, other)))
    for key in small:
        assert small[key]["values"]["ruled_out"] or not large[key]["values"]["ruled_out"]


@quick
@given(st.floats(1, 1e5), st.floats(1, 1e5), st.floats(0.01, 1))
def test_a_dearer_failure_pays_sooner(run: Run, one: float, other: float, share: float) -> None:
    cheap, dear = (
        choose(run, hours_down=HOUR, cost_hour=c, price_difference=500.0, failures_seen=5.0, years_seen=5.0, avoided_share=share)["values"]
        for c in sorted((one, other))
    )
    assert dear["years_to_pay"] <= cheap["years_to_pay"]
    assert dear["years_at_best"] <= dear["years_to_pay"]


@quick
@given(
    st.fixed_dictionaries(
        {
            "shaft_d": st.sampled_from([0.03, 0.05, 0.1]),
            "load": st.sampled_from(["simple", "light", "normal", "heavy", "very_heavy", "unknown"]),
            "shock": st.booleans(),
            "reversing": st.booleans(),
            "speed": st.sampled_from([20.0, 150.0, 300.0]),
            "grade": st.sampled_from(["G 2.5", "G 6.3", "G 16"]),
            "bearing_type": st.sampled_from(["insert_ball", "self_aligning_ball", "spherical_roller"]),
            "removed": st.sampled_from(["seldom", "often"]),
        },
        optional={
            "tolerance_class": st.sampled_from(["h6", "h7", "h9"]),
            **dict.fromkeys(("seat_marked", "far_side_free", "can_read", "tapered_made", "clamp_made"), st.booleans()),
            "axial_share": st.sampled_from([0.1, 0.3]),
        },
    )
)
def test_each_place_says_what_would_change_it(run: Run, program: dict[str, Any], duty: dict[str, Any]) -> None:
    """A place without a reason and without what would change it leaves a fitter with no way on."""
    (section,) = program["sheets"]["method_choice"]["over"]
    said = {check["name"]: check["message"]["en"] for check in section["checks"]}
    for row in run("method_choice", shaft_system="metric", **duty)["over"][0]["rows"]:
        spoke = [said[check["name"]] for check in row["checks"]]
        assert any("would change" in text or "would settle" in text for text in spoke), (row["key"], spoke)


def test_a_cost_given_by_half_is_said_and_counts_as_nothing(run: Run) -> None:
    """A shaft's cost without the share of failures that take it, hours without their cost: arithmetic on what is there, and said."""
    duty = {
        "shaft_d": 0.05, "shaft_system": "metric", "load": "heavy", "shock": True, "reversing": False, "speed": 150.0, "grade": "G 6.3",
        "bearing_type": "insert_ball", "removed": "seldom",
    }  # fmt: skip
    hour = 3600.0
    for halves, cost in (
        ({"hours_down": 8 * hour, "cost_hour": 100.0, "shaft_cost": 2000.0}, 800.0),
        ({"hours_down": 8 * hour, "parts_cost": 200.0}, 200.0),
        ({"work_hours": 4 * hour, "parts_cost": 200.0}, 200.0),
        ({"cost_hour": 100.0}, None),
    ):
        got = run("method_choice", **duty, **halves)
        assert "half_given" in fired(got), halves
        assert got["values"]["cost_failure"] == cost
    whole = {"hours_down": 8 * hour, "cost_hour": 100.0, "shaft_cost": 2000.0, "shaft_share": 0.25, "price_difference": 650.0}
    got = run("method_choice", **duty, **whole)
    assert "half_given" not in fired(got)
    assert got["values"]["cost_failure"] == 1300.0
    assert got["values"]["break_even"] == 0.5
    work = run("method_choice", **duty, work_hours=8 * hour, work_cost_hour=50.0, price_difference=200.0)
    assert work["values"]["cost_failure"] == 400.0  # a failure in a planned stop costs work and parts alone
    assert "cost_missing" in fired(run("method_choice", **duty, price_difference=200.0))


METHODS = [*PUSHING, *CENTRED]


@quick
@given(
    st.sampled_from(METHODS), st.sampled_from(["simple", "light", "normal", "heavy", "very_heavy", "unknown"]), st.booleans(), st.booleans(),
    st.integers(100, 6000), st.sampled_from(["G 16", "G 6.3", "G 2.5"]), st.sampled_from([None, 49.90, 49.97, 49.99, 50.0]),
    st.sampled_from(["insert_ball", "spherical_roller"]), st.lists(st.none() | st.booleans(), min_size=4, max_size=4),
)  # fmt: skip
def test_the_planned_lock_is_ruled_out_where_its_row_is(
    run: Run, planned: str, load: str, shock: bool, reversing: bool, speed: int, grade: str, shaft: float | None, bearing: str, said_of: list[bool | None]
) -> None:
    """One rule twice: the line that judges the planned lock and the row that ranks it may not part."""
    marked, tapered, clamp, reads = said_of
    got = choose(
        run, planned=planned, load=load, shock=shock, reversing=reversing, speed=speed * RPM, grade=grade, bearing_type=bearing,
        shaft_measured=shaft and shaft * MM, seat_marked=marked, tapered_made=tapered, clamp_made=clamp, can_read=reads,
    )  # fmt: skip
    row = rows(got)[planned]["values"]
    out = row["ruled_out"]
    assert got["values"]["planned_out"] == out
    assert got["values"]["planned_aside"] == (planned in PUSHING)
    hard = load == "very_heavy" or shock
    assert ("planned_ruled_out" in fired(got)) == bool(out)
    assert ("planned_behind" in fired(got)) == (out is False and hard and planned in PUSHING)
    assert ("planned_stands" in fired(got)) == (out is False and not (hard and planned in PUSHING))


def test_without_a_plan_nothing_is_said_of_one(run: Run) -> None:
    assert not {name for name in fired(choose(run)) if name.startswith("planned_")}


def test_a_cam_planned_for_a_reversing_shaft_needs_the_lead(run: Run) -> None:
    """Truth table of the cam: reversing is refused (handbooks, secondary)."""
    got = choose(run, planned="cam_collar", reversing=True, load="light")
    (check,) = [one for one in got["checks"] if one["name"] == "planned_ruled_out"]
    assert (check["level"], check["lead_accepts"], got["verdict"]) == ("caution", True, "caution")
    assert "planned_stands" in fired(choose(run, planned="clamp_collar", reversing=True, load="light"))

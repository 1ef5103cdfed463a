"""Seat of the shaft, soft foot, free end and warming: rules of common practice, no source, unless a line names one.

Soft foot has no published figure beside its rule (0.05 mm, full footprint, at most three shims): what is checked from
outside is the geometry of four feet. What the sheets refuse is checked here too.
"""

from typing import Any

import pytest
from outside_units import CELSIUS_ZERO, IN, MM, UM, fired, window
from running import Run


def celsius(degrees: float) -> float:
    return CELSIUS_ZERO + degrees


# ---- the seat -----------------------------------------------------------------------------------------------------

SOUND = (49.985, 49.986)


def seat(
    run: Run, first: Any = SOUND, middle: Any = SOUND, third: Any = SOUND, **more: Any
) -> dict[str, Any]:
    """A 50 mm shaft under set screws, normal load (h7, 0/-25), read in mm."""
    makers = more.pop("makers", {})
    common = {
        "shaft_d": 50 * MM,
        "shaft_system": "metric",
        "locking_method": "ring_set_screws",
        "load": "normal",
    }
    planes = {
        f"plane_{n}": [one * MM for one in plane]
        for n, plane in enumerate((first, middle, third), 1)
        if plane
    }
    got: dict[str, Any] = run(
        "shaft_fit", makers, **{**common, **planes, "shaft_temperature": celsius(20), **more}
    )
    return got


@pytest.mark.parametrize(
    ("first", "middle", "third", "advice", "checks"),
    [
        (SOUND, SOUND, SOUND, "fits", set()),
        ((50.004, 49.99), SOUND, SOUND, "dress", {"oversize", "burr_likely"}),
        ((50.004, 50.003), (50.004, 50.002), (50.003, 50.002), "correct", {"oversize"}),
        (SOUND, (49.970, 49.985), SOUND, "move", {"undersize", "worn_in_places"}),
        ((49.960, 49.961), (49.960, 49.961), (49.961, 49.962), "repair", {"undersize", "small_all_over"}),
        ((49.978, 49.979), SOUND, (49.998, 49.999), "fits", set()),
    ],
)
def test_verdict_and_what_to_do(
    run: Run, first: Any, middle: Any, third: Any, advice: str, checks: set[str]
) -> None:
    got = seat(run, first, middle, third)
    assert got["values"]["advice"] == advice
    said = {"oversize", "burr_likely", "undersize", "worn_in_places", "small_all_over"}
    assert fired(got) & said == checks
    assert (got["verdict"] == "stop") is (advice != "fits")


def test_planes_tell_taper_from_out_of_round_and_waist(run: Run) -> None:
    taper = seat(run, (49.980, 49.980), (49.985, 49.985), (49.990, 49.990))["values"]
    assert (taper["out_of_round"], taper["waist"]) == (
        pytest.approx(0, abs=1e-12),
        pytest.approx(0, abs=1e-12),
    )
    assert taper["seat_taper"] == pytest.approx(10 * UM, abs=1e-12)
    oval = seat(run, *[(49.980, 49.990)] * 3)["values"]
    assert oval["out_of_round"] == pytest.approx(10 * UM, abs=1e-12)
    assert (oval["seat_taper"], oval["waist"]) == (pytest.approx(0, abs=1e-12), pytest.approx(0, abs=1e-12))
    worn = seat(run, (49.990, 49.990), (49.980, 49.980), (49.990, 49.990))["values"]
    assert worn["waist"] == pytest.approx(10 * UM, abs=1e-12)


def test_a_seat_under_a_sleeve_is_held_to_half_the_form(run: Run) -> None:
    """IT5 at 50 mm is 11 um (ISO 286-1, secondary): differences of 12 um pass under screws, not under a sleeve."""
    oval = [(49.985, 49.997)] * 3
    assert window(seat(run, *oval), "form") == "inside"
    sleeve = seat(run, *oval, locking_method="adapter_sleeve")
    assert window(sleeve, "form") == "over"
    assert {"round_bad", "form_out"} <= fired(sleeve)
    assert sleeve["values"]["advice"] == "out_of_form"


def test_old_records_with_one_list_still_speak(run: Run) -> None:
    old = seat(run, None, None, None, sizes=[49.985 * MM, 49.99 * MM, 49.98 * MM])
    assert old["verdict"] == "inside"
    assert "planes_missing" in fired(old)
    assert old["values"]["out_of_round"] is None
    both = seat(run, sizes=[49.97 * MM, 49.985 * MM])  # one more reading at a low spot counts
    assert both["values"]["measured_least"] == pytest.approx(49.97 * MM, rel=1e-14)
    assert both["verdict"] == "stop"


@pytest.mark.parametrize(("degrees", "stops"), [(40, False), (70, True)])
def test_a_hot_shaft_near_its_limit_is_not_judged(run: Run, degrees: float, stops: bool) -> None:
    """At 70 C the size of 50 mm is in doubt by 50 mm (12e-6 2 K + 1e-6 50 K) = 3.7 um."""
    cold = 49.9985
    hot = cold * (1 + 12e-6 * (degrees - 20))
    got = seat(run, *[(hot, hot)] * 3, shaft_temperature=celsius(degrees))
    assert ("too_hot_to_tell" in fired(got)) is stops
    assert got["values"]["advice"] == ("cool" if stops else "fits")
    if stops:
        assert got["values"]["heat_doubt"] == pytest.approx(3.7 * UM, abs=1e-9)
    far = 49.9875 * (1 + 12e-6 * 50)
    assert "too_hot_to_tell" not in fired(seat(run, *[(far, far)] * 3, shaft_temperature=celsius(70)))


def test_makers_limits_are_held_against_the_common_ones(run: Run) -> None:
    wide = seat(run, makers={"largest": 50.002 * MM, "smallest": 49.96 * MM})
    assert {"maker_wider", "tight_fit"} <= fired(wide)  # k6-like: larger than a bore of +21/0 may be
    narrow = seat(run, makers={"largest": 49.995 * MM, "smallest": 49.98 * MM})
    assert not {"maker_wider", "tight_fit"} & fired(narrow)
    assert seat(run, makers={"largest": 49.97 * MM})["refusal"]["where"] == "limits_cross"
    crossed = seat(run, makers={"bore_least": 50.03 * MM, "bore_most": 50.02 * MM})
    assert crossed["refusal"]["where"] == "bores_cross"
    loose_form = seat(run, makers={"form_limit": 30 * UM})
    assert "maker_form_wider" in fired(loose_form)


def test_the_measured_bore_rules(run: Run) -> None:
    got = seat(run, bore_measured=50.008 * MM)["values"]
    assert got["clearance_most"] == pytest.approx(23 * UM, abs=1e-12)
    assert got["clearance_least"] == pytest.approx(22 * UM, abs=1e-12)
    assert got["offset"] == pytest.approx(11.5 * UM, abs=1e-12)
    tight = seat(run, bore_measured=49.984 * MM)
    assert "tight_here" in fired(tight)


def test_clamp_collars_on_small_shafts_are_a_claim(run: Run) -> None:
    """0.005 in under size is said to hold; it is a claim without a source and moves no limit."""
    got = seat(run, *[(50 - 0.1, 50 - 0.1)] * 3, locking_method="clamp_collar")
    assert "clamp_claim" in fired(got)
    assert got["verdict"] == "stop"


def test_bores_past_the_table_have_no_clearance(run: Run) -> None:
    got = seat(run, None, None, None, shaft_d=200 * MM)
    assert "bore_unknown" in fired(got)
    assert got["values"]["clearance_most"] is None


# ---- the free end -------------------------------------------------------------------------------------------------


def free(run: Run, **more: Any) -> dict[str, Any]:
    """2.52 mm of growth in a travel of 6 mm: 2.4 mm each way after the margin."""
    common = {
        "held": "one", "free_kind": "expansion_unit", "span": 3.0, "shaft_material": "steel", "frame_material": "steel",
        "cold": celsius(20), "shaft_hot": celsius(90), "frame_hot": celsius(20), "travel": 6 * MM,
    }  # fmt: skip
    got: dict[str, Any] = run("free_end", **{k: v for k, v in {**common, **more}.items() if v is not None})
    return got


@pytest.mark.parametrize(
    ("changed", "where"),
    [
        ({"free_kind": "not_at_all"}, "no_travel"), ({"free_kind": "unknown"}, "travel_not_known"), ({"travel": None}, "travel_needed"),
        ({"shaft_material": "other"}, "coefficient_needed"), ({"frame_material": "other"}, "coefficient_needed"),
        ({"shaft_d": 50 * MM, "hole_d": 50 * MM}, "hole_too_large"),
    ],
)  # fmt: skip
def test_a_free_end_is_refused(run: Run, changed: dict[str, Any], where: str) -> None:
    assert free(run, **changed)["refusal"]["where"] == where


@pytest.mark.parametrize(("held", "check"), [("two", "both_held"), ("none", "none_held")])
def test_exactly_one_bearing_holds(run: Run, held: str, check: str) -> None:
    got = free(run, held=held)
    assert check in fired(got)
    assert got["verdict"] == "stop"


@pytest.mark.parametrize(
    ("set_back", "position"), [(0.12, "inside"), (0.119999, "under"), (2.4, "inside"), (2.400001, "over"), (1.26, "inside")]
)  # fmt: skip
def test_where_it_may_stand(run: Run, set_back: float, position: str) -> None:
    """Derived: hot inside asks for at least dL - (W - m), cold inside for at most W - m."""
    assert window(free(run, set_back=set_back * MM), "place") == position


def test_more_growth_than_travel_stops(run: Run) -> None:
    """Derived: 2 (W - m) = 4.8 mm."""
    assert "no_room" not in fired(free(run, span=5.7))  # 4.79 mm
    assert "no_room" in fired(free(run, span=5.72))
    assert "centred_will_do" in fired(free(run, span=2.85))
    assert "centred_will_do" not in fired(free(run, span=2.86))


def test_the_start_is_worse_than_the_run(run: Run) -> None:
    """Shaft hot, frame still cold: 2.52 mm from a place chosen for 0.756 mm of growth, 2.142 mm from the middle."""
    got = free(run, frame_hot=celsius(69), travel=4.28 * MM)
    assert got["values"]["growth"] == pytest.approx(0.756 * MM, abs=1e-9)
    assert "start_runs_out" in fired(got)
    assert "start_runs_out" not in fired(free(run, frame_hot=celsius(69), travel=4.29 * MM))


# ---- soft foot ----------------------------------------------------------------------------------------------------


def feet(run: Run, *lifts: float, **more: Any) -> dict[str, Any]:
    makers = more.pop("makers", {})
    given = {f"lift_{n}": lift * MM for n, lift in enumerate(lifts, 1)}
    got: dict[str, Any] = run("soft_foot", makers, feet="two" if len(lifts) == 2 else "four", **given, **more)
    return got


@pytest.mark.parametrize(
    ("lifts", "pattern", "shims"),
    [
        ((0.05, 0.0, 0.05, 0.0), "level", (None,) * 4),
        ((0.051, 0.0, 0.05, 0.0), "one", (0.051, 0, 0, 0)),
        ((0.02, 0.3, 0.03, 0.01), "one", (0, 0.3, 0, 0)),
        ((0.21, 0.02, 0.19, 0.01), "across", (0.105, 0, 0.095, 0)),
        ((0.0, 0.1, 0.0, 0.12), "across", (0, 0.05, 0, 0.06)),
        ((0.2, 0.25, 0.0, 0.04), "side", (0.2, 0.25, 0, 0)),
        ((0.2, 0.0, 0.0, 0.25), "side", (0.2, 0, 0, 0.25)),
        ((0.2, 0.2, 0.2, 0.0), "spring", (None,) * 4),
        ((0.2, 0.2), "spring", (None,) * 4),
        ((0.2, 0.0), "one", (0.2, 0, None, None)),
    ],
)
def test_patterns_and_shims(run: Run, lifts: tuple[float, ...], pattern: str, shims: tuple[Any, ...]) -> None:
    got = feet(run, *lifts)
    assert got["values"]["pattern"] == pattern
    for n, shim in enumerate(shims, 1):
        want = None if shim is None else pytest.approx(shim * MM, abs=1e-12)
        assert got["values"][f"shim_{n}"] == want
    assert (got["verdict"] == "stop") is (pattern != "level")
    assert ("take_again" in fired(got)) is (pattern != "level")


@pytest.mark.parametrize(
    "heights", [(0, 0, 0, 0), (-0.2, 0, 0, 0), (-0.1, 0, -0.1, 0), (0, 0.3, 0, 0), (0.1, -0.2, 0.15, 0)]
)
def test_shims_of_a_stiff_housing_leave_it_flat(run: Run, heights: tuple[float, ...]) -> None:
    """Geometry: corners lie in one plane when z1 + z3 = z2 + z4. A stiff housing slack at one foot rests on the other
    three, so the feet of the short diagonal each show the whole twist and the others none; the shims make it good."""
    twist = heights[1] + heights[3] - heights[0] - heights[2]
    lifts = [max(0.0, twist if n % 2 == 0 else -twist) for n in range(4)]
    values = feet(run, *lifts)["values"]
    shims = [(values[f"shim_{n}"] or 0.0) / MM for n in range(1, 5)]
    level = [z + shim for z, shim in zip(heights, shims, strict=True)]
    assert level[0] + level[2] == pytest.approx(level[1] + level[3], abs=1e-9)


def test_a_foot_at_an_angle_gets_no_flat_shim(run: Run) -> None:
    got = feet(run, 0.2, 0, 0, 0, gap_most=0.2 * MM, gap_least=0.1 * MM)
    assert got["values"]["pattern"] == "angled"
    assert "at_an_angle" in fired(got)
    assert got["values"]["shim_1"] is None
    assert feet(run, 0.2, 0, 0, 0, gap_most=0.2 * MM, gap_least=0.15 * MM)["values"]["pattern"] == "one"


def test_three_shims_and_the_whole_foot(run: Run) -> None:
    assert feet(run, 0, 0, 0, 0, shims_most=3.0, full_footprint=True)["verdict"] == "inside"
    assert "too_many_shims" in fired(feet(run, 0, 0, 0, 0, shims_most=4.0))
    assert "small_shims" in fired(feet(run, 0, 0, 0, 0, full_footprint=False))


def test_three_readings_of_four_are_refused(run: Run) -> None:
    got = run("soft_foot", feet="four", lift_1=0.0, lift_2=0.0, lift_3=0.0)
    assert got["refusal"]["code"] == "missing_input"
    assert run("soft_foot", feet="two", lift_1=0.0)["refusal"]["code"] == "missing_input"


def test_two_thousandths(run: Run) -> None:
    """0.05 mm and 2 thousandths of an inch (0.0508 mm) are said in one breath: neither fitter is stopped at his own figure."""
    assert feet(run, 2e-3 * IN / MM, 0, 0, 0)["verdict"] == "inside"
    assert feet(run, 0.05, 0, 0, 0)["verdict"] == "inside"
    assert feet(run, 2.1e-3 * IN / MM, 0, 0, 0)["verdict"] == "stop"
    assert feet(run, 0.051, 0, 0, 0)["verdict"] == "stop"
    assert window(feet(run, 0.05, 0, 0, 0, lift_step=0.1 * MM), "foot_1") == "cannot_tell"


# ---- warming ------------------------------------------------------------------------------------------------------


def warm(run: Run, **more: Any) -> dict[str, Any]:
    makers = more.pop("makers", {})
    common = {"bore": 100 * MM, "greased": False, "shaft_temperature": celsius(20), "interference": 20 * UM}
    got: dict[str, Any] = run("warming", makers, **{**common, **more})
    return got


@pytest.mark.parametrize(
    ("greased", "limit", "check"),
    [(False, None, None), (True, None, None), (True, 100, "maker_over"), (True, 101, "maker_far_over"), (False, 121, "maker_far_over")],
)  # fmt: skip
def test_limits(run: Run, greased: bool, limit: float | None, check: str | None) -> None:
    """120 C open (a handbook; TM 5-3810-307-24-1-1, oil not above 250 F, which is 121 C: both secondary), 80 C sealed or
    greased, 100 C only by the maker's instruction."""
    got = warm(run, greased=greased, makers={} if limit is None else {"limit": celsius(limit)})
    assert got["values"]["common_limit"] == pytest.approx(celsius(80 if greased else 120))
    assert got["values"]["common_limit"] <= CELSIUS_ZERO + (250 - 32) / 1.8
    if check:
        assert check in fired(got)


def test_no_temperature_to_warm_to_is_given_over_the_limit(run: Run) -> None:
    """50 mm, k6, greased: it would take 140 degC, and 80 is the limit. A number beside "warm the ring to" would be followed."""
    common = {"bore": 50 * MM, "shaft_temperature": 20 + CELSIUS_ZERO, "fit_class": "k6"}
    for greased, given in ((True, None), (False, None)):
        got = run("warming", greased=greased, **common)["values"]
        assert got["needed"] == pytest.approx(140 + CELSIUS_ZERO)  # (30 + 30) / (12e-6 50) = 100 K, and 20 K for carrying
        assert got["warm_to"] is given
        assert got["slide_at"] is given
        hot = run("warming", greased=greased, ring_now=90 + CELSIUS_ZERO, **common)
        assert hot["windows"] == []  # no window from 140 to 80
        assert ("too_hot" in fired(hot)) is greased
        assert "cooled_off" not in fired(hot)  # it would say to warm it again
    open_bearing = run("warming", greased=False, **{**common, "bore": 100 * MM})["values"]
    assert open_bearing["warm_to"] == open_bearing["needed"] < 120 + CELSIUS_ZERO


@pytest.mark.parametrize(
    ("changed", "where"),
    [({"heater": "flame"}, "no_flame"), ({"heater": "oil_bath", "greased": True}, "no_bath"), ({"interference": None}, "interference_needed")],
)  # fmt: skip
def test_warming_is_refused(run: Run, changed: dict[str, Any], where: str) -> None:
    assert warm(run, **changed)["refusal"]["where"] == where


def test_the_ring_is_judged_where_it_is(run: Run) -> None:
    """20 um and a gap of 50 um on 100 mm: 58.3 K, at the seat 78.3 C, with 20 K for carrying 98.3 C."""
    assert window(warm(run, ring_now=celsius(98)), "ring") == "not_yet"
    assert warm(run, ring_now=celsius(99))["verdict"] == "inside"
    assert warm(run, ring_now=celsius(120))["verdict"] == "inside"
    assert warm(run, ring_now=celsius(120.001))["verdict"] == "stop"
    assert "cooled_off" in fired(warm(run, ring_now=celsius(78)))


def test_a_colder_shaft_makes_room(run: Run) -> None:
    far = warm(run, interference=100 * UM)
    assert far["verdict"] == "stop"
    again = warm(run, interference=100 * UM, shaft_temperature=far["values"]["shaft_at_most"])
    assert again["values"]["needed"] == pytest.approx(again["values"]["limit"], abs=1e-9)
    assert again["values"]["reached"] is True


def test_temperature_has_to_be_read(run: Run) -> None:
    assert warm(run, thermometer="not_read")["verdict"] == "stop"
    assert "infrared_lies" in fired(warm(run, thermometer="infrared"))
    assert warm(run, thermometer="contact")["verdict"] == "none"

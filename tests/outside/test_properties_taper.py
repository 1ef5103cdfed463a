"""What physics and good order demand of the taper family, on any input: monotone where it should be, windows that never cross."""

from typing import Any

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from outside_units import DEG, MM, UM, fired, window
from running import Run

quick = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])

TAPERS = st.sampled_from(["one_in_12", "one_in_30"])
SEATS = st.sampled_from(["sleeve", "shaft"])
CLASSES = ["C2", "CN", "C3", "C4", "C5"]


def seat(run: Run, bore: float, travel: float | None, **more: Any) -> dict[str, Any]:
    """Values of a roller bearing of bore mm, driven up by a share of its bore in thousandths."""
    got = run(
        "taper_seat", **{
            "bearing_type": "spherical_roller", "bore": bore * MM, "outer": 1.8 * bore * MM, "width": 0.45 * bore * MM,
            "taper": "one_in_12", "seat": "shaft", "finish": "ground", "travel": None if travel is None else travel * bore * UM, **more,
        },
    )  # fmt: skip
    assert got["status"] == "done", got["refusal"]
    values: dict[str, Any] = got["values"]
    return values


@quick
@given(st.floats(20, 900), st.floats(0, 12), st.floats(0, 12), TAPERS, SEATS)
def test_more_travel_more_of_everything(run: Run, bore: float, one: float, other: float, taper: str, on: str) -> None:
    low, high = sorted((one, other))
    a, b = (seat(run, bore, s, taper=taper, seat=on) for s in (low, high))
    for name in ("interference", "effective", "pressure", "hoop", "reduction", "contact_force", "drive_force", "release_force"):
        assert a[name] <= b[name], name
    assert a["oil_force"] >= b["oil_force"]  # the harder it sits, the harder it flies
    assert b["oil_force"] <= 0


@quick
@given(st.floats(20, 900), st.floats(4, 12), st.floats(0, 0.95), st.floats(0, 0.95))
def test_a_hollow_shaft_takes_less(run: Run, bore: float, travel: float, one: float, other: float) -> None:
    low, high = sorted((one, other))
    a, b = (seat(run, bore, travel, shaft_hole=share * bore * MM, reduction_wanted=30 * UM) for share in (low, high))
    assert 0 < b["hollow"] <= a["hollow"] <= 1
    for name in ("pressure", "reduction", "contact_force"):
        assert b[name] <= a[name], name
    assert b["travel_wanted"] >= a["travel_wanted"]


@quick
@given(st.floats(20, 900), st.floats(0, 12), st.floats(10, 60), st.floats(10, 60))
def test_rougher_faces_hold_less(run: Run, bore: float, travel: float, one: float, other: float) -> None:
    low, high = sorted((one, other))
    a, b = (seat(run, bore, travel, finish="roughness", rz_shaft=rz * UM, rz_bore=2 * UM) for rz in (low, high))
    assert b["smoothing"] >= a["smoothing"]
    assert b["effective"] <= a["effective"] <= a["interference"]


@quick
@given(st.floats(20, 900), st.floats(1, 400), TAPERS, SEATS, st.floats(0, 0.9))
def test_wanted_and_predicted_are_one_model(run: Run, bore: float, wanted: float, taper: str, on: str, hole: float) -> None:
    v = seat(run, bore, None, reduction_wanted=wanted * UM, taper=taper, seat=on, shaft_hole=hole * bore * MM)
    assert abs(v["reduction"] - wanted * UM) < 1e-12
    assert v["travel_first"] is None or v["travel_first"] <= v["travel_last"]


@quick
@given(st.floats(20, 900), st.floats(4, 12), SEATS)
def test_one_in_30_is_two_and_a_half_times_flatter(run: Run, bore: float, travel: float, on: str) -> None:
    steep, flat = seat(run, bore, travel, seat=on), seat(run, bore, 2.5 * travel, taper="one_in_30", seat=on)
    assert abs(steep["reduction"] - flat["reduction"]) <= 1e-9 * steep["reduction"] + 1e-15
    assert flat["drive_force"] < steep["drive_force"]  # the same grip, a smaller slope
    assert flat["release_force"] > steep["release_force"]


@quick
@given(st.floats(20, 900), st.floats(0, 12), st.floats(0, 900), st.floats(0, 60), st.floats(0, 100))
def test_before_is_reduction_squeeze_and_left(run: Run, bore: float, travel: float, before: float, warm: float, squeeze: float) -> None:
    v = seat(run, bore, travel, clearance_before=before * UM, ring_warmer=warm, squeeze=squeeze * UM)
    assert abs(v["residual"] + v["reduction"] + squeeze * UM - before * UM) < 1e-15
    assert v["operating"] <= v["residual"]


@quick
@given(st.floats(20, 900), st.floats(1, 12), st.floats(1, 3000), st.floats(1, 3000))
def test_more_load_needs_more(run: Run, bore: float, travel: float, one: float, other: float) -> None:
    low, high = sorted((one, other))
    a, b = (seat(run, bore, travel, load=load * 1e3) for load in (low, high))
    assert a["needed"] <= b["needed"]
    assert a["grip_left"] == b["grip_left"]


@quick
@given(st.floats(24.1, 500), TAPERS, SEATS, st.sampled_from(["CN", "C3", "C4"]), st.floats(0, 1))
def test_the_windows_never_cross(run: Run, bore: float, taper: str, on: str, name: str, place: float) -> None:
    """Anywhere in its class a bearing has a window, and the smallest clearance stays."""
    limits = run("clearance_check", bearing="spherical_roller", bore_kind="tapered", bore=bore * MM, clearance_class=name)["values"]
    before = limits["class_least"] + place * (limits["class_most"] - limits["class_least"])
    got = run(
        "taper_drive_up", bearing_type="spherical_roller", bore=bore * MM, taper=taper, seat=on, clearance_class=name,
        clearance_before=before,
    )  # fmt: skip
    v = got["values"]
    assert v["class_least"] == limits["class_least"]
    assert not v["off_class"]
    assert 0 < v["reduction_least"] <= v["reduction_most"] + 1e-9 <= v["reduction_table"] + 2e-9
    assert v["residual_least"] - 1e-9 <= v["clearance_low"] <= v["clearance_high"] + 1e-9 < before
    if v["travel_least"] is not None:
        assert 0 < v["travel_least"] <= v["travel_most"] + 1e-12 <= v["travel_table"] + 2e-12
        assert v["angle_least"] <= v["angle_most"] + 1e-9
    assert v["next"] == "drive_up"


@quick
@given(st.floats(40.1, 500), st.integers(0, 300), st.integers(0, 300))
def test_driving_on_goes_one_way_through_the_steps(run: Run, bore: float, one: int, other: int) -> None:
    """Push on, then stop and lock, then take down: never back as the clearance falls."""
    order = ["push_on", "stop_and_lock", "take_down"]
    low, high = sorted((one, other))
    ask = {"bearing_type": "spherical_roller", "bore": bore * MM, "taper": "one_in_12", "seat": "sleeve", "clearance_class": "C4"}
    before = run("taper_drive_up", **ask)["values"]["class_least"]
    steps = [
        run("taper_drive_up", **ask, clearance_before=before, clearance_now=max(0.0, before - d * UM))["values"]["next"] for d in (low, high)
    ]
    assert order.index(steps[0]) <= order.index(steps[1])


@quick
@given(st.floats(40.1, 500), TAPERS, st.floats(0.2, 3), st.floats(0.2, 3))
def test_readings_that_agree_with_a_third_are_told_alike(run: Run, bore: float, taper: str, by_gauge: float, by_nut: float) -> None:
    """Travel and angle as shares of the band's middle: each agrees or not by itself, none of three agreeing stops."""
    got = run(
        "taper_drive_up", bearing_type="spherical_roller", bore=bore * MM, taper=taper, seat="shaft", clearance_class="C4",
        clearance_before=2e-4, clearance_now=1.6e-4, travel_now=by_gauge * 16 * (1 if taper == "one_in_12" else 2.5) * 4e-5,
        angle_now=by_nut * 16 * (1 if taper == "one_in_12" else 2.5) * 4e-5 / 1e-3 * 360 * DEG, nut_pitch=1e-3,
    )  # fmt: skip
    v = got["values"]
    assert v["travel_agrees"] is (13 - 1e-9 <= v["ratio_now"] / (1 if taper == "one_in_12" else 2.5) <= 19 + 1e-9)
    agree = [v["travel_agrees"], v["angle_agrees"], v["turn_agrees"]]
    assert ("none_agree" in fired(got)) is (not any(agree))
    assert ("three_agree" in fired(got)) is all(agree)


@quick
@given(st.sampled_from(["spherical_roller", "self_aligning_ball"]), st.floats(18.1, 160), st.integers(0, 400_000))
def test_every_reading_has_one_place_among_the_classes(run: Run, bearing: str, bore: float, nano: int) -> None:
    """The first class that holds a reading holds it; the class marked so never stops it."""
    ask = {"bearing": bearing, "bore_kind": "tapered", "bore": bore * MM}
    got = run("clearance_check", **ask, clearance_class="unknown", reading=nano * 1e-9)["values"]
    first = got["class_first"]
    for name in {first, got["class_last"]} & set(CLASSES):
        marked = run("clearance_check", **ask, clearance_class=name, reading=nano * 1e-9)
        assert window(marked, "before") == "inside"
        assert marked["values"]["next"] == "go_on"
    if first in ("below", "above"):
        for name in CLASSES:
            assert run("clearance_check", **ask, clearance_class=name, reading=nano * 1e-9)["verdict"] == "stop"


@quick
@given(st.floats(5, 200), TAPERS, st.integers(0, 400), st.integers(0, 400))
def test_turning_on_takes_little_and_never_gives(run: Run, thread: float, taper: str, now: int, keep: int) -> None:
    got = run("lock_washer", thread=thread * MM, taper=taper, clearance_now=now * UM, residual_least=keep * UM)
    v = got["values"]
    assert 4.7 * DEG < v["tab_step"] <= 10 * DEG
    assert 0 < v["cost"] < v["cost_most"] < 4 * UM
    assert v["clearance_after"] < now * UM
    assert ("too_little" in fired(got)) is (round(v["clearance_after"] * 1e9) < keep * 1000)


@quick
@given(st.floats(10, 200), st.floats(60, 200), st.floats(60, 200), TAPERS)
def test_a_longer_angle_makes_more(run: Run, bore: float, one: float, other: float, taper: str) -> None:
    assume(one != other)
    low, high = sorted((one, other))
    a, b = (
        run("insert_sleeve_seating", {"angle_least": x * DEG}, maker_gives="angle", zero="hand_tight", bore=bore * MM, taper=taper)["values"]
        for x in (low, high)
    )
    assert a["interference"] < b["interference"]
    assert a["angle_most"] < b["angle_most"]
    assert a["angle_least"] < a["angle_most"] <= a["angle_least"] + 10.1 * DEG

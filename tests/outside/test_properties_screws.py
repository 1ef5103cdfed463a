"""What physics and good order demand of every screw sheet, on random input."""

from math import pi
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from outside_units import IN, LBF_FT, LBF_IN, MM, fired
from running import Run

from shaftside import calc

quick = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
THREADS = ["M4", "M5", "M6", "M8", "M8x1", "M10", "M12", "M12x1.25", "M16", "M20", "M24", "M30"]
INCH = ["1/4-20", "5/16-18", "3/8-16", "3/8-24", "1/2-13", "5/8-11", "3/4-10", "1-8"]
SET = [
    "M5",
    "M6",
    "M8",
    "M8x1",
    "M10",
    "M12",
    "M16",
    "M20",
    "1/4-28",
    "5/16-24",
    "3/8-24",
    "1/2-20",
    "5/8-18",
]
STATES = ["paste_or_solid_film", "oil_or_grease", "dry_as_delivered", "zinc_dry_or_stainless_oiled"]


def screw(run: Run, thread: str, **more: Any) -> dict[str, Any]:
    base = {
        "head": "hex",
        "screw_class": "8.8" if thread.startswith("M") else "grade_5",
        "lubrication": "oil_or_grease",
    }
    return run("screw_preload", thread=thread, **{**base, **more})


@quick
@given(st.sampled_from(THREADS), st.floats(0.03, 0.5), st.floats(0.03, 0.5))
def test_friction(run: Run, thread: str, one: float, other: float) -> None:
    """More friction: less preload at 90 % of yield, more torque for the same preload, less preload at the same torque."""
    low, high = sorted((one, other))
    a = screw(run, thread, friction=low, preload_wanted=1000.0, torque=2.0)["values"]
    b = screw(run, thread, friction=high, preload_wanted=1000.0, torque=2.0)["values"]
    assert a["preload_ceiling"] >= b["preload_ceiling"]
    assert a["torque_wanted"] <= b["torque_wanted"]
    assert a["preload_usual"] >= b["preload_usual"]
    assert a["factor_long"] <= b["factor_long"]


@quick
@given(st.sampled_from(THREADS), st.sampled_from(STATES), st.floats(0.1, 1.0))
def test_limits_never_cross(run: Run, thread: str, state: str, share: float) -> None:
    """Worst, usual and best preload in order; the highest at a torque within the ceiling stays within F_M."""
    top = screw(run, thread, lubrication=state, tightening="wrench_estimated")["values"]
    got = screw(run, thread, lubrication=state, tightening="wrench_estimated", torque=share * top["ceiling"])
    v = got["values"]
    assert v["preload_min"] < v["preload_min_usual"] < v["preload_most"] <= v["preload_ceiling"] * (1 + 1e-9)
    assert v["preload_friction"] < v["preload_usual"] < v["preload_most"]
    assert v["preload_elastic"] < v["preload_ceiling"]
    assert v["pitch_share"] + v["thread_share"] + v["head_share"] == pytest.approx(v["ceiling"], rel=1e-12)
    assert "over_ceiling" not in fired(got)


@quick
@given(st.sampled_from(THREADS), st.floats(0.04, 0.4))
def test_the_ceiling_is_nine_tenths_of_yield(run: Run, thread: str, friction: float) -> None:
    """With the plastic twist (12 M / pi d0^3) the combined stress at F_M is 0.9 R_p02 (VDI 2230-1); elastic is more."""
    v = screw(run, thread, friction=friction)["values"]
    plastic = 12 * v["twist_moment"] / (pi * v["d0"] ** 3)
    assert (v["tension_stress"] ** 2 + 3 * plastic**2) ** 0.5 == pytest.approx(
        0.9 * v["yield_stress"], rel=0.004
    )
    assert v["combined_stress"] > 0.9 * v["yield_stress"] * 0.997


@quick
@given(st.sampled_from(THREADS[3:]), st.sampled_from(["4.6", "5.6", "8.8", "10.9"]))
def test_stronger_and_larger_stand_more(run: Run, thread: str, weak: str) -> None:
    strong = {"4.6": "5.6", "5.6": "8.8", "8.8": "10.9", "10.9": "12.9"}[weak]
    a, b = screw(run, thread, screw_class=weak)["values"], screw(run, thread, screw_class=strong)["values"]
    assert a["ceiling"] < b["ceiling"]
    assert a["proof_load"] < b["proof_load"]


@quick
@given(st.sampled_from(INCH), st.integers(1, 400))
def test_inch_typed_is_metric_typed(run: Run, program: Any, thread: str, torque: int) -> None:
    """A torque typed in lbf.in, in lbf.ft or in N.m is one torque, with one verdict."""
    results = []
    for text in (f"{torque * 12} lbf.in", f"{torque} lbf.ft", f"{torque * 12 * LBF_IN!r} N.m"):
        entries = {"thread": {"word": thread}, "head": {"word": "hex"}, "screw_class": {"word": "grade_5"}, "lubrication": {"word": "dry_as_delivered"}}  # fmt: skip
        spec = next(s for s in program["sheets"]["screw_preload"]["inputs"] if s["name"] == "torque")
        entries["torque"] = calc.entry_of(program, spec, text)
        values, problems = calc.read_inputs(program, "screw_preload", entries)
        assert problems == []
        results.append(calc.evaluate(program, "screw_preload", values))
    assert results[0]["values"]["target"] == pytest.approx(torque * LBF_FT, rel=1e-12)
    for other in results[1:]:
        assert other["verdict"] == results[0]["verdict"]
        assert other["values"]["preload_usual"] == pytest.approx(
            results[0]["values"]["preload_usual"], rel=1e-9
        )


def pair(run: Run, thread: str, angle: float, **more: Any) -> dict[str, Any]:
    base = {"screws": "two", "point": "cup", "lubrication": "dry_as_delivered", "shaft_d": 40 * MM}
    values: dict[str, Any] = run("set_screw_hold", thread=thread, angle=angle, **{**base, **more})["values"]
    return values


@quick
@given(st.sampled_from(SET), st.floats(0, pi), st.floats(0, pi))
def test_hold_falls_with_the_angle_and_never_doubles(run: Run, thread: str, one: float, other: float) -> None:
    near, far = sorted((one, other))
    a, b = pair(run, thread, near), pair(run, thread, far)
    single = pair(run, thread, 0.0, screws="one")
    assert a["hold_axial"] >= b["hold_axial"] * (1 - 1e-12)
    assert single["hold_axial"] * (1 - 1e-12) <= b["hold_axial"] <= 2 * single["hold_axial"] * (1 + 1e-12)
    assert b["pair_factor"] <= b["pair_model"] + 1e-12


@quick
@given(
    st.sampled_from(SET),
    st.floats(0.05, 1.0),
    st.floats(0.05, 1.0),
    st.floats(0.04, 0.4),
    st.floats(0.04, 0.4),
)
def test_thrust_and_hold_grow_with_torque(run: Run, thread: str, one: float, other: float, f: float, g: float) -> None:  # fmt: skip
    less, more = sorted((one, other))
    seat = pair(run, thread, 1.0)["seating"]
    a, b = pair(run, thread, 1.0, torque=less * seat), pair(run, thread, 1.0, torque=more * seat)
    assert a["thrust"] <= b["thrust"]
    assert a["hold_torque"] <= b["hold_torque"]
    assert a["thrust_least"] < a["thrust"] < a["thrust_most"]
    slick, rough = (pair(run, thread, 1.0, friction=x) for x in sorted((f, g)))
    assert slick["thrust"] >= rough["thrust"]


@quick
@given(st.sampled_from(SET), st.floats(5, 200), st.floats(5, 200))
def test_turning_hold_grows_with_the_shaft_and_axial_does_not(run: Run, thread: str, one: float, other: float) -> None:  # fmt: skip
    small, large = sorted((one, other))
    a, b = pair(run, thread, 1.0, shaft_d=small * MM), pair(run, thread, 1.0, shaft_d=large * MM)
    assert a["hold_axial"] == b["hold_axial"]
    assert a["hold_torque"] <= b["hold_torque"]


@quick
@given(st.floats(0.5, 500), st.floats(0.0, 20), st.sampled_from(["click", "indicating", "beam", "preset", "screwdriver", None]))  # fmt: skip
def test_the_band_holds_what_was_wanted(run: Run, torque: float, drag: float, wrench: str | None) -> None:
    v = run("torque_wrench", torque_wanted=torque, drag=drag, wrench=wrench)["values"]
    assert v["least_applied"] < v["at_screw"] < v["most_applied"]
    assert v["least_useful"] < torque < v["most_useful"]
    assert v["smallest_wrench"] < v["largest_wrench"]


@quick
@given(st.floats(0.1, 1), st.floats(-0.05, 0.3), st.floats(0, pi), st.floats(0, pi))
def test_a_reach_that_shortens_raises_the_setting(run: Run, length: float, adapter: float, one: float, other: float) -> None:  # fmt: skip
    assume(length - abs(adapter) > 0.01)
    near, far = (
        run("torque_wrench", torque_wanted=50.0, wrench_length=length, adapter_length=adapter, adapter_angle=a)["values"]
        for a in sorted((one, other))
    )  # fmt: skip
    if adapter >= 0:
        assert near["set_on_wrench"] <= far["set_on_wrench"] * (1 + 1e-9)
    else:
        assert near["set_on_wrench"] >= far["set_on_wrench"] * (1 - 1e-9)


@quick
@given(st.sampled_from(["M6", "M8", "M10", "M12", "1/4-20", "3/8-24", "1/2-13"]), st.floats(0.1, 1), st.floats(0, 0.9), st.floats(10, 200))  # fmt: skip
def test_clamp_collar(run: Run, thread: str, share: float, closing: float, shaft: float) -> None:
    """Bounds of the grip in order; what closes the collar comes off; a target within the limit is never stopped for it."""
    common = {
        "cap_screw": thread, "screws": "two", "screw_class": "12.9" if thread.startswith("M") else "A574",
        "lubrication": "oil_or_grease", "shaft_d": shaft * MM, "collar_width": 0.5 * IN,
    }  # fmt: skip
    limit = run("clamp_collar_torque", {"target": 1.0}, **common)["values"]["ceiling"]
    got = run(
        "clamp_collar_torque", {"target": share * limit}, **common, closing_torque=closing * share * limit
    )
    v = got["values"]
    assert 0 < v["net"] <= v["preload"]
    assert v["grip_axial_least"] < v["grip_axial_most"]
    assert v["grip_torque_least"] < v["grip_torque_middle"] < v["grip_torque_most"]
    assert v["low"] <= v["target"] <= v["high"] <= limit * (1 + 1e-9)
    assert "over_ceiling" not in fired(got)
    assert v["preload_least"] < v["preload"] < v["preload_most"]

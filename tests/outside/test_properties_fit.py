"""What physics and good order demand of shaft_fit, free_end, soft_foot, alignment and warming, for any input."""

from decimal import Decimal
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from outside_units import CELSIUS_ZERO, MM, UM, window
from running import Run

from shaftside import calc

quick = settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
METHODS = [
    "ring_set_screws",
    "set_screw_collar",
    "cam_collar",
    "clamp_collar",
    "adapter_sleeve",
    "pull_off_sleeve",
]
LOADS = ["simple", "light", "normal", "heavy", "very_heavy", "unknown"]
deviation = st.integers(-120, 60)


def seat(
    run: Run, size: float, readings: list[int], method: str = "cam_collar", **more: Any
) -> dict[str, Any]:
    """Readings in whole um from nominal, two for each plane."""
    read = [(size * MM + one * UM) for one in readings]
    got: dict[str, Any] = run(
        "shaft_fit", shaft_d=size * MM, shaft_system="metric", locking_method=method, plane_1=read[:2], plane_2=read[2:4],
        plane_3=read[4:6], **more,
    )  # fmt: skip
    return got


@quick
@given(
    st.integers(11, 180),
    st.lists(deviation, min_size=6, max_size=6),
    st.sampled_from(METHODS),
    st.sampled_from(LOADS),
    st.booleans(),
)
def test_a_seat_is_judged_by_its_worst_reading(
    run: Run, size: int, readings: list[int], method: str, load: str, shock: bool
) -> None:
    v = seat(run, size, readings, method, load=load, shock=shock)["values"]
    assert v["smallest"] < v["largest"]
    assert abs(v["measured_most"] - v["measured_least"] - v["size_spread"]) < 1e-15
    assert v["out_of_round"] <= v["size_spread"] + 1e-15
    assert abs(v["seat_taper"]) <= v["size_spread"] + 1e-15
    assert (v["advice"] in ("fits", "change", "out_of_form")) == (not v["too_large"] and not v["too_small"])
    if v["clearance_most"] is not None:
        assert v["clearance_least"] <= v["clearance_most"] + 1e-15


@quick
@given(
    st.lists(deviation, min_size=6, max_size=6),
    st.permutations(range(3)),
    st.lists(st.booleans(), min_size=3, max_size=3),
)
def test_the_order_of_planes_and_directions_moves_no_verdict(
    run: Run, readings: list[int], order: list[int], flips: list[bool]
) -> None:
    pairs = [readings[2 * n : 2 * n + 2][:: -1 if flip else 1] for n, flip in zip(order, flips, strict=True)]
    a, b = seat(run, 50, readings), seat(run, 50, [one for pair in pairs for one in pair])
    assert (a["verdict"], a["values"]["advice"]) == (b["verdict"], b["values"]["advice"])
    assert a["values"]["out_of_round"] == b["values"]["out_of_round"]


@quick
@given(st.floats(-20, 120), st.floats(0.1, 30), st.floats(10.1, 500))
def test_the_warmer_the_shaft_the_smaller_it_is_cold(
    run: Run, degrees: float, more: float, size: float
) -> None:
    def cold(at: float) -> float:
        got = seat(run, size, [0] * 6, "adapter_sleeve", shaft_temperature=CELSIUS_ZERO + at)
        return float(got["values"]["measured_most"])

    assert cold(degrees + more) < cold(degrees)


@quick
@given(st.integers(0, 4), st.integers(0, 4), st.booleans(), st.floats(10.1, 180))
def test_heavier_load_shock_or_speed_never_widens_the_limits(
    run: Run, one: int, other: int, fast: bool, size: float
) -> None:
    def width(load: str, **more: Any) -> float:
        v = run(
            "shaft_fit",
            shaft_d=size * MM,
            shaft_system="metric",
            locking_method="ring_set_screws",
            load=load,
            **more,
        )["values"]
        return float(v["largest"] - v["smallest"])

    light, heavy = sorted((one, other))
    assert width(LOADS[heavy]) <= width(LOADS[light]) + 1e-15
    assert width(LOADS[light], shock=True) <= width(LOADS[light], high_speed=fast) + 1e-15
    assert width("unknown") <= width(LOADS[light]) + 1e-15


@quick
@given(
    st.decimals("0.5", "4", places=3),
    st.lists(st.integers(-40, 20), min_size=6, max_size=6),
    st.integers(-10, 120),
)
def test_units_change_nothing(
    program: dict[str, Any], inches: Decimal, tenths: list[int], fahrenheit: int
) -> None:
    """The same seat typed in inches and Fahrenheit, and in millimetres and Celsius."""
    sizes = [inches + Decimal(one) / 10000 for one in tenths]
    words = {
        "shaft_system": {"word": "metric"},
        "locking_method": {"word": "set_screw_collar"},
        "load": {"word": "light"},
    }

    def told(factor: Decimal, unit: str, warmth: dict[str, str]) -> dict[str, Any]:
        planes = {
            f"plane_{n + 1}": {
                "typed": [f"{one * factor:f}" for one in sizes[2 * n : 2 * n + 2]],
                "unit": unit,
            }
            for n in range(3)
        }
        entries = {
            **words,
            **planes,
            "shaft_d": {"typed": f"{inches * factor:f}", "unit": unit},
            "shaft_temperature": warmth,
        }
        values, problems = calc.read_inputs(program, "shaft_fit", entries)
        assert problems == []
        return calc.evaluate(program, "shaft_fit", values)

    celsius = Decimal(fahrenheit - 32) * 5 / 9
    a = told(Decimal(1), "in", {"typed": str(fahrenheit), "unit": "degF"})
    b = told(Decimal("25.4"), "mm", {"typed": f"{celsius:.12f}", "unit": "degC"})
    assert (a["verdict"], a["checks"]) == (b["verdict"], b["checks"])
    for name, value in a["values"].items():
        if isinstance(value, float):
            assert abs(value - b["values"][name]) < 1e-12, name


# ---- the free end -------------------------------------------------------------------------------------------------


def free(run: Run, span: float, hot: float, frame: float, travel: float, **more: Any) -> dict[str, Any]:
    got: dict[str, Any] = run(
        "free_end", held="one", free_kind="in_housing", span=span, shaft_material="steel", frame_material="concrete",
        cold=CELSIUS_ZERO + 20, shaft_hot=CELSIUS_ZERO + hot, frame_hot=CELSIUS_ZERO + frame, travel=travel * MM, **more,
    )  # fmt: skip
    return got


@quick
@given(st.floats(0.1, 20), st.floats(-40, 250), st.floats(-40, 250), st.floats(0.5, 60))
def test_the_target_lies_midway_and_inside_when_there_is_room(
    run: Run, span: float, hot: float, frame: float, travel: float
) -> None:
    got = free(run, span, hot, frame, travel)
    v = got["values"]
    spoke = "no_room" in {c["name"] for c in got["checks"]}
    # wherever it is set, it runs out: then there is no place to name, and no window that runs backwards
    assert {v[name] is None for name in ("target", "set_least", "set_most")} == {spoke}
    if not spoke:
        assert abs(v["target"] - (v["set_least"] + v["set_most"]) / 2) < 1e-12
        assert v["set_least"] <= v["set_most"] + 1e-9
    assert spoke == (abs(v["growth"]) > 2 * v["room"]) or abs(abs(v["growth"]) - 2 * v["room"]) < 1e-9


@quick
@given(
    st.floats(0.1, 20),
    st.floats(-40, 250),
    st.floats(-40, 250),
    st.floats(0.5, 60),
    st.integers(-30000, 30000),
)
def test_inside_the_window_neither_end_runs_out(
    run: Run, span: float, hot: float, frame: float, travel: float, microns: int
) -> None:
    got = free(run, span, hot, frame, travel, set_back=microns * UM)
    v = got["values"]
    ends = max(abs(v["set_taken"]), abs(v["hot_place"]))
    if v["set_least"] is None:
        assert got["windows"] == []
    elif window(got, "place") == "inside":
        assert ends <= v["room"] + 2e-9
    else:
        assert ends >= v["room"] - 2e-9


@quick
@given(st.floats(0.1, 20), st.floats(20, 250), st.floats(0.1, 30))
def test_hotter_shafts_and_longer_spans_grow_more(run: Run, span: float, hot: float, more: float) -> None:
    grown = free(run, span, hot, 20, 50)["values"]["growth"]
    assert free(run, span, hot + more, 20, 50)["values"]["growth"] > grown
    assert free(run, span + more, hot + 1, 20, 50)["values"]["growth"] > grown
    assert free(run, span, hot, 20 + more, 50)["values"]["growth"] < grown


# ---- soft foot and alignment --------------------------------------------------------------------------------------


@quick
@given(st.lists(st.integers(0, 400), min_size=4, max_size=4), st.integers(0, 3))
def test_turning_the_numbers_round_turns_the_shims(run: Run, lifts: list[int], turn: int) -> None:
    def shims(read: list[int]) -> tuple[str, list[Any]]:
        v = run("soft_foot", feet="four", **{f"lift_{n + 1}": one * UM for n, one in enumerate(read)})[
            "values"
        ]
        return v["pattern"], [v[f"shim_{n}"] for n in range(1, 5)]

    pattern, plain = shims(lifts)
    again, turned = shims(lifts[turn:] + lifts[:turn])
    assert again == pattern
    assert turned == plain[turn:] + plain[:turn]
    for lift, shim in zip(lifts, plain, strict=True):
        assert shim is None or 0 <= shim <= lift * UM


@quick
@given(st.floats(0.02, 50), st.floats(0, 0.5), st.floats(0, 0.5), st.floats(0.001, 1))
def test_the_angle_is_larger_than_each_part_and_falls_with_span(
    run: Run, span: float, height: float, side: float, more: float
) -> None:
    def angle(length: float, up: float, across: float) -> dict[str, float]:
        v: dict[str, float] = run(
            "alignment",
            bearing_type="insert_ball",
            turning=False,
            span=length,
            height_error=up,
            side_error=across,
        )["values"]
        return v

    v = angle(span, height, side)
    assert v["angle"] >= max(v["angle_height"], v["angle_side"]) - 1e-15
    assert v["angle"] <= v["angle_height"] + v["angle_side"] + 1e-15
    assert angle(span + more, height, side)["angle"] <= v["angle"]
    assert angle(span, side, height)["angle"] == v["angle"]


# ---- warming ------------------------------------------------------------------------------------------------------


def warm(run: Run, bore: float, interference: float, shaft: float, **more: Any) -> dict[str, Any]:
    v: dict[str, Any] = run(
        "warming",
        bore=bore * MM,
        greased=False,
        shaft_temperature=CELSIUS_ZERO + shaft,
        interference=interference * UM,
        **more,
    )["values"]
    return v


@quick
@given(st.floats(5, 400), st.floats(0, 300), st.floats(-20, 60), st.floats(0.5, 50))
def test_what_asks_for_more_heat(
    run: Run, bore: float, interference: float, shaft: float, more: float
) -> None:
    needed = warm(run, bore, interference, shaft)["needed"]
    assert warm(run, bore, interference + more, shaft)["needed"] > needed
    assert warm(run, bore, interference, shaft + more / 2)["needed"] > needed
    assert warm(run, bore + more, interference, shaft)["needed"] <= needed + 1e-9
    assert warm(run, bore, interference, shaft, carry_loss=0.0)["needed"] < needed


@quick
@given(st.floats(5, 400), st.floats(0, 300), st.floats(-20, 60))
def test_at_the_seat_the_ring_clears_the_shaft_by_the_gap(
    run: Run, bore: float, interference: float, shaft: float
) -> None:
    """Shaft and ring both grown from 20 C, to first order: the ring's bore less the shaft is the gap wanted."""
    v = warm(run, bore, interference, shaft)
    ring = bore * MM * 12e-6 * (v["at_seat"] - CELSIUS_ZERO - 20)
    grown = bore * MM * 12e-6 * (shaft - 20)
    assert abs(ring - grown - interference * UM - v["gap_taken"]) < 1e-9
    assert v["reached"] == (v["needed"] <= v["limit"] + 1e-7) or abs(v["needed"] - v["limit"]) < 1e-5

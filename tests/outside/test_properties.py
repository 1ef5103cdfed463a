"""What physics and good order demand of any input: monotone where it should be, limits that never cross."""

from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from outside_units import MM, UM
from running import Run

quick = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])

CLASSES = ["4.6", "5.6", "8.8", "10.9", "12.9"]
METRIC = ["M6", "M8", "M10", "M12", "M16", "M20", "M24", "M30", "M36"]


def bolt(run: Run, size: str, screw_class: str, **more: Any) -> dict[str, Any]:
    common = {
        "head": "hex",
        "lubrication": "oil_or_grease",
        "foot": "cast_iron",
        "under_head": "hardened_washer",
    }
    values: dict[str, Any] = run(
        "housing_bolt_torque", bolt=size, screw_class=screw_class, **{**common, **more}
    )["values"]
    return values


@quick
@given(st.sampled_from(METRIC), st.floats(0.04, 0.4), st.floats(0.04, 0.4))
def test_more_friction_less_preload_more_torque(run: Run, size: str, one: float, other: float) -> None:
    low, high = sorted((one, other))
    a, b = bolt(run, size, "8.8", friction=low), bolt(run, size, "8.8", friction=high)
    assert a["preload_ceiling"] >= b["preload_ceiling"]
    assert a["ceiling"] <= b["ceiling"]


@quick
@given(st.sampled_from(METRIC[1:]), st.sampled_from(range(1, len(CLASSES))))
def test_stronger_and_larger_bolts_stand_more(run: Run, size: str, stronger: int) -> None:
    weak, strong = bolt(run, size, CLASSES[stronger - 1]), bolt(run, size, CLASSES[stronger])
    smaller = bolt(run, METRIC[METRIC.index(size) - 1], CLASSES[stronger])
    assert weak["ceiling"] < strong["ceiling"]
    assert smaller["ceiling"] < strong["ceiling"]


@quick
@given(
    st.sampled_from(METRIC), st.sampled_from(CLASSES),
    st.sampled_from(["paste_or_solid_film", "oil_or_grease", "dry_as_delivered"]), st.sampled_from(["round_hole", "hardened_washer"]),
)  # fmt: skip
def test_a_practice_torque_never_passes_the_bolt_or_the_foot(
    run: Run, size: str, screw_class: str, lubrication: str, under_head: str
) -> None:
    got = bolt(run, size, screw_class, lubrication=lubrication, under_head=under_head)
    if got["target"] is not None:
        assert got["low"] <= got["target"] <= got["high"] <= got["ceiling"]
        if under_head == "round_hole":
            assert got["head_pressure"] <= got["pressure_limit"]


@quick
@given(st.floats(24.1, 500), st.sampled_from(["CN", "C3", "C4"]), st.integers(10, 900))
def test_driving_up_never_eats_the_smallest_clearance(
    run: Run, bore: float, clearance_class: str, before: int
) -> None:
    got = run(
        "taper_drive_up", bearing_type="spherical_roller", bore=bore * MM, taper="one_in_12", seat="shaft",
        clearance_class=clearance_class, clearance_before=before * UM,
    )  # fmt: skip
    v = got["values"]
    inside = v["class_least"] <= before * UM <= v["class_most"]
    assert v["fits"] == (inside and v["reduction_held"] >= v["reduction_least"])
    assert (got["verdict"] == "stop") == (not v["fits"])
    window = ("reduction_from", "reduction_most", "clearance_low", "clearance_high", "travel_from", "travel_most", "angle_least", "angle_most", "window_width")
    if not v["fits"]:  # a stop shows no window to drive into
        assert {name: v[name] for name in window} == dict.fromkeys(window)
        assert {one["name"] for one in got["windows"]} <= {"before", "left"}
        assert v["next"] == "find_out"
        return
    assert v["reduction_from"] <= v["reduction_most"] <= v["reduction_table"] + 1e-12
    assert v["residual_least"] - 1e-12 <= v["clearance_low"] <= v["clearance_high"]
    assert v["travel_least"] - 1e-12 <= v["travel_most"] <= v["travel_table"] + 1e-12


@quick
@given(st.integers(80, 110), st.integers(0, 55), st.integers(0, 55))
def test_the_further_driven_the_less_to_go(run: Run, before: int, one: int, other: int) -> None:
    a, b = (
        run(
            "taper_drive_up", bearing_type="spherical_roller", bore=100 * MM, taper="one_in_12", seat="sleeve",
            clearance_class="CN", clearance_before=before * UM, clearance_now=(before - min(d, before)) * UM,
        )["values"] for d in sorted((one, other))
    )  # fmt: skip
    assert a["reached"] <= b["reached"] + 1e-12
    assert a["to_go_least"] >= b["to_go_least"] - 1e-12
    assert a["angle_to_go"] >= b["angle_to_go"] - 1e-9


@quick
@given(
    st.floats(10.1, 139),
    st.sampled_from(["simple", "light", "normal", "heavy", "very_heavy", "unknown"]),
    st.booleans(),
)
def test_shaft_limits_never_cross_and_stay_under_nominal(
    run: Run, size: float, load: str, fast: bool
) -> None:
    got = run(
        "shaft_fit",
        shaft_d=size * MM,
        shaft_system="metric",
        locking_method="ring_set_screws",
        load=load,
        high_speed=fast,
    )["values"]
    assert got["smallest"] < got["largest"] <= size * MM + 1e-12
    assert got["offset"] > 0


@quick
@given(st.floats(1, 400), st.floats(0.1, 2), st.floats(0, 0.5), st.floats(0, 3.14159))
def test_an_adapter_set_back_gives_the_wanted_torque(run: Run, torque: float, length: float, adapter: float, angle: float) -> None:  # fmt: skip
    """Lever arms: the setting times (L + reach) over L is the torque at the screw again."""
    got = run(
        "torque_wrench",
        torque_wanted=torque,
        wrench_length=length,
        adapter_length=adapter,
        adapter_angle=angle,
    )
    v = got["values"]
    if length + v["reach"] > 1e-3:
        assert abs(v["set_on_wrench"] * (length + v["reach"]) / length - torque) <= 1e-9 * torque

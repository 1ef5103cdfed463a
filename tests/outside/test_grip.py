"""Grip of the six locks: Budynas & Nisbett, Shigley, Singer & Pytel, Shigley's holding table, and the reasoning of each model.

Factors and shares (divide screws by 4, a clamp passes on 0.4 to 0.7) are common practice or memory; no book is behind them.
"""

import math
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from outside_units import DEG, IN, KN, LBF, LBF_IN, MM, MPA, fired
from running import Run

quick = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


def grip(run: Run, makers: dict[str, float] | None = None, **more: Any) -> dict[str, Any]:
    common = {"shaft_d": 50 * MM, "surface": "dry", "axial_duty": 500.0, "loads": "steady", "insert_bearing": False}
    return run("grip", makers, **{**common, **more})


def row(result: dict[str, Any], key: str) -> dict[str, Any]:
    (found,) = [one for one in result["over"][0]["rows"] if one["key"] == key]
    return dict(found)


def test_clamp_of_budynas_8_47(run: Run) -> None:
    """Budynas & Nisbett, problem 8-47 (secondary): 3/8-24, f 0.12, K 0.18, 400 lbf.in against 1000 lbf: n = 4.47."""
    v = grip(run, cap_d=0.375 * IN, cap_torque=400 * LBF_IN, nut_factor=0.18, friction=0.12)["values"]
    assert v["clamp_ideal"] / (1000 * LBF) == pytest.approx(4.47, rel=0.003)
    assert v["clamp_two_lines"] / v["clamp_ideal"] == pytest.approx(2 / math.pi, rel=1e-9)


def test_collar_of_the_textbook(run: Run) -> None:
    """Budynas & Nisbett, split-ring collar with a 1/4-28 screw, T = 0.2 F d (secondary): F_x = 2 pi f T / (0.2 d)."""
    v = grip(run, cap_d=0.25 * IN, cap_torque=100 * LBF_IN, nut_factor=0.2, friction=0.1)["values"]
    assert v["clamp_ideal"] / LBF == pytest.approx(2 * math.pi * 0.1 * 100 / (0.2 * 0.25), rel=1e-6)


def test_split_ring_of_shigley(run: Run) -> None:
    """Shigley, split-ring clamp (memory): M6, 20 N.m, K 0.2: F 16.67 kN."""
    assert grip(run, cap_d=6 * MM, cap_torque=20.0)["values"]["tension_low"] == pytest.approx(16_670, rel=0.005)


def test_shrunk_tyre_of_singer_and_pytel(run: Run) -> None:
    """Problem 208 (memory): 10 x 80 tyre, 1500.0 on 1500.5 mm, mu 0.30, E 200 GPa: slips at 75.4 kN.m.

    p = E delta t / (d r) for a thin tyre.
    """
    p = 200e9 * 0.5 / 1500 * 10 / 750
    got = grip(
        run, shaft_d=1500 * MM, bearing_bore=1500 * MM, bearing_width=80 * MM, sleeve_pressure=p, friction=0.30
    )
    assert row(got, "adapter_sleeve")["values"]["turn_upper"] == pytest.approx(75_400, rel=0.005)


def test_sleeve_of_the_worked_example(run: Run) -> None:
    """d 100, B 46, p 19.7 MPa, mu 0.15 (derived): N 285 kN, 43 kN, 1.9 kN.m on a 90 mm shaft; 3 B d = 13.8 kN (secondary)."""
    got = grip(
        run, shaft_d=90 * MM, bearing_bore=100 * MM, bearing_width=46 * MM, sleeve_pressure=19.7 * MPA, friction=0.15
    )
    v = got["values"]
    assert v["sleeve_limit"] == pytest.approx(13.8 * KN, rel=1e-9)
    assert v["sleeve_normal"] == pytest.approx(285 * KN, rel=0.005)
    assert v["sleeve_high"] == pytest.approx(43 * KN, rel=0.01)
    assert row(got, "pull_off_sleeve")["values"]["turn_upper"] == pytest.approx(1900, rel=0.02)
    assert v["sleeve_hold"] == pytest.approx(13.8 * KN, rel=1e-9)  # the model by 3 is 14.2 kN
    oily = grip(run, surface="oily", bearing_bore=100 * MM, bearing_width=46 * MM, sleeve_pressure=19.7 * MPA)["values"]
    assert oily["sleeve_hold"] == pytest.approx(0.10 * v["sleeve_normal"] / 3, rel=1e-9)


def test_clamp_of_the_worked_example(run: Run) -> None:
    """#10-32, 80 lbf.in, K 0.2, mu 0.15, half of it reaches the shaft (derived): 2105 lbf, 992 lbf."""
    v = grip(run, cap_d=0.19 * IN, cap_torque=80 * LBF_IN, nut_factor=0.2, friction=0.15, clamp_share=0.5)["values"]
    assert v["tension_low"] / LBF == pytest.approx(2105, rel=0.001)
    assert v["clamp_high"] / LBF == pytest.approx(992, rel=0.001)


def test_a_clamp_passes_on_four_to_seven_tenths(run: Run) -> None:
    """Share that reaches the shaft through the ring fingers (memory): 0.4 to 0.7; K 0.20 dry, 0.15 lubricated (Shigley, secondary)."""
    v = grip(run, cap_d=6 * MM, cap_torque=14.0)["values"]
    assert v["clamp_low"] == pytest.approx(0.4 * 2 * math.pi * 0.12 * 14 / (0.20 * 0.006), rel=1e-9)
    assert v["clamp_high"] == pytest.approx(0.7 * 2 * math.pi * 0.15 * 14 / (0.15 * 0.006), rel=1e-9)


def test_cam_of_the_worked_example(run: Run) -> None:
    """30 N.m, radii 60 mm, mu 0.15 (derived): W 3.3 kN, H 1.0 kN; an eccentricity takes from it."""
    v = grip(run, cam_torque=30.0, cam_radii=60 * MM, friction=0.15)["values"]
    assert v["cam_wedge"] == pytest.approx(3.3 * KN, rel=0.02)
    assert v["cam_high"] == pytest.approx(1.0 * KN, rel=1e-9)
    less = grip(run, cam_torque=30.0, cam_radii=60 * MM, friction=0.15, cam_offset=1 * MM)["values"]
    assert less["cam_low"] == pytest.approx(2 * 0.15 * 30 / (0.001 + 0.15 * 0.060), rel=1e-9)


@pytest.mark.parametrize(
    ("size", "seating", "holding"),
    [("#8", 20, 385), ("#10", 36, 540), ("1/4", 87, 1000), ("5/16", 165, 1500), ("3/8", 290, 2000), ("7/16", 430, 2500), ("1/2", 620, 3000)],
)  # fmt: skip
def test_what_is_counted_on_stays_far_below_the_textbook_holding(run: Run, size: str, seating: float, holding: float) -> None:
    """Shigley, holding power of cup points at the seating torque (memory): above this model, which is itself an upper estimate."""
    v = grip(run, ring_screw=size, screw_torque=seating * LBF_IN, screws="one")["values"]
    assert v["screws_high"] < holding * LBF
    assert v["ring_hold"] < holding * LBF / 6


@pytest.mark.parametrize(("angle", "answer"), [(0, 2), (60, 1.732), (90, 1.414), (120, 1), (180, 0)])
def test_the_shaft_answers_two_screws(run: Run, angle: float, answer: float) -> None:
    """Parallelogram of two equal thrusts: 2 W cos(angle / 2)."""
    v = grip(run, ring_screw="M8", screws="two", screw_angle=angle * DEG)["values"]
    assert v["push_low"] - 2 == pytest.approx(answer, abs=1e-3)
    assert v["push_low"] == v["push_high"]
    free = grip(run, ring_screw="M8", screws="two")["values"]
    assert (free["push_low"], free["push_high"]) == pytest.approx((3, 2 + math.sqrt(3)))


def test_two_handbooks_disagree_and_the_smaller_is_used(run: Run) -> None:
    """Insert bearings: 0.25 C0 in one handbook, 20 % of the radial load in another, 15 to 20 % on a sleeve (secondary)."""
    common: dict[str, Any] = {
        "insert_bearing": True, "static_rating": 23.2 * KN, "ring_screw": "M12", "screws": "two", "bearing_bore": 55 * MM, "bearing_width": 40 * MM,
    }  # fmt: skip
    got = grip(run, radial_load=5 * KN, **common)
    v = got["values"]
    assert (v["insert_c0"], v["insert_pushed"], v["insert_sleeve"]) == pytest.approx((5800, 1000, 750))
    assert (v["ring_hold"], v["sleeve_hold"]) == pytest.approx((1000, 750))
    assert "handbooks_disagree" in fired(got)
    assert grip(run, radial_load=40 * KN, **common)["values"]["sleeve_hold"] == pytest.approx(5800)
    assert "insert_limit_missing" in fired(grip(run, insert_bearing=True))
    assert grip(run, **{**common, "radial_load": 5 * KN, "insert_bearing": False})["values"]["limit_pushed"] is None


def test_a_rating_of_the_unit_rules_and_is_questioned_where_it_is_above_the_model(run: Run) -> None:
    common: dict[str, Any] = {"ring_screw": "M8", "screws": "two", "locking_method": "ring_set_screws"}
    got = grip(run, {"ring_hold": 1800.0}, **common)
    assert row(got, "ring_set_screws")["values"]["hold"] == 1800.0
    assert row(got, "set_screw_collar")["values"]["hold"] != 1800.0
    assert "ring_rating_high" not in fired(got)
    assert "ring_rating_high" in fired(grip(run, {"ring_hold": 180 * KN}, **common))
    no_screw = grip(run, {"ring_hold": 1800.0}, locking_method="ring_set_screws")
    assert row(no_screw, "ring_set_screws")["values"]["meets"] is True
    over = grip(run, {"cam_hold": 2000.0}, insert_bearing=True, static_rating=20 * KN, radial_load=2 * KN)
    assert "rating_over_insert_limit" in fired(over)


def test_a_lock_too_weak_stops_and_a_lock_not_worked_out_is_not_called_weak(run: Run) -> None:
    weak = grip(run, ring_screw="M6", screws="two", locking_method="ring_set_screws", axial_duty=5 * KN)
    assert "fitted_too_weak" in fired(weak)
    assert weak["verdict"] == "stop"
    unknown = grip(run, locking_method="clamp_collar", axial_duty=5 * KN)
    assert "fitted_not_known" in fired(unknown)
    assert "fitted_too_weak" not in fired(unknown)
    assert row(unknown, "clamp_collar")["place"] is None
    assert [one["name"] for one in row(unknown, "clamp_collar")["checks"]] == ["clamp_missing"]


def test_a_dynamic_load_asks_for_four(run: Run) -> None:
    """Set-screw handbook (secondary): 1.5 to 2 static, 4 to 8 dynamic."""
    v = grip(run, loads="dynamic", cam_torque=30.0, cam_radii=60 * MM)["values"]
    assert (v["factor_screws"], v["factor_other"]) == (4, 4)
    assert grip(run, cam_torque=30.0, cam_radii=60 * MM)["values"]["factor_other"] == 3
    assert "factor_low" in fired(grip(run, loads="dynamic", design_factor=3.9))
    assert "factor_low" not in fired(grip(run, loads="dynamic", design_factor=4.0))
    assert "factor_low" in fired(grip(run, design_factor=1.4))


EVERYTHING: dict[str, Any] = {
    "ring_screw": "M10", "screws": "two", "cam_torque": 40.0, "cam_radii": 65 * MM, "cam_offset": 1 * MM, "cap_d": 8 * MM, "cap_torque": 20.0,
    "bearing_bore": 55 * MM, "bearing_width": 30 * MM, "sleeve_pressure": 15 * MPA,
}  # fmt: skip


@quick
@given(st.floats(1, 20), st.floats(1, 20), st.sampled_from(["dry", "oily"]), st.sampled_from(["steady", "dynamic"]))
def test_low_is_never_above_high_and_a_larger_factor_never_holds_more(run: Run, one: float, other: float, surface: str, loads: str) -> None:
    small, large = (grip(run, surface=surface, loads=loads, design_factor=s, **EVERYTHING) for s in sorted((one, other)))
    for name in ("ring_hold", "collar_hold", "cam_hold", "clamp_hold", "sleeve_hold", "pull_off_hold"):
        assert large["values"][name] <= small["values"][name]
    for line in small["over"][0]["rows"]:
        assert line["values"]["hold"] <= line["values"]["upper"]
        assert line["values"]["turn"] <= line["values"]["turn_upper"]


@quick
@given(st.floats(0, 3000), st.floats(0.001, 100), st.floats(0.1, 50))
def test_thrust_and_torque_share_one_friction(run: Run, thrust: float, torque: float, more: float) -> None:
    """sqrt((T/r)^2 + F^2) against mu N (derived)."""
    got = grip(run, axial_duty=thrust, torque_duty=torque, **EVERYTHING)
    worse = grip(run, axial_duty=thrust, torque_duty=torque + more, **EVERYTHING)
    for line in got["over"][0]["rows"]:
        v = line["values"]
        assert v["use"] == pytest.approx(math.hypot(thrust, torque / 0.025) / v["hold"], rel=1e-9)
        assert v["use"] <= row(worse, line["key"])["values"]["use"]

"""Forces, release, grip and clearance left on a taper, sheet taper_seat.

Geometry of the taper (exact); forces derived from the contact pressure with friction read in a handbook (secondary), figures
worked out once by hand (derived); oil friction from memory; required interference: two handbooks that print one rule in
kilonewtons and in newtons (secondary); the three-point rule (secondary). Friction forces scatter by half: only the arithmetic
is held here.
"""

import math
from typing import Any

import pytest
from outside_units import DEG, KN, MM, MPA, UM, fired
from running import Run

HUNDRED: dict[str, Any] = {
    "bearing_type": "spherical_roller", "bore": 100 * MM, "outer": 180 * MM, "width": 46 * MM, "taper": "one_in_12",
    "seat": "shaft", "finish": "stated", "smoothing_given": 4 * UM, "travel": 0.80 * MM,
}  # fmt: skip


def values(run: Run, **changed: Any) -> dict[str, Any]:
    got = run("taper_seat", **{**HUNDRED, **changed})
    assert got["status"] == "done", got["refusal"]
    out: dict[str, Any] = got["values"]
    return out


@pytest.mark.parametrize(("taper", "degrees"), [("one_in_12", 2.38594), ("one_in_30", 0.95484)])
def test_half_angle(run: Run, taper: str, degrees: float) -> None:
    """1:12 2 deg 23 min 9.4 s; 1:30 0 deg 57 min 17.4 s (printed in handbooks)."""
    assert values(run, taper=taper)["half_angle"] == pytest.approx(degrees * DEG, abs=1e-5 * DEG)


def test_large_end_of_the_bore(run: Run) -> None:
    """d1 = d + B/k: 100 + 46/12."""
    assert values(run)["bore_large"] == pytest.approx(103.833 * MM, abs=0.001 * MM)


def test_pressure_forces_and_stress_worked_out_by_hand(run: Run) -> None:
    """d 100, B 46, F 120, 0.80 mm, 4 um: 19.7 MPa, 285 kN, up 60 kN at 0.17 and 46 kN at 0.12, off 28 kN at 0.14, 109 MPa."""
    v = values(run)
    assert v["raceway"] == pytest.approx(120 * MM)
    assert v["pressure"] == pytest.approx(19.7 * MPA, rel=0.005)
    assert v["contact_force"] == pytest.approx(285 * KN, rel=0.005)
    assert v["drive_force"] == pytest.approx(60 * KN, rel=0.01)
    assert values(run, friction_on=0.12)["drive_force"] == pytest.approx(46 * KN, rel=0.01)
    assert v["release_force"] == pytest.approx(28 * KN, rel=0.01)
    assert v["hoop"] == pytest.approx(109 * MPA, rel=0.005)
    assert values(run, travel=0.9 * MM)["hoop"] == pytest.approx(124 * MPA, rel=0.005)
    assert v["per_mille"] == pytest.approx(0.67e-3, rel=0.01)
    assert values(run, travel=0.9 * MM)["per_mille"] == pytest.approx(0.75e-3, rel=0.01)


def test_nut_torque_is_of_the_printed_order(run: Run) -> None:
    """M100x2 under 50 kN, 0.15 throughout: 50 000 (0.32 + 8.55 + 8.7) = 880 N.m (derived)."""
    v = values(run)
    arms = v["nut_torque"] / v["drive_force"]
    assert arms * 50_000 == pytest.approx(880, rel=0.01)
    assert (v["arm_pitch"], v["arm_thread"], v["arm_face"]) == pytest.approx((0.32 * MM, 8.55 * MM, 8.7 * MM), rel=0.01)


def test_seen_friction_by_seat(run: Run) -> None:
    """A handbook: onto a taper 0.17, off 0.14; a sleeve in 0.30, out 0.33."""
    assert [values(run)[k] for k in ("mu_on", "mu_off")] == [0.17, 0.14]
    assert [values(run, seat="sleeve")[k] for k in ("mu_on", "mu_off")] == [0.30, 0.33]


@pytest.mark.parametrize(("taper", "limit"), [("one_in_12", 0.0417), ("one_in_30", 0.0167)])
def test_self_holding_limit_and_why_the_nut_stays_on(run: Run, taper: str, limit: float) -> None:
    """1/(2k); with oil pressed in (0.01, memory) the release force is below zero on both tapers."""
    for friction, holds in ((limit + 0.001, True), (limit - 0.001, False)):
        got = run("taper_seat", **{**HUNDRED, "taper": taper}, friction_out=friction)
        assert got["values"]["holds"] is holds
        assert ("slips_back" in fired(got)) is not holds
        assert (got["values"]["release_force"] > 0) is holds
    oiled = run("taper_seat", **{**HUNDRED, "taper": taper}, oil_injected=True, nut_on=False)
    assert oiled["values"]["oil_force"] < 0
    assert oiled["verdict"] == "stop"
    assert {"lets_go", "nut_off"} <= fired(oiled)
    assert ("borderline" in fired(oiled)) is (taper == "one_in_30")
    held = run("taper_seat", **{**HUNDRED, "taper": taper}, oil_injected=True, nut_on=True)
    assert "nut_off" not in fired(held)
    assert "lets_go" in fired(held)


def test_the_nut_is_not_forgotten_when_nobody_says(run: Run) -> None:
    """Oil injected and nothing said of the nut: the danger is still told."""
    assert "lets_go" in fired(run("taper_seat", **HUNDRED, oil_injected=True))


def test_hydraulic_nut(run: Run) -> None:
    """P = F / A, A = pi/4 (Do^2 - Di^2): 60.3 kN on 180/110 mm makes 3.8 MPa, 38 bar (derived)."""
    v = values(run, piston_outer=180 * MM, piston_inner=110 * MM)
    assert v["piston_area"] == pytest.approx(math.pi / 4 * (0.18**2 - 0.11**2))
    assert v["oil_pressure"] == pytest.approx(3.78 * MPA, rel=0.01)


def test_interference_that_the_load_needs(run: Run) -> None:
    """One rule printed twice: 2.5 sqrt(d F/B) in kN and 0.08 sqrt(d F/B) in N; heavy 0.02 F/B (N), over 0.3 of C_0."""
    light = values(run, load=30 * KN, rating=400 * KN)
    assert light["needed"] == pytest.approx(2.5 * math.sqrt(100 * 30 / 46) * UM, rel=0.02)
    heavy = values(run, load=150 * KN, rating=400 * KN)
    assert heavy["needed"] == pytest.approx(0.02 * 150_000 / 46 * UM, rel=1e-9)
    unknown = values(run, load=150 * KN)
    assert unknown["needed"] == max(unknown["needed_light"], unknown["needed_heavy"])
    # 0.0015 d dT: 100 mm, 40 K -> 6 um
    assert values(run, bearing_warmer=40.0)["warm_loss"] == pytest.approx(6 * UM)


def test_creep_is_told(run: Run) -> None:
    assert "creeps" in fired(run("taper_seat", **{**HUNDRED, "travel": 0.2 * MM}, load=150 * KN, rating=400 * KN))
    assert "creeps" not in fired(run("taper_seat", **HUNDRED, load=30 * KN, rating=400 * KN))


def test_clearance_left_mounted_and_running(run: Run) -> None:
    """G0 - reduction; less alpha dT De, De = (d+3D)/4 = 160 mm, 12e-6, 8 K: 15.4 um (derived)."""
    v = values(run, clearance_before=95 * UM, clearance_class="CN", ring_warmer=8.0)
    assert v["residual"] == pytest.approx(95 * UM - v["reduction"])
    assert v["warm_clearance"] == pytest.approx(15.4 * UM, rel=0.01)
    assert v["operating"] == pytest.approx(v["residual"] - v["warm_clearance"])
    assert v["residual_least"] == pytest.approx(35 * UM)
    tight = values(run, clearance_before=95 * UM, squeeze=5 * UM)
    assert tight["residual"] == pytest.approx(v["residual"] - 5 * UM)
    gone = run("taper_seat", **HUNDRED, clearance_before=60 * UM, ring_warmer=10.0)
    assert "none_left" in fired(gone)


def test_three_readings_of_a_heavy_bearing(run: Run) -> None:
    """G = (a + b + c)/2: 60, 64 and 70 um make 97 um."""
    v = values(run, left_side=60 * UM, right_side=64 * UM, top=70 * UM)
    assert v["clearance_0"] == pytest.approx(97 * UM)
    assert values(run, left_side=60 * UM, right_side=64 * UM)["clearance_0"] is None


@pytest.mark.parametrize(
    ("bearing", "raceway"),
    [("spherical_roller", 120.0), ("cylindrical_roller", 1.03 * 120), ("insert_ball", 1.05 * (400 + 180) / 5)],
)
def test_raceway_by_type(run: Run, bearing: str, raceway: float) -> None:
    """A handbook: (3d+D)/4, 1.03 (3d+D)/4, 1.05 (4d+D)/5 (secondary)."""
    assert values(run, bearing_type=bearing)["raceway"] == pytest.approx(raceway * MM)
    assert values(run, bearing_type=bearing, raceway_given=118 * MM)["raceway"] == pytest.approx(118 * MM)


def test_spherical_rollers_two_printed_raceway_rules_agree(run: Run) -> None:
    """(3d+D)/4 and 1.03 (4d+D)/5 give one number within 1 % (secondary)."""
    assert values(run)["raceway"] == pytest.approx(1.03 * (400 + 180) / 5 * MM, rel=0.01)


def test_no_raceway_is_guessed_for_a_self_aligning_ball(run: Run) -> None:
    got = run("taper_seat", **{**HUNDRED, "bearing_type": "self_aligning_ball"})
    assert got["refusal"]["code"] == "maker_value_needed"
    told = run("taper_seat", **{**HUNDRED, "bearing_type": "self_aligning_ball"}, raceway_given=118 * MM)
    assert "by_ball" in fired(told)


@pytest.mark.parametrize(
    ("finish", "seat", "least", "most"),
    [("ground", "shaft", 1.0, 2.5), ("turned", "shaft", 5.0, 7.0), ("ground", "sleeve", 2.0, 5.0), ("turned", "sleeve", 10.0, 14.0)],
)
def test_smoothing_lies_in_the_printed_range(run: Run, finish: str, seat: str, least: float, most: float) -> None:
    """Ground 1 to 2.5 um, turned 5 to 7 um (a handbook, twice); a sleeve has two pairs of faces."""
    v = values(run, finish=finish, seat=seat, smoothing_given=None)
    assert least * UM <= v["smoothing"] <= most * UM


def test_smoothing_by_roughness(run: Run) -> None:
    """DIN 7190: 0.8 (Rz + Rz) on the diameter (memory): 6.3 and 4 um make 8.24 um."""
    v = values(run, finish="roughness", rz_shaft=6.3 * UM, rz_bore=4 * UM, smoothing_given=None)
    assert v["smoothing"] == pytest.approx(8.24 * UM)


@pytest.mark.parametrize(
    "odd",
    [{"finish": "roughness"}, {"finish": "stated", "smoothing_given": None}, {"outer": 100 * MM}, {"shaft_hole": 100 * MM},
     {"raceway_given": 100 * MM}, {"raceway_given": 180 * MM}, {"piston_outer": 100 * MM, "piston_inner": 100 * MM}],
)  # fmt: skip
def test_what_does_not_fit_is_refused(run: Run, odd: dict[str, Any]) -> None:
    assert run("taper_seat", **{**HUNDRED, **odd})["status"] == "refused"


@pytest.mark.parametrize(
    ("travel", "told"),
    [(0.83, set()), (0.85, {"interference_over"}), (0.93, {"interference_over", "hoop_high"}),
     (1.21, {"interference_high", "hoop_high"}), (0.04, {"no_grip"})],
)  # fmt: skip
def test_guides(run: Run, travel: float, told: set[str]) -> None:
    """127 MPa, 0.7 and 1 per mille of the bore: public guidance (secondary)."""
    got = run("taper_seat", **{**HUNDRED, "travel": travel * MM})
    assert fired(got) & {"interference_over", "interference_high", "hoop_high", "no_grip"} == told


def test_drive_up_for_a_reduction_wanted_gives_that_reduction(run: Run) -> None:
    """Wanted 52.2 um takes the 0.80 mm that give it; pitch 2: 144 degrees."""
    v = values(run, travel=None, reduction_wanted=52.2222 * UM)
    assert v["travel_wanted"] == pytest.approx(0.80 * MM, rel=1e-4)
    assert v["reduction"] == pytest.approx(52.2222 * UM)
    assert v["angle_wanted"] == pytest.approx(144 * DEG, abs=0.1 * DEG)


def test_start_pressure_of_another_nut(run: Run) -> None:
    """The same force: p A is kept (derived). 20 bar on 8000 mm2 are 10.03 bar on 15 944 mm2."""
    v = values(run, piston_outer=180 * MM, piston_inner=110 * MM, start_given=2 * MPA, area_given=8000 * MM**2)
    assert v["start_pressure"] == pytest.approx(1.0035 * MPA, rel=1e-3)


@pytest.mark.parametrize(("raceway", "odd"), [(110, True), (112, False), (142, False), (143, True)])
def test_part_of_the_interference_against_the_quick_rule(run: Run, raceway: float, odd: bool) -> None:
    """A handbook: 0.70 to 0.90 of the effective interference is lost as clearance (secondary)."""
    got = run("taper_seat", **HUNDRED, raceway_given=raceway * MM)
    assert ("part_odd" in fired(got)) is odd

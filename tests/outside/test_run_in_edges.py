"""Every limit of the run-in sheets one step to either side, and what stands behind each figure that no source prints.

The rules here are common practice, memory or our own choice, as the sheets say; these tests hold them as they are told.
Each case: the sheet, the entries, then the check that must be silent with the first value and speak with the second.
"""

from typing import Any

import pytest
from outside_units import CELSIUS_ZERO, DEG, KN, MM, RPM, UM, fired
from running import Run

G, CM3, HOUR, MINUTE, MMS = 1e-3, 1e-6, 3600.0, 60.0, 1e-3
FILL = {
    "delivered": "open",
    "bore": 50 * MM,
    "outside_d": 110 * MM,
    "width": 27 * MM,
    "bearing_mass": 1.06,
    "duty": "normal",
}
GREASE = {
    "sealing": "can_be_greased", "bearing_type": "ball", "bore": 50 * MM, "outside_d": 110 * MM, "width": 27 * MM, "speed": 1500 * RPM,
    "temperature": 70 + CELSIUS_ZERO, "measured_at": "outer_ring", "position": "horizontal", "dirt": "clean", "moisture": "dry",
    "vibration": "smooth", "entry": "side", "grease": "same",
}  # fmt: skip
HOT = {"minutes": 60 * MINUTE, "ambient": 25 + CELSIUS_ZERO, "end_a": 50 + CELSIUS_ZERO}
SHAKE = {
    "machine": "general", "power": 75e3, "support": "rigid", "speed": 1480 * RPM, "state": "in_service", "velocity": 1.0 * MMS, "velocity_as": "rms",
}  # fmt: skip
AGAIN = {
    "part": "base_bolts",
    "thread_locked": False,
    "started": True,
    "done": "first",
    "run_hours": 10 * HOUR,
}
SHEETS: dict[str, dict[str, Any]] = {
    "grease_fill": FILL, "relubrication": GREASE, "run_in_temperature": HOT, "run_in_vibration": SHAKE, "retorque_due": AGAIN,
}  # fmt: skip


def celsius(value: float) -> float:
    return value + CELSIUS_ZERO


#: sheet, check, input, value that keeps it silent, value that makes it speak, other entries
EDGES: list[tuple[str, str, str, Any, Any, dict[str, Any]]] = [
    # 10 and 60 % of a ring of 203.58 cm3 is 20.4 and 122.1 cm3 of room: 1.429 and 0.635 kg of steel
    ("grease_fill", "share_odd", "bearing_mass", 1.42, 1.44, {}),
    ("grease_fill", "share_odd", "bearing_mass", 0.64, 0.63, {}),
    ("grease_fill", "already_filled", "delivered", "open", "filled", {}),
    ("grease_fill", "fast_start", "duty", "normal", "fast", {}),
    ("grease_fill", "full_needs_slow", "duty", "normal", "slow_or_dirty", {}),
    ("grease_fill", "housing_not_given", "housing_space", 100 * CM3, None, {}),
    ("grease_fill", "density_common", "density", 0.95, None, {}),
    ("grease_fill", "stroke_missing", "stroke", 1 * G, None, {}),
    ("grease_fill", "stroke_coarse", "stroke", 6 * G, 40 * G, {}),
    ("relubrication", "hot", "temperature", celsius(80), celsius(80.1), {}),
    ("relubrication", "near_end", "speed", 4949 * RPM, 4951 * RPM, {}),
    ("relubrication", "very_short", "moisture", "dry", "splashed", {"bearing_type": "spherical_or_tapered_roller", "dirt": "dusty"}),
    ("relubrication", "overdue", "hours_since", 11_199 * HOUR, 11_201 * HOUR, {}),
    ("relubrication", "too_much", "put_in", 29.7 * G, 29.8 * G, {}),
    ("relubrication", "mix_unknown", "grease", "same", "unknown", {}),
    ("relubrication", "mix_never", "grease", "same", "incompatible", {}),
    ("relubrication", "mix_said", "grease", "same", "said_compatible", {}),
    ("relubrication", "stroke_missing", "stroke", 1 * G, None, {}),
    ("relubrication", "purge", "grease", "unknown", "same", {}),
    ("run_in_temperature", "below_air", "end_a", celsius(22), celsius(21.9), {}),
    ("run_in_temperature", "at_alarm_level", "end_a", celsius(80), celsius(80.1), {"ambient": celsius(45)}),
    ("run_in_temperature", "at_stop_level", "end_a", celsius(95), celsius(95.1), {"ambient": celsius(60)}),
    ("run_in_temperature", "rise_high", "end_a", celsius(65), celsius(65.1), {}),
    ("run_in_temperature", "ends_apart", "end_b", celsius(40), celsius(39.9), {}),
    ("run_in_temperature", "ends_far_apart", "end_b", celsius(20), celsius(19.9), {}),
    ("run_in_temperature", "climbs_fast", "end_a_before", celsius(40), celsius(39.9), {"minutes_before": 50 * MINUTE}),
    ("run_in_temperature", "climbs_too_fast", "end_a_before", celsius(35), celsius(34.9), {"minutes_before": 50 * MINUTE}),
    ("run_in_temperature", "climbs_fast", "end_b_before", celsius(40), celsius(39.9), {"minutes_before": 50 * MINUTE, "end_b": celsius(50)}),
    ("run_in_temperature", "climbs_too_fast", "minutes", 10 * MINUTE, 10.1 * MINUTE, {"minutes_before": 5 * MINUTE, "end_a_before": celsius(30)}),
    ("run_in_temperature", "early_fast", "minutes", 10.1 * MINUTE, 10 * MINUTE, {"minutes_before": 5 * MINUTE, "end_a_before": celsius(30)}),
    ("run_in_temperature", "over_own_alarm", "end_a", celsius(58), celsius(58.1), {"steady_end": celsius(48), "steady_ambient": celsius(20)}),
    ("run_in_temperature", "over_own_alarm", "ambient", celsius(12), celsius(11.9), {"steady_end": celsius(48), "steady_ambient": celsius(20)}),
    ("run_in_temperature", "has_fallen", "since_start", [celsius(30), celsius(52.9)], [celsius(30), celsius(53)], {}),
    ("run_in_temperature", "not_steady", "last_readings", [celsius(50), celsius(51)], [celsius(50), celsius(51.1)], {"span": 30 * MINUTE}),
    ("run_in_temperature", "span_short", "span", 30 * MINUTE, 29 * MINUTE, {"last_readings": [celsius(50), celsius(50)]}),
    ("run_in_temperature", "span_short", "span", 30 * MINUTE, None, {"last_readings": [celsius(50), celsius(50)]}),
    ("run_in_temperature", "no_earlier", "end_a_before", celsius(49), None, {"minutes_before": 50 * MINUTE}),
    ("run_in_temperature", "other_end_missing", "end_b", celsius(49), None, {}),
    ("run_in_vibration", "zone_d", "velocity", 4.5 * MMS, 4.51 * MMS, {}),
    ("run_in_vibration", "running_c", "velocity", 2.8 * MMS, 2.81 * MMS, {}),
    ("run_in_vibration", "new_not_good", "velocity", 2.8 * MMS, 2.81 * MMS, {"state": "new"}),
    ("run_in_vibration", "new_high_b", "velocity", 2.1 * MMS, 2.11 * MMS, {"state": "new"}),
    ("run_in_vibration", "rest_high", "at_rest", 0.46 * MMS, 0.47 * MMS, {}),
    ("run_in_vibration", "rest_high", "at_rest", 1.5 * MMS, 1.51 * MMS, {"machine": "fan", "fan_category": "BV-3"}),
    ("run_in_vibration", "fast_edition", "speed", 15_000 * RPM, 15_001 * RPM, {}),
    ("run_in_vibration", "no_table", "power", 15.1e3, 15e3, {}),
    ("run_in_vibration", "baseline_missing", "baseline", 1.0 * MMS, None, {}),
    ("run_in_vibration", "peak_turned", "velocity_as", "rms", "peak", {}),
    ("run_in_vibration", "displacement_governs", "displacement", 22 * UM, 22.1 * UM, {"displacement_as": "rms"}),
    ("run_in_vibration", "changed", "velocity", 1.7 * MMS, 1.71 * MMS, {"baseline": 1.0 * MMS}),
    ("run_in_vibration", "changed", "velocity", 2.125 * MMS, 2.13 * MMS, {"baseline": 1.0 * MMS, "machine": "fan", "fan_category": "BV-3"}),
    ("retorque_due", "overdue", "run_hours", 30 * HOUR, 30.1 * HOUR, {}),
    ("retorque_due", "due", "run_hours", 23.9 * HOUR, 24 * HOUR, {}),
    ("retorque_due", "due", "turned", 5 * DEG, None, {"run_hours": 25 * HOUR}),
    ("run_in_vibration", "high_watch", "high_now", 5.9, 6.0, {"high_stored": 3.0}),
    ("run_in_vibration", "high_watch", "high_now", 12.0, 11.9, {"high_stored": 3.0}),
    ("run_in_vibration", "high_act", "high_now", 11.9, 12.0, {"high_stored": 3.0}),
    ("retorque_due", "due_by_calendar", "clock_hours", 183 * 24 * HOUR, 183.1 * 24 * HOUR, {"done": "week"}),
    ("run_in_vibration", "baseline_missing", "velocity", 2.81 * MMS, 2.8 * MMS, {}),
    ("retorque_due", "not_yet", "run_hours", 24 * HOUR, 23.9 * HOUR, {}),
    ("retorque_due", "hours_needed", "run_hours", 1 * HOUR, None, {}),
    ("retorque_due", "was_skipped", "skipped", False, True, {}),
    ("retorque_due", "warm", "hot", False, True, {}),
    ("retorque_due", "moved_none", "turned", 1 * DEG, 0.0, {}),
    ("retorque_due", "moved_settling", "turned", 10.1 * DEG, 10 * DEG, {}),
    ("retorque_due", "moved_doubtful", "turned", 10 * DEG, 10.1 * DEG, {}),
    ("retorque_due", "moved_far", "turned", 15 * DEG, 15.1 * DEG, {}),
    ("retorque_due", "moved_low", "torque_moved", 80.0, 79.9, {"torque_set": 100.0}),
    ("retorque_due", "tried_over", "torque_moved", 100.0, 100.1, {"torque_set": 100.0}),
    ("retorque_due", "two_rules", "part", "ring_set_screws", "cap_bolts", {"torque_set": 100.0, "torque_moved": 90.0}),
    ("retorque_due", "loses_much", "tension", 12.6 * KN, 12.4 * KN, {"screw": "M12", "loaded_length": 40 * MM, "roughness": "fine"}),
    ("retorque_due", "loses_some", "tension", 12.4 * KN, 12.6 * KN, {"screw": "M12", "loaded_length": 40 * MM, "roughness": "fine"}),
]  # fmt: skip


@pytest.mark.parametrize(
    ("sheet", "check", "name", "silent", "speaks", "more"),
    EDGES,
    ids=[f"{e[0]}-{e[1]}-{e[2]}" for e in EDGES],
)
def test_edge(
    run: Run, sheet: str, check: str, name: str, silent: Any, speaks: Any, more: dict[str, Any]
) -> None:
    quiet, loud = (run(sheet, **{**SHEETS[sheet], **more, name: value}) for value in (silent, speaks))
    assert loud["refusal"] is None
    assert check not in fired(quiet)
    assert check in fired(loud)


#: sheet, refusal, its code, entries that refuse
REFUSALS: list[tuple[str, str, str, dict[str, Any]]] = [
    ("grease_fill", "filling_unknown", "maker_value_needed", {"delivered": "unknown"}),
    ("grease_fill", "sizes_wrong", "cannot_compute", {"outside_d": 50 * MM}),
    ("grease_fill", "mass_too_large", "cannot_compute", {"bearing_mass": 1.588}),
    ("relubrication", "sealing_unknown", "maker_value_needed", {"sealing": "unknown"}),
    ("relubrication", "sizes_wrong", "cannot_compute", {"outside_d": 50 * MM}),
    ("relubrication", "too_hot", "maker_value_needed", {"temperature": celsius(100.1)}),
    ("relubrication", "too_hot", "maker_value_needed", {"temperature": celsius(90.1), "measured_at": "housing"}),
    ("run_in_temperature", "times_wrong", "cannot_compute", {"minutes_before": 60 * MINUTE}),
    ("run_in_vibration", "too_slow", "not_for_this", {"speed": 119.9 * RPM}),
    ("run_in_vibration", "not_read", "missing_input", {"velocity": None}),
    ("run_in_vibration", "shown_how", "missing_input", {"velocity_as": None}),
    ("run_in_vibration", "shown_how", "missing_input", {"displacement": 10 * UM}),
    ("run_in_vibration", "category_needed", "maker_value_needed", {"machine": "fan", "fan_category": "other"}),
    ("run_in_vibration", "support_needed", "missing_input", {"support": "unknown"}),
    ("retorque_due", "never_pull_off", "maker_value_needed", {"part": "pull_off_nut"}),
]  # fmt: skip


@pytest.mark.parametrize(
    ("sheet", "where", "code", "more"), REFUSALS, ids=[f"{r[0]}-{r[1]}" for r in REFUSALS]
)
def test_refusal(run: Run, sheet: str, where: str, code: str, more: dict[str, Any]) -> None:
    refusal = run(sheet, **{**SHEETS[sheet], **more})["refusal"]
    assert (refusal["where"], refusal["code"]) == (where, code)
    assert run(sheet, **SHEETS[sheet])["refusal"] is None


def test_not_refused_just_inside(run: Run) -> None:
    for sheet, more in (
        ("grease_fill", {"bearing_mass": 1.587}), ("relubrication", {"temperature": celsius(90), "measured_at": "housing"}),
        ("run_in_vibration", {"speed": 120 * RPM}), ("run_in_temperature", {"minutes_before": 59.9 * MINUTE}),
    ):  # fmt: skip
        assert run(sheet, **{**SHEETS[sheet], **more})["refusal"] is None


#: sheet, maker's values, check that the conflict makes speak, entries
CONFLICTS: list[tuple[str, dict[str, float], dict[str, float], str, dict[str, Any]]] = [
    ("grease_fill", {"total_most": 170 * G}, {"total_most": 180 * G}, "maker_over_space", {"housing_space": 110 * CM3}),
    ("grease_fill", {"total_least": 60 * G}, {"total_least": 70 * G}, "limits_cross", {}),
    ("relubrication", {"interval": 22_390 * HOUR}, {"interval": 22_410 * HOUR}, "maker_longer", {}),
    ("relubrication", {"interval": 100 * HOUR}, {"interval": 99.9 * HOUR}, "very_short", {}),
    ("relubrication", {"grams_most": 44.5 * G}, {"grams_most": 44.6 * G}, "maker_grams_far", {}),
    ("relubrication", {"grams_most": 3.0 * G, "grams_least": 1 * G}, {"grams_most": 2.9 * G, "grams_least": 1 * G}, "maker_grams_far", {}),
    ("relubrication", {"grams_least": 14.8 * G}, {"grams_least": 14.9 * G}, "limits_cross", {}),
    ("run_in_temperature", {"level_stop": celsius(100)}, {"level_stop": celsius(100.1)}, "maker_over_practice", {}),
    ("run_in_temperature", {"level_alarm": celsius(94.9)}, {"level_alarm": celsius(95)}, "levels_cross", {}),
    ("run_in_vibration", {"trip": 5.625 * MMS}, {"trip": 5.63 * MMS}, "maker_over_zone", {}),
    ("run_in_vibration", {"v_ab": 2.8 * MMS}, {"v_ab": 2.9 * MMS}, "limits_cross", {}),
    ("retorque_due", {"due_hours": 168 * HOUR}, {"due_hours": 169 * HOUR}, "maker_late", {"done": "nothing"}),
    ("retorque_due", {"settle_low": 15 * DEG}, {"settle_low": 16 * DEG}, "limits_cross", {}),
]  # fmt: skip


@pytest.mark.parametrize(
    ("sheet", "agrees", "conflicts", "check", "more"), CONFLICTS, ids=[f"{c[0]}-{c[3]}" for c in CONFLICTS]
)
def test_a_makers_value_against_the_sheets_own(
    run: Run,
    sheet: str,
    agrees: dict[str, float],
    conflicts: dict[str, float],
    check: str,
    more: dict[str, Any],
) -> None:
    assert check not in fired(run(sheet, agrees, **{**SHEETS[sheet], **more}))
    assert check in fired(run(sheet, conflicts, **{**SHEETS[sheet], **more}))


def test_words_lead_to_their_sentence(run: Run) -> None:
    for word, check in (
        ("straight_up", "says_straight_up"), ("stairs", "says_stairs"), ("one_end", "says_one_end"), ("both_ends", "says_both_ends"),
        ("after_days", "says_after_days"), ("rise_then_fall", "says_purge"), ("levels_off", None),
    ):  # fmt: skip
        said = {
            one for one in fired(run("run_in_temperature", **HOT, pattern=word)) if one.startswith("says_")
        }
        assert said == ({check} if check else set())
    for word, check in (
        ("radial_1x", "says_radial"),
        ("axial", "says_axial"),
        ("harmonics", "says_loose"),
        ("not_of_speed", "says_defect"),
    ):
        assert {
            one for one in fired(run("run_in_vibration", **SHAKE, mostly=word)) if one.startswith("says_")
        } == {check}
    for word in ("whistle", "sandy", "knocking", "siren", "rumble"):
        assert f"noise_{word}" in fired(run("run_in_vibration", **SHAKE, noise=word))
    assert "noise_good" in fired(run("run_in_vibration", **SHAKE, noise="purr"))
    assert run("run_in_vibration", **SHAKE, noise="knocking")["verdict"] == "stop"


def test_figures_of_the_fill(run: Run) -> None:
    """67.68 cm3 of room at 0.9 is 60.9 g; bearing a tenth either way, housing by its share; strokes whole and inside."""
    shares = {"slow_or_dirty": (2 / 3, 1), "normal": (1 / 3, 1 / 2), "fast": (0, 1 / 3)}
    for duty, (least, most) in shares.items():
        got = run("grease_fill", **{**FILL, "duty": duty}, housing_space=300 * CM3, stroke=1.3 * G)["values"]
        assert got["bearing_grams"] == pytest.approx(60.91 * G, rel=1e-3)
        assert got["total_least"] == pytest.approx((0.9 * 60.91 + least * 270) * G, rel=1e-3)
        assert got["total_most"] == pytest.approx((1.1 * 60.91 + most * 270) * G, rel=1e-3)
        assert got["strokes_least"] == -(-got["total_least"] // (1.3 * G))
        assert got["strokes_most"] == got["total_most"] // (1.3 * G)
    filled = run("grease_fill", **{**FILL, "delivered": "filled"}, housing_space=300 * CM3)["values"]
    assert filled["bearing_grams"] == 0
    assert filled["total_least"] == pytest.approx(90 * G)
    assert run("grease_fill", **FILL)["values"]["total_most"] == pytest.approx(1.1 * 60.91 * G, rel=1e-3)


def test_figures_of_the_regrease(run: Run) -> None:
    """14.85 g: 15 strokes of 1 g, judged from 13.4 to 16.3 g; a tiny gun gives one stroke at least; 24 h a day unless said."""
    got = run("relubrication", **GREASE, stroke=1 * G)["values"]
    assert (got["strokes_least"], got["strokes_most"]) == (15, 15)
    big = run("relubrication", **GREASE, stroke=40 * G)["values"]
    assert (big["strokes_least"], big["strokes_most"]) == (1, 1)
    part = run("relubrication", **GREASE, stroke=1.0245 * G)["values"]  # 14.495 strokes
    assert (part["strokes_least"], part["strokes_most"]) == (14, 14)
    assert (got["now_least"], got["now_most"]) == (pytest.approx(13.365 * G), pytest.approx(16.335 * G))
    assert got["calendar"] == pytest.approx(got["interval"], rel=1e-9)
    assert run("relubrication", **GREASE, hours_a_day=8 * HOUR)["values"]["calendar"] == pytest.approx(
        1461 * 86_400.0 if got["interval"] * 3 > 1461 * 86_400.0 else got["interval"] * 3
    )
    housing = run("relubrication", **{**GREASE, "temperature": celsius(75), "measured_at": "housing"})[
        "values"
    ]
    assert housing["ring_temperature"] == pytest.approx(celsius(85))
    assert housing["by_heat"] == pytest.approx(0.5)
    assert got["by_heat_navy"] == pytest.approx(0.5 ** (5 / 14))
    assert run("relubrication", **{**GREASE, "temperature": celsius(65)})["values"]["by_heat_navy"] == 1
    by_maker = run("relubrication", {"interval": 500 * HOUR}, **{**GREASE, "temperature": celsius(110)})
    assert by_maker["refusal"] is None  # the grease maker may know better, and is still asked about the heat
    assert "hot" in fired(by_maker)


def test_factors_as_the_table_has_them(run: Run) -> None:
    """Trade factors (memory): dirt 1, 0.7, 0.4, 0.2; moisture 1, 0.7, 0.4, 0.1; vibration 1, 0.6, 0.3."""
    for what, line, words in (
        ("dirt", "by_dirt", {"clean": 1, "dusty": 0.7, "some_grit": 0.4, "much_grit": 0.2}),
        ("moisture", "by_moisture", {"dry": 1, "damp": 0.7, "condensation": 0.4, "splashed": 0.1}),
        ("vibration", "by_vibration", {"smooth": 1, "rough": 0.6, "very_rough": 0.3}),
    ):  # fmt: skip
        for word, factor in words.items():
            got = run("relubrication", **{**GREASE, what: word})["values"]
            assert got[line] == factor
            assert got["product"] == pytest.approx(10 * factor)


def test_faces_and_joints_of_the_settling(run: Run) -> None:
    """VDI 2230-1, table 5 (memory): thread 3, face 2.5 / 3 / 4, joint 1.5 / 2 / 3 um; two faces for a bolt, one for a tapped screw."""
    for roughness, face, joint in (("fine", 2.5, 1.5), ("usual", 3, 2), ("rough", 4, 3)):
        common = {**AGAIN, "screw": "M12", "loaded_length": 40 * MM, "roughness": roughness}
        assert run("retorque_due", **common)["values"]["settles"] == pytest.approx(
            (3 + 2 * face + joint) * UM
        )
        assert run("retorque_due", **common, joints=3)["values"]["settles"] == pytest.approx(
            (3 + 2 * face + 3 * joint) * UM
        )
        tapped = run("retorque_due", **{**common, "part": "clamp_collar_screws"}, joints=0)["values"]
        assert tapped["settles"] == pytest.approx((3 + face) * UM)
        for part in ("ring_set_screws", "collar_set_screws", "cam_collar_screw"):
            assert run("retorque_due", **{**common, "part": part})["values"]["settles"] == pytest.approx(
                (3 + face) * UM
            )


def test_what_is_left_of_the_figures(run: Run) -> None:
    """The ring 5 to 15 K over its housing (memory); nothing to go once the calendar is over; a large fan needs no category."""
    hot = run("run_in_temperature", **HOT)["values"]
    assert (hot["ring_least"], hot["ring_most"]) == (pytest.approx(celsius(55)), pytest.approx(celsius(65)))
    late = {**AGAIN, "done": "week", "run_hours": 900 * HOUR}
    assert run("retorque_due", **late, clock_hours=200 * 24 * HOUR)["values"]["to_go"] == 0
    assert run("retorque_due", **late, clock_hours=100 * 24 * HOUR)["values"]["to_go"] == pytest.approx(
        3480 * HOUR
    )
    assert run("run_in_vibration", **{**SHAKE, "machine": "fan", "power": 310e3})["refusal"] is None
    assert (
        run("run_in_vibration", **{**SHAKE, "machine": "fan", "power": 299e3})["refusal"]["where"]
        == "category_needed"
    )

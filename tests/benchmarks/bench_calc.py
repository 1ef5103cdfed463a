"""How long a sheet takes in Python, windows and checks included, and loading everything. Run: python tests/benchmarks/bench_calc.py"""

from __future__ import annotations

import sys
import time
from pathlib import Path

from shaftside import calc

ROOT = Path(__file__).resolve().parents[2]
MOST_US = 100.0  # on a quiet machine; time of this process alone, best of several
TRIES, ROUNDS = 300, 9
CASES = {
    "set_screw_torque": {"place": "ring", "screw": "M8", "set_to": 13.5, "set_to_step": 0.5, "clicked": True, "moved": "none"},
    "taper_drive_up": {
        "bearing_type": "spherical_roller", "sealed": False, "bore": 0.06, "taper": "one_in_12", "seat": "sleeve", "clearance_class": "CN",
        "clearance_before": 6e-5, "feeler_step": 1e-5, "clearance_now": 3e-5,
    },
    "shaft_fit": {
        "shaft_d": 0.05, "shaft_system": "metric", "locking_method": "ring_set_screws", "load": "normal", "shock": False, "speed": 100.0,
        "plane_1": [0.05, 0.04999], "plane_2": [0.04998, 0.04999], "plane_3": [0.04998, 0.04999], "gauge_step": 1e-6, "shaft_temperature": 298.15,
    },
    "free_end": {
        "held": "one", "free_kind": "in_housing", "span": 3.0, "shaft_material": "steel", "frame_material": "concrete", "cold": 293.15,
        "shaft_hot": 363.15, "frame_hot": 303.15, "travel": 0.006, "set_back": 0.001, "set_back_step": 0.0005, "shaft_d": 0.05,
    },
    "soft_foot": {
        "feet": "four", "lift_1": 2.1e-4, "lift_2": 2e-5, "lift_3": 1.9e-4, "lift_4": 1e-5, "lift_step": 1e-5, "gap_most": 2e-4, "gap_least": 1.8e-4,
        "shims_most": 2, "full_footprint": True, "shimmed": True,
    },
    "alignment": {
        "bearing_type": "insert_ball", "turning": False, "span": 1.0, "height_error": 0.001, "side_error": 0.002, "error_step": 1e-4, "swivels": "firmly",
    },
    "warming": {
        "bore": 0.1, "greased": False, "shaft_temperature": 293.15, "fit_class": "k6", "heater": "induction", "thermometer": "contact",
        "ring_now": 392.5, "ring_step": 0.1, "width": 0.046,
    },
    "screw_preload": {
        "thread": "M12", "head": "hex", "screw_class": "8.8", "lubrication": "oil_or_grease", "tightening": "wrench_estimated", "torque": 60.0,
        "preload_wanted": 3e4,
    },
    "set_screw_hold": {
        "thread": "M8x1", "lubrication": "dry_as_delivered", "torque": 13.5, "shaft_d": 0.05, "screws": "two", "angle": 1.0471975511965976,
        "point": "cup", "hardness": "45H", "shaft_hrc": 20.0, "flat": False, "duty": "dynamic", "thrust_asked": 500.0, "torque_asked": 20.0,
    },
    "method_choice": {
        "shaft_d": 0.05, "shaft_system": "metric", "load": "heavy", "shock": True, "reversing": False, "speed": 150.0, "grade": "G 6.3",
        "shaft_measured": 0.04999, "bearing_type": "insert_ball", "removed": "often", "far_side_free": False, "can_read": True,
        "hours_down": 28800.0, "cost_hour": 1500.0, "price_difference": 700.0, "failures_seen": 2.0, "years_seen": 10.0, "avoided_share": 0.5,
    },
    "grip": {
        "shaft_d": 0.05, "surface": "dry", "axial_duty": 500.0, "loads": "steady", "insert_bearing": True, "static_rating": 23200.0,
        "radial_load": 5000.0, "locking_method": "ring_set_screws", "ring_screw": "M10", "screws": "two", "cam_torque": 40.0, "cam_radii": 0.065,
        "cap_d": 0.008, "cap_torque": 20.0, "bearing_bore": 0.055, "bearing_width": 0.03, "sleeve_pressure": 1.5e7,
    },
    "offset_vibration": {
        "locking_method": "ring_set_screws", "shaft_d": 0.05, "speed": 209.4, "grade": "G 6.3", "tolerance_class": "h9", "rotor_mass": 40.0,
        "screws_apart": 0.0,
    },
    "cam_direction": {"rotation": "clockwise", "reversing": False, "stands_at": "far_end", "collar_side": "far_side"},
    "cam_collar_screw": {"screw": "M8", "hardness": "45H", "set_to": 13.5, "set_to_step": 0.5, "clicked": True, "moved": "none"},
    "clamp_collar_torque": {
        "cap_screw": "M6", "screws": "two", "screw_class": "12.9", "lubrication": "oil_or_grease", "stage": "full", "set_to": 14.0, "set_to_step": 0.5,
        "clicked": True, "moved": "none", "gap_a": 0.002, "gap_b": 0.002, "shaft_d": 0.05, "collar_width": 0.015,
    },
    "housing_bolt_torque": {
        "bolt": "M12", "head": "hex", "screw_class": "8.8", "lubrication": "oil_or_grease", "foot": "cast_iron", "under_head": "hardened_washer",
        "stage": "full", "set_to": 70.0, "set_to_step": 1.0, "clicked": True, "moved": "none", "foot_lift": 2e-5, "lift_step": 1e-5,
    },
    "clearance_check": {
        "bearing": "self_aligning_ball", "bore_kind": "tapered", "bore": 0.05, "clearance_class": "CN", "reading": 3.5e-5, "step": 5e-6,
    },
    "taper_seat": {
        "bearing_type": "spherical_roller", "bore": 0.1, "outer": 0.18, "width": 0.046, "taper": "one_in_12", "seat": "sleeve", "finish": "ground",
        "travel": 8e-4, "reduction_wanted": 5e-5, "clearance_class": "CN", "clearance_before": 9.5e-5, "ring_warmer": 8.0, "load": 6e4,
        "rating": 4e5, "bearing_warmer": 40.0, "oil_injected": True, "nut_on": True, "piston_outer": 0.18, "piston_inner": 0.11,
    },
    "lock_washer": {"thread": 0.1, "taper": "one_in_12", "state": "past", "clearance_now": 4e-5, "residual_least": 3.5e-5, "feeler_step": 1e-5},
    "insert_sleeve_seating": {"maker_gives": "angle", "zero": "hand_tight", "bore": 0.05, "zero_marked": True, "turned": 1.2, "turned_step": 0.087},
    "torque_wrench": {
        "torque_wanted": 13.5, "drag": 1.0, "wrench_length": 0.3, "adapter_length": 0.05, "adapter_angle": 0.0, "wrench": "click",
        "handle_extension": False, "wrench_most": 60.0, "calibrated_days_ago": 30 * 86400.0, "dropped": False,
    },
    "grease_fill": {
        "delivered": "open", "bore": 0.05, "outside_d": 0.11, "width": 0.027, "bearing_mass": 1.06, "housing_space": 1.5e-4, "duty": "normal",
        "stroke": 8e-4, "put_in": 0.12, "scale_step": 1e-3,
    },
    "relubrication": {
        "sealing": "can_be_greased", "bearing_type": "ball", "bore": 0.05, "outside_d": 0.11, "width": 0.027, "speed": 157.0, "temperature": 343.15,
        "measured_at": "housing", "position": "vertical", "dirt": "dusty", "moisture": "damp", "vibration": "rough", "entry": "side", "grease": "same",
        "stroke": 1e-3, "hours_since": 3.6e6, "put_in": 0.015, "scale_step": 1e-3,
    },
    "run_in_temperature": {
        "minutes": 5400.0, "ambient": 295.15, "end_a": 328.15, "end_b": 325.15, "minutes_before": 4800.0, "end_a_before": 328.0, "end_b_before": 325.0,
        "since_start": [300.0, 320.0, 333.0, 328.15], "last_readings": [328.5, 328.2, 328.15], "span": 1800.0, "steady_end": 325.15,
        "steady_ambient": 293.15, "pattern": "rise_then_fall", "step": 0.1,
    },
    "run_in_vibration": {
        "machine": "general", "power": 75e3, "support": "rigid", "speed": 155.0, "state": "new", "velocity": 2e-3, "velocity_as": "rms",
        "velocity_step": 1e-4, "displacement": 2e-5, "displacement_as": "rms", "baseline": 1.9e-3, "mostly": "radial_1x", "noise": "purr",
    },
    "retorque_due": {
        "part": "base_bolts", "thread_locked": False, "started": True, "done": "first", "run_hours": 90000.0, "hot": False, "turned": 0.1,
        "turned_step": 0.05, "torque_set": 84.0, "torque_moved": 80.0, "screw": "M12", "loaded_length": 0.04, "tension": 43e3, "roughness": "fine",
        "joints": 1,
    },
}  # fmt: skip


MAKERS = {
    "clamp_collar_torque": {"target": 14.0},
    "insert_sleeve_seating": {"angle_least": 1.0},
    "alignment": {"bearing_limit": 0.03, "housing_limit": 0.02},
}  # sheets whose target is the maker's


def main() -> int:
    """Print microseconds a sheet; 1 if any is over the limit."""
    start = time.process_time()
    program = calc.load(ROOT / "procedures").program
    print(f"load all sheets and tables  {1000 * (time.process_time() - start):8.1f} ms")
    slow = 0
    for name, values in CASES.items():
        best = min(_once(program, name, values) for _ in range(ROUNDS))
        print(f"{name:<24}    {best:8.1f} us  (limit {MOST_US:.0f})")
        slow += best > MOST_US
    return 1 if slow else 0


def _once(program: dict, name: str, values: dict) -> float:
    makers = MAKERS.get(name, {})
    refused = calc.evaluate(program, name, values, makers)["refusal"]
    assert refused is None, (name, refused)  # a refusal is quick and tells nothing
    start = time.process_time()
    for _ in range(TRIES):
        calc.evaluate(program, name, values, makers)
    return (time.process_time() - start) / TRIES * 1e6


if __name__ == "__main__":
    sys.exit(main())

"""How long a sheet takes in Python, windows and checks included, and loading everything. Run: python tests/benchmarks/bench_calc.py"""

from __future__ import annotations

import sys
import time
from pathlib import Path

from shaftside import calc

ROOT = Path(__file__).resolve().parents[2]
MOST_US = 50.0
TRIES = 2000
CASES = {
    "set_screw_torque": {"place": "ring", "screw": "M8", "set_to": 13.5, "set_to_step": 0.5, "clicked": True, "moved": "none"},
    "taper_drive_up": {
        "bearing_type": "spherical_roller", "sealed": False, "bore": 0.06, "taper": "one_in_12", "seat": "sleeve", "clearance_class": "CN",
        "clearance_before": 6e-5, "feeler_step": 1e-5, "clearance_now": 3e-5,
    },
    "shaft_fit": {"shaft_d": 0.05, "shaft_system": "metric", "locking_method": "ring_set_screws", "load": "normal", "sizes": [0.05, 0.04999, 0.04998]},
    "cam_direction": {"rotation": "clockwise", "reversing": False, "stands_at": "far_end", "collar_side": "far_side"},
}  # fmt: skip


def main() -> int:
    """Print microseconds a sheet; 1 if any is over the limit."""
    start = time.perf_counter()
    program = calc.load(ROOT / "procedures").program
    print(f"load all sheets and tables  {1000 * (time.perf_counter() - start):8.1f} ms")
    slow = 0
    for name, values in CASES.items():
        best = min(_once(program, name, values) for _ in range(3))
        print(f"{name:<24}    {best:8.1f} us  (limit {MOST_US:.0f})")
        slow += best > MOST_US
    return 1 if slow else 0


def _once(program: dict, name: str, values: dict) -> float:
    start = time.perf_counter()
    for _ in range(TRIES):
        calc.evaluate(program, name, values)
    return (time.perf_counter() - start) / TRIES * 1e6


if __name__ == "__main__":
    sys.exit(main())

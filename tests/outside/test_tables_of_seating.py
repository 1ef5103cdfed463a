"""The tables of shafts and screws: order, gaps, and the formulas their figures come from. Taper: test_taper_tables.py."""

from collections import defaultdict
from itertools import pairwise
from typing import Any

import pytest

RANGES = {
    "bore_tolerance": (["bore"], "over_mm", "up_to_mm"),
    "iso286_grades": (["grade"], "over_mm", "up_to_mm"),
    "iso286_shafts": (["tolerance_class"], "over_mm", "up_to_mm"),
    "shaft_limits_inch": (["locking_method"], "over_in", "up_to_in"),
    "screw_strength": (["class"], "from_mm", "up_to_mm"),
}


@pytest.mark.parametrize("table", RANGES)
def test_ranges_rise_and_meet(rows: Any, table: str) -> None:
    keys, over, up_to = RANGES[table]
    groups: dict[tuple[str, ...], list[tuple[float, float]]] = defaultdict(list)
    for row in rows(table):
        groups[tuple(row[k] for k in keys)].append((float(row[over]), float(row[up_to])))
    for name, found in groups.items():
        assert all(a < b for a, b in found), name
        assert all(left[1] == right[0] for left, right in pairwise(found)), name


def test_metric_thread_diameters(rows: Any) -> None:
    """ISO 724: d2 = d - 0.649519 P, d3 = d - 1.226869 P; ISO 898-1 stress area to the figures printed."""
    for r in rows("threads"):
        if r["system"] == "metric":
            d, pitch = float(r["d_mm"]), float(r["pitch_mm"])
            assert float(r["d2_mm"]) == pytest.approx(d - 0.649519 * pitch, abs=0.001)
            assert float(r["d3_mm"]) == pytest.approx(d - 1.226869 * pitch, abs=0.001)
            assert float(r["stress_area_mm2"]) == pytest.approx(
                0.7854 * (d - 0.938194 * pitch) ** 2, rel=0.005
            )


def test_inch_thread_stress_area(rows: Any) -> None:
    """ASME B1.1: 0.7854 (D - 0.9743/n)^2, another rule than the metric one."""
    for r in rows("threads"):
        if r["system"] == "inch":
            d, pitch = float(r["d_mm"]), float(r["pitch_mm"])
            assert float(r["stress_area_mm2"]) == pytest.approx(0.7854 * (d - 0.9743 * pitch) ** 2, rel=0.005)

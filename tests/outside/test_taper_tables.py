"""The tables of the taper family, row by row: order, gaps, overlap, and identities between one printed table and another.

Radial clearance: ISO 5753-1 and ISO 9628 (secondary). Drive-up: a table printed alike in several rolling-bearing handbooks
(secondary); its identities were found by comparing it with ISO 5753-1 (derived). Nuts: ISO 2982-2, DIN 981 (secondary).
"""

from collections import defaultdict
from itertools import pairwise
from typing import Any

import pytest

CLASSES = ["C2", "CN", "C3", "C4", "C5"]
WORDS = {
    "locknuts": [],
    "radial_clearance": ["bearing", "bore_kind", "clearance_class"],
    "taper_drive_up": ["bearing"],
    "taper_residual": ["bearing", "clearance_class"],
    "taper_travel": ["bearing", "taper", "seat"],
}
COUNTS = {"locknuts": 53, "radial_clearance": 420, "taper_drive_up": 27, "taper_residual": 73, "taper_travel": 81}
# bearings whose classes follow on without overlap; the classes of the others overlap
FOLLOW_ON = {("spherical_roller", "tapered"), ("spherical_roller", "cylindrical")}


@pytest.mark.parametrize("table", WORDS)
def test_ranges_rise_and_meet(rows: Any, table: str) -> None:
    groups: dict[tuple[str, ...], list[tuple[float, float]]] = defaultdict(list)
    for row in rows(table):
        groups[tuple(row[k] for k in WORDS[table])].append((float(row["over_mm"]), float(row["up_to_mm"])))
    assert sum(map(len, groups.values())) == COUNTS[table]
    for name, found in groups.items():
        assert all(a < b for a, b in found), name
        assert all(left[1] == right[0] for left, right in pairwise(found)), name


def um(text: str) -> float:
    """Millimetres as printed, in micrometres."""
    return round(float(text) * 1000, 3)


@pytest.fixture(scope="module")
def reduction(rows: Any) -> dict[str, tuple[float, float]]:
    """Roller bearings: up to -> smallest and largest reduction, micrometres."""
    return {
        r["up_to_mm"]: (um(r["reduction_least_mm"]), um(r["reduction_most_mm"]))
        for r in rows("taper_drive_up") if r["bearing"] == "spherical_roller"
    }  # fmt: skip


@pytest.fixture(scope="module")
def residual(rows: Any) -> dict[tuple[str, str], float]:
    return {
        (r["clearance_class"], r["up_to_mm"]): um(r["least_mm"])
        for r in rows("taper_residual") if r["bearing"] == "spherical_roller"
    }  # fmt: skip


@pytest.fixture(scope="module")
def travel(rows: Any) -> dict[tuple[str, str], dict[str, tuple[float, float]]]:
    """Roller bearings: (taper, seat) -> up to -> travel, millimetres."""
    out: dict[tuple[str, str], dict[str, tuple[float, float]]] = defaultdict(dict)
    for r in rows("taper_travel"):
        if r["bearing"] == "spherical_roller":
            out[r["taper"], r["seat"]][r["up_to_mm"]] = (float(r["least_mm"]), float(r["most_mm"]))
    return out


@pytest.fixture(scope="module")
def clearance(rows: Any) -> dict[tuple[str, str, str], dict[str, tuple[float, float]]]:
    """(bearing, bore kind, up to) -> class -> limits, micrometres."""
    out: dict[tuple[str, str, str], dict[str, tuple[float, float]]] = defaultdict(dict)
    for r in rows("radial_clearance"):
        out[r["bearing"], r["bore_kind"], r["up_to_mm"]][r["clearance_class"]] = (
            float(r["least_um"]), float(r["most_um"]),
        )  # fmt: skip
    return out


def test_residual_cn_is_class_least_less_the_smallest_reduction(
    reduction: Any, residual: Any, clearance: Any
) -> None:
    """Exact in 18 of 19 rows; the row over 65 to 80 mm is 5 um lower."""
    off = {
        to: clearance["spherical_roller", "tapered", to]["CN"][0] - least - residual["CN", to]
        for to, (least, _) in reduction.items()
    }
    assert len(off) == 19
    assert {to: by for to, by in off.items() if by} == {"80": 5}


def test_residual_c4_is_class_least_less_the_largest_reduction(
    reduction: Any, residual: Any, clearance: Any
) -> None:
    """Exact in 19 of 19 rows: a C4 bearing may always take the largest reduction."""
    for to, (_, most) in reduction.items():
        assert clearance["spherical_roller", "tapered", to]["C4"][0] - most == residual["C4", to], to


def test_residual_c3_lies_near_class_least_less_the_largest_reduction(
    reduction: Any, residual: Any, clearance: Any
) -> None:
    """5 um below, equal, or 10 to 20 um above."""
    seen = set()
    for to, (_, most) in reduction.items():
        by = residual["C3", to] - (clearance["spherical_roller", "tapered", to]["C3"][0] - most)
        assert by == -5 or by == 0 or 10 <= by <= 20, (to, by)
        seen.add(by)
    assert {-5, 0} <= seen
    assert max(seen) >= 10


def test_no_residual_takes_more_than_the_class_can_give(reduction: Any, residual: Any, clearance: Any) -> None:
    """A bearing anywhere in its class can take the smallest reduction and keep the residual."""
    for to, (least, _) in reduction.items():
        for name in ("CN", "C3", "C4"):
            assert clearance["spherical_roller", "tapered", to][name][0] - least >= residual[name, to], (to, name)
        assert residual["CN", to] < residual["C3", to] < residual["C4", to]


def test_reduction_and_travel_grow_with_the_bore(rows: Any) -> None:
    """But for one printed row: the ball travel on a sleeve to 20 mm is 0.01 mm more than to 30 mm."""
    for table, (low, high) in {
        "taper_drive_up": ("reduction_least_mm", "reduction_most_mm"), "taper_travel": ("least_mm", "most_mm"),
    }.items():  # fmt: skip
        groups: dict[tuple[str, ...], list[tuple[float, float]]] = defaultdict(list)
        for r in rows(table):
            groups[tuple(r[k] for k in WORDS[table])].append((float(r[low]), float(r[high])))
        for name, found in groups.items():
            assert all(0 < a <= b for a, b in found), name
            drops = [a for a, b in pairwise(found) if b[0] < a[0] or b[1] < a[1]]
            odd = ("self_aligning_ball", "one_in_12", "sleeve")
            assert drops == ([(0.24, 0.25)] if name == odd else []), name


@pytest.mark.parametrize(("seat", "low", "high"), [("shaft", 2.42, 2.54), ("sleeve", 2.26, 2.57)])
def test_one_in_30_takes_two_and_a_half_times_the_travel(travel: Any, seat: str, low: float, high: float) -> None:
    """30/12 = 2.5 (geometry); the printed shaft columns run from 2.43 to 2.53, sleeve columns from 2.27 to 2.56."""
    flat, steep = travel["one_in_30", seat], travel["one_in_12", seat]
    ratios = [flat[to][end] / steep[to][end] for to in flat for end in (0, 1)]
    assert len(ratios) == 28
    assert low <= min(ratios)
    assert max(ratios) <= high


def test_a_sleeve_takes_a_little_more_travel_than_a_shaft(travel: Any) -> None:
    """1.00 to 1.17, mean 1.09: the travel that closes the slit."""
    sleeve, shaft = travel["one_in_12", "sleeve"], travel["one_in_12", "shaft"]
    ratios = [sleeve[to][end] / shaft[to][end] for to in sleeve for end in (0, 1)]
    assert len(ratios) == 36
    assert min(ratios) >= 1.0
    assert max(ratios) <= 1.17
    assert sum(ratios) / len(ratios) == pytest.approx(1.09, abs=0.01)


def test_travel_over_reduction_of_the_table(reduction: Any, travel: Any) -> None:
    """Means 14.9 to 15.8, extremes 14.0 to 21.6, the high ones below 40 mm; 13 to 19 is fair above (common practice, no source)."""
    ratios = []
    for to, ends in travel["one_in_12", "shaft"].items():
        for end in (0, 1):
            ratio = ends[end] * 1000 / reduction[to][end]
            assert 13 <= ratio <= (19 if float(to) > 40 else 21.6), to
            ratios += [ratio] if float(to) > 40 else []
    assert 14.9 <= sum(ratios) / len(ratios) <= 15.8


def test_ball_travel_does_not_follow_the_taper(rows: Any) -> None:
    """Self-aligning ball rows give 21 to 35 and more: 1.5 to 2 times too long for 1:12, which is why they are not judged."""
    red = {r["up_to_mm"]: r for r in rows("taper_drive_up") if r["bearing"] == "self_aligning_ball"}
    means = []
    for r in rows("taper_travel"):
        if r["bearing"] == "self_aligning_ball" and r["seat"] == "shaft" and float(r["up_to_mm"]) > 30:
            mid = (float(r["least_mm"]) + float(r["most_mm"])) / 2
            row = red[r["up_to_mm"]]
            means.append(mid / ((float(row["reduction_least_mm"]) + float(row["reduction_most_mm"])) / 2))
    assert len(means) == 6
    assert min(means) > 19
    assert max(means) <= 35


@pytest.mark.parametrize("table", ["radial_clearance", "taper_drive_up"])
def test_every_window_is_open(rows: Any, table: str) -> None:
    low, high = {"radial_clearance": ("least_um", "most_um"), "taper_drive_up": ("reduction_least_mm", "reduction_most_mm")}[table]
    for r in rows(table):
        assert 0 <= float(r[low]) < float(r[high]), r


def test_roller_classes_follow_on_and_ball_classes_overlap(clearance: Any) -> None:
    """ISO 5753-1: a roller class starts where the one before ends; a ball class starts before the one below it ends, never at or
    under its start, and leaves no gap."""
    rows_seen = 0
    for (bearing, kind, to), classes in clearance.items():
        if bearing == "insert_ball":
            assert list(classes) == ["CN"]
            continue
        assert list(classes) == CLASSES
        for left, right in pairwise(CLASSES):
            (a, b), (c, d) = classes[left], classes[right]
            assert a < c, (bearing, to, left)
            assert b < d, (bearing, to, left)
            if (bearing, kind) in FOLLOW_ON:
                assert b == c, (bearing, kind, to, left)
            else:
                assert c < b, (bearing, kind, to, left)
            rows_seen += 1
    assert rows_seen == 4 * 82


def test_limits_grow_with_the_bore(rows: Any) -> None:
    groups: dict[tuple[str, ...], list[tuple[float, float]]] = defaultdict(list)
    for r in rows("radial_clearance"):
        groups[r["bearing"], r["bore_kind"], r["clearance_class"]].append((float(r["least_um"]), float(r["most_um"])))
    for name, found in groups.items():
        assert all(a <= c and b <= d for (a, b), (c, d) in pairwise(found)), name


def test_a_tapered_bore_has_more_clearance_than_a_cylindrical_one(clearance: Any) -> None:
    """ISO 5753-1: the taper takes clearance away, so the classes of tapered bores lie higher."""
    pairs = [(b, to) for b, kind, to in clearance if kind == "tapered"]
    assert len(pairs) == 30
    for bearing, to in pairs:
        for name in CLASSES:
            taper, plain = clearance[bearing, "tapered", to][name], clearance[bearing, "cylindrical", to][name]
            assert taper[0] >= plain[0], (bearing, to, name)
            assert taper[1] >= plain[1], (bearing, to, name)


def test_locknuts(rows: Any) -> None:
    """ISO 2982-2, DIN 981: from size 4 on the thread is five times the size; pitch and nut grow with it; washer tabs are odd."""
    nuts = [r for r in rows("locknuts") if r["size"]]
    assert len(nuts) == 52
    for r in nuts:
        if int(r["size"]) >= 4:
            assert float(r["up_to_mm"]) == 5 * int(r["size"])
        assert not r["washer_tabs"] or int(r["washer_tabs"]) % 2 == 1
        assert r["slots"] == "4"
        assert not r["nut_od_mm"] or float(r["nut_od_mm"]) > float(r["up_to_mm"])
    for column in ("pitch_mm", "nut_od_mm", "slot_width_mm", "washer_tabs"):
        figures = [float(r[column]) for r in nuts if r[column]]
        assert all(a <= b for a, b in pairwise(figures)), column

"""Values recomputed by a way of their own: the exact screw formula, the thick ring by displacements, limits at the edges.

The sheets use the linear screw formula and the short Lamé form with a hollow factor. Here the tangent form of
Kellermann and Klein and the compatibility of two displacements give the same figures, so a slip in either shows.
"""

import math
from typing import Any

import pytest
from outside_units import LBF_FT, MM, MPA, UM
from running import Run

IN = 0.0254
# d, P, bearing face, hole: ISO 724, ISO 4014 and ISO 273 medium (memory); 0.2 % yield by ISO 898-1 (secondary)
HEX = {"M5": (5, 0.8, 6.88, 5.5), "M8": (8, 1.25, 11.63, 9), "M10": (10, 1.5, 14.63, 11), "M16": (16, 2, 22.49, 17.5),
       "M24": (24, 3, 33.61, 26), "M30": (30, 3.5, 42.75, 33)}  # fmt: skip


def yield_of(screw_class: str, d: float) -> float:
    return {"8.8": 640 if d <= 16 else 660, "10.9": 940, "12.9": 1100}[screw_class]


@pytest.mark.parametrize("friction", [0.09, 0.13, 0.17, 0.22])
@pytest.mark.parametrize("screw_class", ["8.8", "10.9", "12.9"])
@pytest.mark.parametrize("thread", HEX)
def test_ceiling_by_the_tangent_form(run: Run, thread: str, screw_class: str, friction: float) -> None:
    """VDI 2230-1: T = F (d2/2 tan(phi + rho') + mu D_Km/2); the linear form lies within 1 %. Preload to rounding of A_s."""
    d, pitch, face, hole = HEX[thread]
    d2, d3 = d - 0.649519 * pitch, d - 1.226869 * pitch
    d0 = (d2 + d3) / 2
    lead, grip = math.atan(pitch / (math.pi * d2)), math.atan(friction / math.cos(math.pi / 6))
    twist = 1.5 * d2 / d0 * (pitch / (math.pi * d2) + 1.155 * friction)
    force = 0.9 * yield_of(screw_class, d) * math.pi / 4 * d0**2 / math.sqrt(1 + 3 * twist**2)
    torque = force * (d2 / 2 * math.tan(lead + grip) + friction * (face + hole) / 4) * MM
    got = run(
        "screw_preload", thread=thread, head="hex", screw_class=screw_class, lubrication="oil_or_grease", friction=friction
    )["values"]  # fmt: skip
    assert got["preload_ceiling"] == pytest.approx(force, rel=0.003)
    assert got["ceiling"] == pytest.approx(torque, rel=0.012)
    assert got["factor_long"] == pytest.approx(torque / (force * d * MM), rel=0.012)


@pytest.mark.parametrize(
    ("bore", "outer", "travel", "k", "hole", "finish", "smoothing"),
    [
        (60, 110, 0.45, 12, 0, "ground", 1.75), (80, 140, 0.60, 12, 60, "ground", 1.75), (100, 180, 0.80, 12, 40, "ground", 1.75),
        (140, 250, 1.10, 12, 70, "turned", 6), (200, 360, 3.20, 30, 0, "ground", 1.75), (200, 360, 3.20, 30, 120, "turned", 6),
    ],
)  # fmt: skip
def test_taper_by_displacements(
    run: Run, bore: float, outer: float, travel: float, k: int, hole: float, finish: str, smoothing: float
) -> None:
    """Budynas & Nisbett, eq. 3-56 (memory): the ring's bore grows, the shaft shrinks, together they make up the interference."""
    race = (3 * bore + outer) / 4
    hollow = {"shaft_hole": hole * MM} if hole else {}
    got = run(
        "taper_seat", bearing_type="spherical_roller", bore=bore * MM, outer=outer * MM, width=40 * MM, seat="shaft", finish=finish,
        taper={12: "one_in_12", 30: "one_in_30"}[k], travel=travel * MM, **hollow,
    )["values"]  # fmt: skip
    left = travel / k - smoothing * 1e-3
    ring = bore / 206_000 * ((race**2 + bore**2) / (race**2 - bore**2) + 0.3)
    shaft = bore / 206_000 * ((bore**2 + hole**2) / (bore**2 - hole**2) - 0.3)
    pressure = left / (ring + shaft)
    assert got["pressure"] / MPA == pytest.approx(pressure, rel=1e-6)
    assert got["hoop"] / MPA == pytest.approx(pressure * (race**2 + bore**2) / (race**2 - bore**2), rel=1e-6)
    assert got["reduction"] / MM == pytest.approx(2 * pressure * bore**2 * race / (206_000 * (race**2 - bore**2)), rel=1e-6)
    normal = pressure * math.pi * bore * 40
    assert got["drive_force"] == pytest.approx(normal * (0.17 + 1 / (2 * k)), rel=1e-6)
    assert got["release_force"] == pytest.approx(normal * (0.14 - 1 / (2 * k)), rel=1e-6)


#: A size on the edge belongs to the step that ends there: ISO 286-2 (memory).
EDGES = {
    "h6": {50: (0, -16), 80: (0, -19), 120: (0, -22)}, "h7": {18: (0, -18), 30: (0, -21), 50: (0, -25), 80: (0, -30), 120: (0, -35), 180: (0, -40), 250: (0, -46)},
    "h8": {50: (0, -39), 80: (0, -46), 120: (0, -54)}, "h9": {30: (0, -52), 50: (0, -62), 80: (0, -74), 120: (0, -87)},
    "h10": {50: (0, -100), 80: (0, -120)}, "h11": {50: (0, -160), 80: (0, -190), 120: (0, -220)},
    "j6": {30: (9, -4), 50: (11, -5), 80: (12, -7), 120: (13, -9)}, "k6": {50: (18, 2), 80: (21, 2), 120: (25, 3)},
    "m6": {50: (25, 9), 80: (30, 11), 120: (35, 13)}, "h5": {50: (0, -11), 80: (0, -13)},
}  # fmt: skip


@pytest.mark.parametrize(("name", "size"), [(name, size) for name, found in EDGES.items() for size in found])
def test_limits_on_the_edge_of_a_step(run: Run, name: str, size: int) -> None:
    upper, lower = EDGES[name][size]
    got = run(
        "offset_vibration", locking_method="ring_set_screws", shaft_d=size * MM, speed=100.0, grade="G 6.3", tolerance_class=name
    )["values"]  # fmt: skip
    assert got["class_upper"] == pytest.approx(upper * UM, abs=1e-12)
    assert got["class_lower"] == pytest.approx(lower * UM, abs=1e-12)
    beyond = run(
        "offset_vibration", locking_method="ring_set_screws", shaft_d=(size + 0.001) * MM, speed=100.0, grade="G 6.3", tolerance_class=name
    )["values"]  # fmt: skip
    assert beyond["class_upper"] - beyond["class_lower"] > got["class_upper"] - got["class_lower"]


#: ISO 5753-1 (memory), um, at the upper edge of a row.
CLEARANCE: dict[tuple[str, str, str], dict[int, tuple[int, int]]] = {
    ("spherical_roller", "tapered", "CN"): {50: (45, 60), 65: (55, 75), 80: (70, 95), 100: (80, 110), 120: (100, 135), 140: (120, 160)},
    ("spherical_roller", "tapered", "C3"): {50: (60, 80), 80: (95, 120), 100: (110, 140), 120: (135, 170)},
    ("spherical_roller", "cylindrical", "CN"): {50: (35, 55), 80: (50, 80), 100: (60, 100), 120: (75, 120)},
    ("deep_groove_ball", "cylindrical", "CN"): {30: (5, 20), 50: (6, 23), 65: (8, 28), 80: (10, 30), 100: (12, 36), 120: (15, 41)},
    ("deep_groove_ball", "cylindrical", "C3"): {30: (13, 28), 50: (18, 36), 65: (23, 43), 80: (25, 51), 100: (30, 58), 120: (36, 66)},
    ("self_aligning_ball", "tapered", "CN"): {30: (15, 28), 40: (19, 35), 50: (22, 39), 65: (27, 47), 80: (35, 57)},
}  # fmt: skip


@pytest.mark.parametrize(("row", "bore"), [(row, bore) for row, found in CLEARANCE.items() for bore in found])
def test_clearance_rows_at_their_edge(run: Run, row: tuple[str, str, str], bore: int) -> None:
    bearing, kind, clearance_class = row
    got: dict[str, Any] = run(
        "clearance_check", bearing=bearing, bore_kind=kind, bore=bore * MM, clearance_class=clearance_class, reading=30 * UM, step=1 * UM
    )["values"]  # fmt: skip
    found = sorted(round(got[name] / UM) for name in ("class_least", "class_most"))
    assert found == list(CLEARANCE[row][bore])


@pytest.mark.parametrize(
    ("torque", "wrench", "adapter", "angle"), [(100, 16, 4, 0), (80, 12, 2, 45), (60, 18, 3, 90), (40, 10, 2, 135), (30, 15, 1.5, 180)]
)  # fmt: skip
def test_angled_adapters_by_balance_of_moments(run: Run, torque: float, wrench: float, adapter: float, angle: float) -> None:
    """Hand force times its lever about the screw is the torque; times its lever about the drive, the setting (derived)."""
    got = run(
        "torque_wrench", torque_wanted=torque * LBF_FT, wrench_length=wrench * IN, adapter_length=adapter * IN,
        adapter_angle=math.radians(angle),
    )["values"]  # fmt: skip
    hand = torque / (wrench + adapter * math.cos(math.radians(angle)))
    assert got["set_on_wrench"] / LBF_FT == pytest.approx(hand * wrench, rel=1e-9)

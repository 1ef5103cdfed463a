"""ISO 898-1 loads by thread and class, through the sheet `screw_preload` (secondary: public reprints of the tables).

Stress area times proof stress, printed to three figures and partly cut, not rounded: within one unit of the third.
Large and fine threads from memory, marked.
"""

from math import floor, log10

import pytest
from running import Run

CLASSES = ("4.8", "6.8", "8.8", "10.9", "12.9")
PROOF = {  # newton, secondary
    "M3": (1560, 2210, 2920, 4180, 4880), "M4": (2720, 3860, 5100, 7290, 8520), "M5": (4400, 6250, 8230, 11_800, 13_800),
    "M6": (6230, 8840, 11_600, 16_700, 19_500), "M8": (11_400, 16_100, 21_200, 30_400, 35_500),
    "M10": (18_000, 25_500, 33_700, 48_100, 56_300), "M12": (26_100, 37_100, 48_900, 70_000, 81_800),
    "M14": (35_600, 50_600, 66_700, 95_500, 112_000), "M16": (48_700, 69_100, 91_000, 130_000, 152_000),
}  # fmt: skip
PROOF_8_8_LARGE = {"M18": 115_000, "M20": 147_000, "M22": 182_000, "M24": 212_000, "M27": 275_000, "M30": 337_000, "M33": 416_000, "M36": 490_000}  # memory  # fmt: skip
PROOF_8_8_FINE = {
    "M8x1": 22_700, "M10x1": 37_400, "M10x1.25": 35_500, "M12x1.25": 53_400, "M12x1.5": 51_100, "M14x1.5": 72_500,
    "M16x1.5": 96_900, "M18x1.5": 130_000, "M20x1.5": 163_000, "M22x1.5": 200_000, "M24x2": 230_000, "M27x2": 298_000,
    "M30x2": 373_000, "M33x2": 457_000, "M36x3": 519_000,
}  # memory  # fmt: skip


def third_figure(printed: float) -> float:
    """One unit of the third figure."""
    return float(10 ** (floor(log10(printed)) - 2))


def loads(run: Run, thread: str, screw_class: str) -> dict[str, float]:
    got: dict[str, float] = run(
        "screw_preload", thread=thread, head="hex", screw_class=screw_class, lubrication="oil_or_grease",
        face_d=0.02, hole_d=0.01,
    )["values"]  # fmt: skip
    return got


@pytest.mark.parametrize("thread", PROOF)
def test_proof_loads_of_coarse_threads(run: Run, thread: str) -> None:
    for screw_class, newton in zip(CLASSES, PROOF[thread], strict=True):
        got = loads(run, thread, screw_class)
        assert got["proof_load"] == pytest.approx(newton, abs=third_figure(newton)), screw_class
        assert got["preload_75"] == pytest.approx(0.75 * newton, abs=third_figure(newton))
        assert got["preload_90"] == pytest.approx(0.90 * newton, abs=third_figure(newton))


@pytest.mark.parametrize(("thread", "newton"), [*PROOF_8_8_LARGE.items(), *PROOF_8_8_FINE.items()])
def test_proof_loads_from_memory(run: Run, thread: str, newton: int) -> None:
    assert loads(run, thread, "8.8")["proof_load"] == pytest.approx(newton, abs=third_figure(newton))


def test_the_step_at_m16(run: Run) -> None:
    """8.8 is 580 / 640 MPa up to and including M16, 600 / 660 above (secondary)."""
    assert (loads(run, "M16", "8.8")["proof"], loads(run, "M18", "8.8")["proof"]) == (580e6, 600e6)
    assert (loads(run, "M16", "8.8")["yield_stress"], loads(run, "M18", "8.8")["yield_stress"]) == (640e6, 660e6)  # fmt: skip


@pytest.mark.parametrize(
    ("thread", "screw_class"), [("M18", "4.8"), ("M20", "9.8"), ("M27", "5.8"), ("M27", "A2-70")]
)
def test_a_class_that_has_no_such_size_is_refused(run: Run, thread: str, screw_class: str) -> None:
    got = run(
        "screw_preload", thread=thread, head="hex", screw_class=screw_class, lubrication="oil_or_grease"
    )
    assert (got["status"], got["refusal"]["code"]) == ("refused", "outside_table")


def test_the_two_stress_area_rules_stay_apart(run: Run) -> None:
    """ISO 898-1: (d - 0.938194 P); ASME B1.1: (D - 0.9743/n). On 1/4-20 the metric rule would give 1.8 % too much."""
    inch = loads(run, "1/4-20", "grade_5")
    assert inch["stress_area"] == pytest.approx(0.0318 * 645.16e-6, rel=1e-4)
    wrong = 0.785398 * (inch["d"] - 0.938194 * inch["pitch"]) ** 2
    assert wrong / inch["stress_area"] == pytest.approx(1.018, abs=0.002)
    metric = loads(run, "M10", "8.8")
    assert metric["stress_area"] == pytest.approx(0.785398 * (0.010 - 0.938194 * 0.0015) ** 2, rel=0.002)


def test_every_thread_row_by_its_own_rule(rows) -> None:  # type: ignore[no-untyped-def]
    """ISO 68-1: d2 = d - 0.649519 P, d3 = d - 1.226869 P; areas by the row's own standard. Print rounding only."""
    for r in rows("threads"):
        d, pitch, d2, d3, area = (
            float(r[k]) for k in ("d_mm", "pitch_mm", "d2_mm", "d3_mm", "stress_area_mm2")
        )
        assert d2 == pytest.approx(d - 0.649519 * pitch, abs=0.003), r["size"]
        assert d3 == pytest.approx(d - 1.226869 * pitch, abs=0.004), r["size"]
        rule = 0.938194 if r["system"] == "metric" else 0.9743
        assert area == pytest.approx(0.785398 * (d - rule * pitch) ** 2, rel=0.006), r["size"]

"""SAE J429 and ASTM A574 loads and torques, inch threads, through the sheet `screw_preload`.

J429 proof loads in lbf: a public reprint (secondary). Clamp loads at 75 % of proof and dry torque at K 0.20 of
grade 2: another public table (secondary), its torques rounded to 2.2 %. A574 proof loads: a public reprint of its table (secondary).
Dry torque of TM 10-6640-238-13 App. G (secondary, 3 %).
"""

import pytest
from outside_units import LBF, LBF_FT, LBF_IN
from running import Run

J429 = {  # thread: proof load grade 2, 5, 8 in lbf
    "1/4-20": (1750, 2700, 3800), "5/16-18": (2900, 4450, 6300), "3/8-16": (4250, 6600, 9300), "7/16-14": (5850, 9050, 12_800),
    "9/16-12": (10_000, 15_500, 21_800), "5/8-11": (12_400, 19_200, 27_100), "3/4-10": (18_400, 28_400, 40_100),
    "7/8-9": (15_200, 39_300, 55_400), "1-8": (20_000, 51_500, 72_700), "1-1/8-7": (25_200, 56_500, 91_600),
    "1-1/4-7": (32_000, 71_700, 116_300),
}  # fmt: skip
GRADE_2 = {  # thread: dry torque lbf.ft, clamp load lbf
    "1/4-20": (5.4, 1312), "5/16-18": (11.5, 2162), "3/8-16": (20, 3197), "7/16-14": (32, 4385), "1/2-13": (48.8, 5853),
    "5/8-11": (97.1, 9323), "3/4-10": (172, 13_778), "7/8-9": (167, 11_435), "1-8": (250, 14_999),
}  # fmt: skip
A574 = {  # thread: proof load lbf
    "#8-32": 1960, "#10-24": 2450, "1/4-20": 4450, "5/16-18": 7340, "3/8-16": 10_800, "7/16-14": 14_900, "1/2-13": 19_900,
    "5/8-11": 30_500, "3/4-10": 45_100, "7/8-9": 62_400, "1-8": 81_800, "1-1/8-7": 103_000, "1-1/4-7": 131_000,
}  # fmt: skip
TM = [
    ("5/16-18", 17, 24),
    ("3/8-16", 31, 44),
    ("1/2-13", 75, 105),
    ("5/8-11", 150, 210),
    ("3/4-10", 270, 375),
]


def inch(run: Run, thread: str, grade: str, **more: float) -> dict[str, float]:
    got: dict[str, float] = run(
        "screw_preload", thread=thread, head="hex", screw_class=grade, lubrication="dry_as_delivered",
        face_d=0.03, hole_d=0.02, **more,
    )["values"]  # fmt: skip
    return got


@pytest.mark.parametrize("thread", J429)
def test_j429_proof_loads(run: Run, thread: str) -> None:
    for grade, pound in zip(("grade_2", "grade_5", "grade_8"), J429[thread], strict=True):
        assert inch(run, thread, grade)["proof_load"] == pytest.approx(pound * LBF, abs=51 * LBF), grade


@pytest.mark.parametrize("thread", GRADE_2)
def test_grade_2_dry(run: Run, thread: str) -> None:
    torque, clamp = GRADE_2[thread]
    got = inch(run, thread, "grade_2")
    assert got["preload_75"] == pytest.approx(clamp * LBF, rel=0.0015)
    assert got["torque_75"] == pytest.approx(torque * LBF_FT, rel=0.022)


@pytest.mark.parametrize(("thread", "grade_5", "grade_8"), TM)
def test_army_dry_torque(run: Run, thread: str, grade_5: float, grade_8: float) -> None:
    assert inch(run, thread, "grade_5")["torque_75"] == pytest.approx(grade_5 * LBF_FT, rel=0.03)
    assert inch(run, thread, "grade_8")["torque_75"] == pytest.approx(grade_8 * LBF_FT, rel=0.03)


@pytest.mark.parametrize("thread", A574)
def test_a574_proof_loads(run: Run, thread: str) -> None:
    assert inch(run, thread, "A574")["proof_load"] == pytest.approx(A574[thread] * LBF, rel=0.005)


@pytest.mark.parametrize(
    ("thread", "torque"),
    [("1/4-20", 168 * LBF_IN), ("3/8-16", 51 * LBF_FT), ("1/2-13", 124 * LBF_FT), ("5/8-11", 238 * LBF_FT)],
)
def test_a574_torque(run: Run, thread: str, torque: float) -> None:
    """K 0.20, 75 % of 140 / 135 ksi (secondary, 1.5 %)."""
    assert inch(run, thread, "A574")["torque_75"] == pytest.approx(torque, rel=0.015)


def test_the_short_form_beside_the_long_one(run: Run) -> None:
    """3/4-16, friction 0.15, collar mean 1.25 d: 25 000 lbf needs 3750 lbf.in by K 0.20, 3551 by the long form.

    Shigley ch. 8 joint example (memory): 0.1 % and 0.5 %.
    """
    diameter = 0.75 * 0.0254
    got = run(
        "screw_preload", thread="3/4-16", head="hex", screw_class="A574", lubrication="dry_as_delivered", friction=0.15,
        nut_factor=0.20, face_d=1.5 * diameter, hole_d=1.0 * diameter, preload_wanted=25_000 * LBF, torque=3750 * LBF_IN,
    )["values"]  # fmt: skip
    assert got["head_mean"] == pytest.approx(1.25 * diameter)
    assert got["torque_wanted"] == pytest.approx(3551 * LBF_IN, rel=0.005)
    assert got["preload_short"] == pytest.approx(25_000 * LBF, rel=0.001)


@pytest.mark.parametrize(("thread", "grade"), [("M10", "grade_5"), ("3/8-16", "8.8"), ("M8", "A574"), ("1/2-13", "A2-70")])  # fmt: skip
def test_classes_and_threads_of_two_systems_do_not_mix(run: Run, thread: str, grade: str) -> None:
    got = run("screw_preload", thread=thread, head="hex", screw_class=grade, lubrication="oil_or_grease")
    assert (got["status"], got["refusal"]["code"]) == ("refused", "not_for_this")

"""US dry torque tables, K 0.20 and 75 % of proof.

TM 10-6640-238-13 App. G (secondary, 3 %); ASTM A574 proof stress 140 / 135 ksi (secondary, 1.5 %);
3/8-16 grade 5 preload 4940 lbf, a published single-line check (secondary, 0.2 %).
"""

import pytest
from outside_units import LBF, LBF_FT, LBF_IN
from running import Run

TM = [
    ("5/16-18", 17, 24), ("3/8-16", 31, 44), ("1/2-13", 75, 105), ("5/8-11", 150, 210), ("3/4-10", 270, 375),
]  # fmt: skip


def bolt(run: Run, thread: str, screw_class: str, head: str) -> dict[str, float]:
    values: dict[str, float] = run(
        "housing_bolt_torque", bolt=thread, head=head, screw_class=screw_class, lubrication="dry_as_delivered",
        foot="cast_iron", under_head="hardened_washer",
    )["values"]  # fmt: skip
    return values


@pytest.mark.parametrize(("thread", "grade_5", "grade_8"), TM)
def test_sae_grades_dry(run: Run, thread: str, grade_5: float, grade_8: float) -> None:
    assert bolt(run, thread, "grade_5", "hex")["proof_torque"] == pytest.approx(grade_5 * LBF_FT, rel=0.03)
    assert bolt(run, thread, "grade_8", "hex")["proof_torque"] == pytest.approx(grade_8 * LBF_FT, rel=0.03)


@pytest.mark.parametrize(("thread", "grade_5", "grade_8"), TM)
def test_the_target_is_that_torque_and_under_the_ceiling(
    run: Run, thread: str, grade_5: float, grade_8: float
) -> None:
    for grade, printed in (("grade_5", grade_5), ("grade_8", grade_8)):
        got = bolt(run, thread, grade, "hex")
        assert got["target"] <= got["ceiling"]
        assert got["high"] <= got["ceiling"]
        assert got["target"] == pytest.approx(printed * LBF_FT, rel=0.03)


@pytest.mark.parametrize(
    ("thread", "torque"),
    [("1/4-20", 168 * LBF_IN), ("3/8-16", 51 * LBF_FT), ("1/2-13", 124 * LBF_FT), ("5/8-11", 238 * LBF_FT)],
)
def test_socket_cap_screws(run: Run, thread: str, torque: float) -> None:
    assert bolt(run, thread, "A574", "socket")["proof_torque"] == pytest.approx(torque, rel=0.015)


def test_preload_three_eighths_grade_5(run: Run) -> None:
    assert bolt(run, "3/8-16", "grade_5", "hex")["preload"] == pytest.approx(4940 * LBF, rel=0.002)

"""ISO 286-1 and -2 (secondary): limits of size; and how shaft_fit uses them."""

import math

import pytest
from outside_units import CELSIUS_ZERO, IN, MM, UM, fired, window
from running import Run

LIMITS = [
    (50, "h7", 0, -25), (50, "j6", 11, -5), (50, "h9", 0, -62), (100, "h9", 0, -87), (60, "m6", 30, 11),
    (30, "h6", 0, -13), (35, "h8", 0, -39),
]  # fmt: skip


@pytest.mark.parametrize(("size", "tolerance_class", "upper", "lower"), LIMITS)
def test_limits_of_size(rows, size: float, tolerance_class: str, upper: int, lower: int) -> None:  # type: ignore[no-untyped-def]
    (row,) = [
        r for r in rows("iso286_shafts")
        if r["tolerance_class"] == tolerance_class and float(r["over_mm"]) < size <= float(r["up_to_mm"])
    ]  # fmt: skip
    assert (int(row["upper_um"]), int(row["lower_um"])) == (upper, lower)


MULTIPLES = {"IT5": 7, "IT6": 10, "IT7": 16, "IT8": 25, "IT9": 40, "IT10": 64, "IT11": 100}


def test_grades_follow_the_tolerance_factor(rows) -> None:  # type: ignore[no-untyped-def]
    """ISO 286-1, A.3.3 (secondary): i = 0.45 D^(1/3) + 0.001 D, D the geometric mean of the step; IT5 7i ... IT11 100i.

    The first step counts from 1 mm and is rounded up to a coarse series; beyond it the printed figures lie within 1 um
    or 6 % of the formula.
    """
    checked = 0
    for row in rows("iso286_grades"):
        multiple = MULTIPLES.get(row["grade"])
        if multiple is None:
            continue
        low, high = max(float(row["over_mm"]), 1.0), float(row["up_to_mm"])
        mean = math.sqrt(low * high)
        exact = multiple * (0.45 * mean ** (1 / 3) + 0.001 * mean)
        printed = float(row["tolerance_um"])
        if high == 3:
            assert exact <= printed <= 1.18 * exact, (row, exact)
        else:
            assert abs(printed - exact) <= max(1.0, 0.06 * exact), (row, exact)
        checked += 1
    assert checked == 13 * 7


#: Grade of 50 mm, 100 mm and 300 mm: ISO 286-1 Table 1 (secondary).
@pytest.mark.parametrize(("size", "it5"), [(50, 11), (100, 15), (300, 23)])
@pytest.mark.parametrize(
    ("method", "share"), [("adapter_sleeve", 0.5), ("pull_off_sleeve", 0.5), ("cam_collar", 1), ("clamp_collar", 1)]
)  # fmt: skip
def test_form_is_it5_and_half_of_it_under_a_sleeve(run: Run, size: float, it5: float, method: str, share: float) -> None:  # fmt: skip
    """Share by seat: common practice, no source. Zone of form against difference of diameters: ISO 1101 (memory)."""
    got = run("shaft_fit", shaft_d=size * MM, shaft_system="metric", locking_method=method)["values"]
    assert got["form_allowed"] == pytest.approx(share * it5 * UM, abs=1e-12)
    assert got["form_limit"] == pytest.approx(2 * share * it5 * UM, abs=1e-12)


#: Deviations of 35 mm shafts in um, ISO 286-2 (secondary): h6 -16, h7 -25, h8 -39, h9 -62; bore +21/0: ISO 9628 (secondary).
@pytest.mark.parametrize(
    ("load", "shock", "lower"),
    [("simple", False, 62), ("light", False, 39), ("normal", False, 25), ("heavy", False, 16), ("simple", True, 16)],
)  # fmt: skip
def test_worst_clearance_in_the_bore(run: Run, load: str, shock: bool, lower: float) -> None:
    """Shock takes the tightest row: where two rows apply, the tighter one (common practice, no source)."""
    got = run("shaft_fit", shaft_d=35 * MM, shaft_system="metric", locking_method="set_screw_collar", load=load, shock=shock)  # fmt: skip
    assert got["values"]["clearance_most"] == pytest.approx((21 + lower) * UM, abs=1e-12)
    assert got["values"]["clearance_least"] == pytest.approx(0, abs=1e-12)
    assert ("change_the_method" in fired(got)) is shock


@pytest.mark.parametrize(
    ("load", "lower_um"), [("simple", 62), ("light", 39), ("normal", 25), ("heavy", 16), ("unknown", 16)]
)
def test_class_by_load_on_a_50_mm_shaft(run: Run, load: str, lower_um: int) -> None:
    """Class by load: common practice, no source. Its limits at 50 mm (h9, h8, h7, h6): ISO 286-2."""
    for method in ("ring_set_screws", "set_screw_collar", "cam_collar"):
        got = run("shaft_fit", shaft_d=50 * MM, shaft_system="metric", locking_method=method, load=load)[
            "values"
        ]
        assert got["largest"] == pytest.approx(50 * MM, abs=1e-12)
        assert got["smallest"] == pytest.approx(50 * MM - lower_um * UM, abs=1e-12)


def test_high_speed_takes_the_tighter_row(run: Run) -> None:
    """Common practice, no source: two rows apply (load h9, high speed h6), the tighter rules."""
    got = run(
        "shaft_fit", shaft_d=50 * MM, shaft_system="metric", locking_method="ring_set_screws", load="simple",
        high_speed=True,
    )["values"]  # fmt: skip
    assert got["tolerance_class"] == "h6"


@pytest.mark.parametrize(("steps", "verdict"), [(0, "inside"), (-1, "stop"), (1, "inside")])
def test_exactly_on_the_lower_limit_is_inside_and_a_step_beyond_is_not(
    run: Run, steps: int, verdict: str
) -> None:
    low = (50_000_000 - 25_000 + steps) * 1e-9  # h7, in whole nanometres
    got = run(
        "shaft_fit", shaft_d=50 * MM, shaft_system="metric", locking_method="ring_set_screws", load="normal",
        sizes=[low, low], shaft_temperature=CELSIUS_ZERO + 20,
    )  # fmt: skip
    assert got["verdict"] == verdict


@pytest.mark.parametrize(("nano", "verdict"), [(0, "inside"), (1, "stop")])
def test_oversize_is_stopped(run: Run, nano: int, verdict: str) -> None:
    size = (50_000_000 + nano) * 1e-9
    got = run(
        "shaft_fit", shaft_d=50 * MM, shaft_system="metric", locking_method="clamp_collar",
        sizes=[size, size], shaft_temperature=CELSIUS_ZERO + 20,
    )  # fmt: skip
    assert got["verdict"] == verdict


def test_it5_on_the_difference_of_readings(run: Run) -> None:
    """IT5 at 50 mm is 11 um (ISO 286-1, secondary)."""
    common = {"shaft_d": 50 * MM, "shaft_system": "metric", "locking_method": "adapter_sleeve"}
    fits = run("shaft_fit", sizes=[49.980 * MM, 49.969 * MM], **common)
    out = run("shaft_fit", sizes=[49.980 * MM, 49.968999 * MM], **common)
    assert fits["values"]["form_limit"] == pytest.approx(11 * UM, abs=1e-12)
    assert window(fits, "form") == "inside"
    assert window(out, "form") == "over"


def test_a_micrometer_too_coarse_cannot_tell(run: Run) -> None:
    got = run(
        "shaft_fit", shaft_d=30 * MM, shaft_system="metric", locking_method="ring_set_screws", load="heavy",
        sizes=[29.99 * MM, 29.99 * MM], gauge_step=20 * UM,
    )  # fmt: skip
    assert got["verdict"] == "cannot_tell"  # h6 at 30 mm is 13 um wide


@pytest.mark.parametrize(
    ("inches", "thousandths"),
    [(0.5, 0.5), (1.9375, 0.5), (1.937501, 1.0), (1.9380, 1.0), (4.9375, 1.0), (4.938, 1.5)],
)
def test_inch_limits_tighter_row_at_the_boundary(run: Run, inches: float, thousandths: float) -> None:
    """Inch limits of set screws: common practice, no source; over 4-15/16: memory."""
    got = run("shaft_fit", shaft_d=inches * IN, shaft_system="inch", locking_method="ring_set_screws")[
        "values"
    ]
    assert got["largest"] - got["smallest"] == pytest.approx(thousandths * 1e-3 * IN, abs=1e-10)


def test_no_common_inch_limit_for_a_clamp_collar(run: Run) -> None:
    common = {"shaft_d": 1.9375 * IN, "shaft_system": "inch", "locking_method": "clamp_collar"}
    assert run("shaft_fit", **common)["refusal"]["code"] == "maker_value_needed"
    got = run(
        "shaft_fit", {"largest": 1.9375 * IN, "smallest": 1.9370 * IN}, sizes=[1.9373 * IN] * 2, **common
    )
    assert got["status"] == "done"
    assert window(got, "smallest_size") == "inside"


def test_a_warm_shaft_is_brought_to_20_degrees(run: Run) -> None:
    """12 parts in a million per kelvin, as 3000 mm from 20 to 90 C grows 2.52 mm (handbook example, secondary)."""
    got = run(
        "shaft_fit", shaft_d=100 * MM, shaft_system="metric", locking_method="adapter_sleeve",
        sizes=[100.02 * MM] * 2, shaft_temperature=CELSIUS_ZERO + 90,
    )["values"]  # fmt: skip
    assert 3000 * got["shaft_growth"] == pytest.approx(2.52, rel=0.01)
    assert got["measured_most"] == pytest.approx(100.02 * MM / (1 + 70 * 12e-6), rel=1e-12)
    same = run(
        "shaft_fit", shaft_d=100 * MM, shaft_system="metric", locking_method="adapter_sleeve",
        sizes=[100.02 * MM] * 2, shaft_temperature=CELSIUS_ZERO + 35, gauge_temperature=CELSIUS_ZERO + 35,
    )["values"]  # fmt: skip
    assert same["measured_most"] == pytest.approx(100.02 * MM, rel=1e-12)


def test_shock_says_first_to_change_the_method(run: Run) -> None:
    """Common practice, no source; advice comes before every other check."""
    got = run(
        "shaft_fit", shaft_d=50 * MM, shaft_system="metric", locking_method="cam_collar", load="very_heavy",
        shock=True, speed=300.0, sizes=[49.0 * MM] * 2,
    )  # fmt: skip
    assert got["checks"][0]["name"] == "change_the_method"
    concentric = run(
        "shaft_fit",
        shaft_d=50 * MM,
        shaft_system="metric",
        locking_method="adapter_sleeve",
        load="very_heavy",
        shock=True,
    )
    assert "change_the_method" not in fired(concentric)

"""Thermal expansion as printed in textbooks and handbooks, through shaft_fit, free_end and warming.

`secondary`: the problem and its answer were read in a public text that quotes the book.
"""

import math

import pytest
from outside_units import CELSIUS_ZERO, IN, KN, LBF, MM, MPA, UM
from running import Run

FT = 12 * IN
FAHRENHEIT = 5 / 9


def celsius(degrees: float) -> float:
    return CELSIUS_ZERO + degrees


def fahrenheit(degrees: float) -> float:
    return celsius((degrees - 32) * FAHRENHEIT)


def growth(run: Run, span: float, cold: float, hot: float, **more: float) -> dict[str, float]:
    """A steel shaft between supports that stay cold."""
    got = run(
        "free_end", held="one", free_kind="expansion_unit", span=span, shaft_material="steel", frame_material="steel",
        cold=cold, shaft_hot=hot, frame_hot=cold, travel=50 * MM, **more,
    )  # fmt: skip
    assert got["status"] == "done", got["refusal"]
    values: dict[str, float] = got["values"]
    return values


def test_shaft_of_three_metres(run: Run) -> None:
    """Handbook example (secondary): 3000 mm from 20 to 90 C, 12e-6: 2.5 mm, worked out 2.52 mm."""
    got = growth(run, 3.0, celsius(20), celsius(90))
    assert got["growth"] == pytest.approx(2.52 * MM, rel=0.01)
    assert got["target"] == pytest.approx(1.26 * MM, rel=0.01)


def test_main_span_of_a_bridge(run: Run) -> None:
    """OpenStax College Physics 13.2, example 13.3 (secondary): 1275 m of steel, -15 to 40 C, 12e-6: 0.84 m. Here a hundredth of it."""
    assert growth(run, 12.75, celsius(-15), celsius(40))["growth"] == pytest.approx(8.4 * MM, rel=0.005)


def test_rails_grow(run: Run) -> None:
    """Hibbeler, Mechanics of Materials, A-36 rails of 40 ft, -20 to 90 F, 6.60e-6 per F (secondary): 0.34848 in."""
    got = growth(run, 40 * FT, fahrenheit(-20), fahrenheit(90), shaft_expansion=6.6e-6 / FAHRENHEIT)
    assert got["growth"] == pytest.approx(0.34848 * IN, rel=1e-5)


def test_rails_that_touch_push(run: Run) -> None:
    """The same rails from 90 to 110 F, 5.10 in2, 29e3 ksi (memory): 19.5 kip. The sheet's own modulus is scaled to the book's."""
    got = growth(
        run, 40 * FT, fahrenheit(90), fahrenheit(110), shaft_expansion=6.6e-6 / FAHRENHEIT,
        shaft_d=math.sqrt(4 * 5.10 / math.pi) * IN,
    )  # fmt: skip
    book = 29e6 * LBF / IN**2
    assert got["force_if_held"] * book / got["modulus"] == pytest.approx(19.5e3 * LBF, rel=0.003)


def test_rail_held_and_cooled(run: Run) -> None:
    """Published problem (secondary): 20 to -6 C, 206 GPa, 12e-6: 64.3 MPa. Pull and push are alike."""
    got = growth(run, 27.0, celsius(20), celsius(-6), shaft_d=50 * MM)
    assert got["force_if_held"] / got["section"] * 206e9 / got["modulus"] == pytest.approx(
        64.3 * MPA, rel=0.002
    )


def test_push_of_a_held_shaft(run: Run) -> None:
    """Derived: 50 mm, 40 K, 210 GPa: 198 kN, whatever the length."""
    for span in (0.5, 3.0, 20.0):
        got = growth(run, span, celsius(20), celsius(60), shaft_d=50 * MM)
        assert got["force_if_held"] == pytest.approx(198 * KN, rel=0.002)


def test_two_materials_share_the_growth(run: Run) -> None:
    """EN 1993-1-1 steel 12e-6, EN 1992-1-1 concrete 10e-6, EN 1999-1-1 aluminium 23e-6 (memory): 1 m, 10 K."""
    for frame, microns in (("steel", 0), ("concrete", 20), ("aluminium", -110)):
        got = run(
            "free_end", held="one", free_kind="in_housing", span=1.0, shaft_material="steel", frame_material=frame,
            cold=celsius(20), shaft_hot=celsius(30), frame_hot=celsius(30), travel=5 * MM,
        )["values"]  # fmt: skip
        assert got["growth"] == pytest.approx(microns * UM, abs=1e-9)


def test_a_warm_rule_reads_short(run: Run) -> None:
    """Young & Freedman, University Physics, examples 17.2 and 17.3 (secondary): a steel tape of 50.000 m at 20 C is
    50.009 m at 35 C; what it reads as 35.794 m is 35.800 m. The micrometer's frame is such a tape; a thousandth here."""
    got = run(
        "shaft_fit", shaft_d=36 * MM, shaft_system="metric", locking_method="clamp_collar",
        sizes=[35.794 * MM, 35.794 * MM], gauge_temperature=celsius(35),
    )["values"]  # fmt: skip
    assert 50 * (1 + got["gauge_growth"]) == pytest.approx(50.009, abs=0.0005)
    assert got["measured_most"] == pytest.approx(35.800 * MM, abs=0.0005 * MM)


def test_sizes_are_stated_at_20_degrees(run: Run) -> None:
    """ISO 1 (secondary): 20 C, which is 68 F. Shaft and micrometer there: no correction at all."""
    got = run(
        "shaft_fit", shaft_d=50 * MM, shaft_system="metric", locking_method="clamp_collar", sizes=[49.99 * MM] * 2,
        shaft_temperature=fahrenheit(68), gauge_temperature=fahrenheit(68),
    )["values"]  # fmt: skip
    assert got["measured_most"] == pytest.approx(49.99 * MM, rel=1e-14)


def warmed(
    run: Run, bore: float, interference: float, room: float, gap: float, expansion: float
) -> dict[str, float]:
    got = run(
        "warming", bore=bore, greased=False, shaft_temperature=room, interference=interference, gap=gap, carry_loss=0.0,
        expansion=expansion,
    )  # fmt: skip
    values: dict[str, float] = got["values"]
    return values


@pytest.mark.parametrize(
    ("bore", "shaft", "gap", "room", "expansion", "answer"),
    [
        # Young & Freedman: steel ring 2.5000 in on a shaft of 2.5020 in, 12e-6 (problem secondary, answer memory)
        (2.5000 * IN, 2.5020 * IN, 0.0, 20, 12e-6, 87),
        # the same, 2.5030 in and 13e-6, as a published worked problem (secondary)
        (2.5000 * IN, 2.5030 * IN, 0.0, 20, 13e-6, 112.3),
        # Serway: aluminium ring 5.0000 cm on a rod of 5.0500 cm, 24e-6, only the ring heated (secondary)
        (50 * MM, 50.5 * MM, 0.0, 20, 24e-6, 437),
        # university help page: ring 5.988 cm, rod 6.019 cm, 0.005 cm to spare, 25e-6, from 21 C (secondary)
        (59.88 * MM, 60.19 * MM, 0.05 * MM, 21, 25e-6, 262),
    ],
)  # fmt: skip
def test_ring_over_a_shaft(
    run: Run, bore: float, shaft: float, gap: float, room: float, expansion: float, answer: float
) -> None:
    got = warmed(run, bore, shaft - bore, celsius(room), gap, expansion)
    assert got["needed"] - CELSIUS_ZERO == pytest.approx(answer, abs=0.6)


def test_bearing_of_100_mm(run: Run) -> None:
    """Derived: 0.045 mm and a gap of d/2000: 79 K, 99 C from 20 C, with 20 K for carrying 119 C, just inside 120 C.

    100k6 is +25/+3 (ISO 286-2, secondary), the bore 0/-20 (ISO 492 Normal, secondary): the 0.045 mm.
    """
    got = run("warming", bore=100 * MM, greased=False, shaft_temperature=celsius(20), fit_class="k6")
    v = got["values"]
    assert v["interference_taken"] == pytest.approx(45 * UM, abs=1e-12)
    assert v["warmer"] == pytest.approx(79, abs=0.5)
    assert v["at_seat"] - CELSIUS_ZERO == pytest.approx(99, abs=0.5)
    assert v["needed"] - CELSIUS_ZERO == pytest.approx(119, abs=0.5)
    assert v["reached"] is True
    assert got["verdict"] == "none"


def test_the_same_interference_on_60_mm_is_out_of_reach(run: Run) -> None:
    """60m6 is +30/+11 (ISO 286-2, secondary), the bore 0/-15 (ISO 492, secondary): 45 um on 60 mm cannot be reached."""
    got = run("warming", bore=60 * MM, greased=False, shaft_temperature=celsius(20), fit_class="m6")
    assert got["values"]["interference_taken"] == pytest.approx(45 * UM, abs=1e-12)
    assert got["values"]["reached"] is False
    assert got["verdict"] == "stop"

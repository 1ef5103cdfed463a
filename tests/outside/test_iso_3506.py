"""Stainless screws of ISO 3506-1: preload and torque at 90 % of Rp0.2 and breaking torque (secondary: public reprints)."""

import pytest
from outside_units import KN
from running import Run

FRICTIONS = (0.1, 0.2, 0.3)
CLASSES = ("A2-50", "A4-70", "A4-80")
TABLE = {  # thread: per friction, kN and N.m of class 50, 70, 80
    "M5": [((2.4, 5.2, 6.9), (1.6, 3.6, 4.8)), ((2.1, 4.51, 6.0), (2.6, 5.7, 7.6)), ((1.8, 3.85, 5.1), (3.3, 7.0, 9.4))],
    "M6": [((3.4, 7.3, 9.7), (2.9, 6.3, 8.4)), ((3.0, 6.4, 8.4), (4.6, 10, 13.2)), ((2.5, 5.5, 7.2), (5.7, 12.2, 16.3))],
    "M8": [((6.2, 13.4, 17.9), (7.1, 15.2, 20.3)), ((5.4, 11.6, 15.5), (11.2, 24.1, 32.1)), ((4.6, 9.9, 13.3), (13.9, 30, 40))],
    "M10": [((9.9, 21.3, 28.4), (14, 30, 39)), ((8.6, 18.5, 24.7), (22.2, 47.7, 63))],
    "M20": [((42.5, 91, 121), (115, 247, 330)), ((37.1, 79.6, 106), (187, 401, 534)), ((31.8, 68, 90), (234, 501, 669))],
    "M24": [((61.2, 131, 175), (198, 426, 568)), ((53.5, 115, 153), (322, 690, 920)), ((45.8, 98, 131), (403, 863, 1151))],
}  # fmt: skip
BREAKING = {  # least breaking torque, N.m, class 50, 70, 80
    "M3": (1.1, 1.6, 1.8), "M4": (2.7, 3.8, 4.3), "M5": (5.5, 7.8, 8.8), "M6": (9.3, 13, 15), "M8": (23, 32, 37),
    "M10": (46, 65, 74), "M12": (80, 110, 130), "M16": (210, 290, 330),
}  # fmt: skip


def stainless(run: Run, thread: str, screw_class: str, friction: float) -> dict[str, float]:
    got: dict[str, float] = run(
        "screw_preload", thread=thread, head="hex" if thread != "M3" else "socket", screw_class=screw_class,
        lubrication="zinc_dry_or_stainless_oiled", friction=friction,
    )["values"]  # fmt: skip
    return got


@pytest.mark.parametrize("thread", TABLE)
def test_preload_and_torque(run: Run, thread: str) -> None:
    """Tables print few figures: preload 1.2 %, torque 2.5 %, and half a tenth."""
    wrong = []
    for friction, (preload, torque) in zip(FRICTIONS, TABLE[thread], strict=False):
        for screw_class, force, moment in zip(CLASSES, preload, torque, strict=True):
            got = stainless(run, thread, screw_class, friction)
            if abs(got["preload_ceiling"] / KN - force) > 0.012 * force + 0.05:
                wrong.append((friction, screw_class, "kN", force, got["preload_ceiling"] / KN))
            if abs(got["ceiling"] - moment) > 0.025 * moment + 0.05:
                wrong.append((friction, screw_class, "N.m", moment, got["ceiling"]))
    assert wrong == []


@pytest.mark.parametrize("thread", BREAKING)
def test_the_ceiling_never_twists_the_shank_to_its_breaking_torque(run: Run, thread: str) -> None:
    for screw_class, breaking in zip(CLASSES, BREAKING[thread], strict=True):
        for friction in (0.08, 0.2, 0.3):
            got = stainless(run, thread, screw_class, friction)
            assert got["pitch_share"] + got["thread_share"] < breaking, (screw_class, friction)


def test_no_proof_load_means_no_us_torque(run: Run) -> None:
    got = stainless(run, "M8", "A2-70", 0.2)
    assert got["proof_load"] is None
    assert got["torque_75"] is None


@pytest.mark.parametrize(
    ("odd", "check"), [({"lubrication": "stainless_dry"}, "seizes"), ({"lubrication": "unknown"}, "state_unknown"), ({"screw_class": "unknown"}, "class_unknown")]
)  # fmt: skip
def test_what_is_not_known_is_asked_and_never_guessed(run: Run, odd: dict[str, str], check: str) -> None:
    base = {"thread": "M8", "head": "hex", "screw_class": "A2-70", "lubrication": "oil_or_grease"}
    got = run("screw_preload", **{**base, **odd})
    assert (got["status"], got["refusal"]["where"]) == ("refused", check)
    assert got["values"].get("ceiling") is None

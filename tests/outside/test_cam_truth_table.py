"""Cam collar: the whole truth table. Geometry; the rule itself is common practice, no source."""

import pytest
from outside_units import fired
from running import Run

CW, CCW = "clockwise", "counter_clockwise"
A, B = "drive_end", "far_end"
A_SIDE, B_SIDE = "drive_end_side", "far_side"

TABLE = [
    # seen from A, observer, collar, lock, release
    (CW, A, A_SIDE, CW, CCW), (CW, A, B_SIDE, CW, CCW), (CW, B, B_SIDE, CCW, CW), (CW, B, A_SIDE, CCW, CW),
    (CCW, A, A_SIDE, CCW, CW), (CCW, A, B_SIDE, CCW, CW), (CCW, B, B_SIDE, CW, CCW), (CCW, B, A_SIDE, CW, CCW),
]  # fmt: skip


@pytest.mark.parametrize("seen_from", [None, A])
@pytest.mark.parametrize(("rotation", "stands", "collar", "lock", "release"), TABLE)
def test_every_row(
    run: Run, rotation: str, stands: str, collar: str, lock: str, release: str, seen_from: str | None
) -> None:
    got = run(
        "cam_direction", rotation=rotation, rotation_seen_from=seen_from, reversing=False, stands_at=stands,
        collar_side=collar,
    )  # fmt: skip
    assert (got["values"]["turn_to_lock"], got["values"]["turn_to_release"]) == (lock, release)
    behind = (stands, collar) in {(A, B_SIDE), (B, A_SIDE)}
    assert ("reach_round" in fired(got)) is behind


@pytest.mark.parametrize(("rotation", "stands", "collar", "lock", "release"), TABLE)
def test_seen_from_the_other_end_swaps_both(
    run: Run, rotation: str, stands: str, collar: str, lock: str, release: str
) -> None:
    got = run(
        "cam_direction",
        rotation=rotation,
        rotation_seen_from=B,
        reversing=False,
        stands_at=stands,
        collar_side=collar,
    )["values"]
    assert (got["turn_to_lock"], got["turn_to_release"]) == (release, lock)


@pytest.mark.parametrize("rotation", [CW, CCW, "unknown"])
@pytest.mark.parametrize("stands", [A, B])
@pytest.mark.parametrize("collar", [A_SIDE, B_SIDE])
def test_reversing_and_unknown_are_refused(run: Run, rotation: str, stands: str, collar: str) -> None:
    turned = run("cam_direction", rotation=rotation, reversing=True, stands_at=stands, collar_side=collar)
    assert (turned["status"], turned["refusal"]["code"]) == ("refused", "not_for_this")
    unknown = run("cam_direction", rotation="unknown", reversing=False, stands_at=stands, collar_side=collar)
    assert (unknown["status"], unknown["refusal"]["code"]) == ("refused", "not_for_this")

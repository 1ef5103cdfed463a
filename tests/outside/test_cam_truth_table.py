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
    assert {turned["values"][one] for one in ("turn_to_lock", "turn_to_release")} == {None}
    assert (turned["status"], turned["refusal"]["code"]) == ("refused", "not_for_this")
    unknown = run("cam_direction", rotation="unknown", reversing=False, stands_at=stands, collar_side=collar)
    assert (unknown["status"], unknown["refusal"]["code"]) == ("refused", "not_for_this")
    assert unknown["values"]["turn_to_release"] is None


REVERSED = {CW: CCW, CCW: CW}


def in_space(turn: str, stands: str) -> str:
    """A turn seen from an end, told as seen from A: looking back along the shaft swaps it. Geometry."""
    return turn if stands == A else REVERSED[turn]


@pytest.mark.parametrize("collar_2", [A_SIDE, B_SIDE])
@pytest.mark.parametrize("stands_2", [A, B])
@pytest.mark.parametrize(("rotation", "stands", "collar", "lock", "release"), TABLE)
def test_two_collars_on_one_shaft_are_one_direction_in_space(
    run: Run, rotation: str, stands: str, collar: str, lock: str, release: str, stands_2: str, collar_2: str
) -> None:
    got = run(
        "cam_direction", rotation=rotation, reversing=False, stands_at=stands, collar_side=collar,
        second_stands_at=stands_2, second_collar_side=collar_2, driven=lock, second_driven=lock if stands == stands_2 else release,
    )  # fmt: skip
    v = got["values"]
    (second,) = [(one[3], one[4]) for one in TABLE if one[:3] == (rotation, stands_2, collar_2)]
    assert (v["second_turn_to_lock"], v["second_turn_to_release"]) == second
    assert in_space(v["turn_to_lock"], stands) == in_space(v["second_turn_to_lock"], stands_2) == rotation
    assert v["two_views"] == ("alike" if stands == stands_2 else "reversed")
    assert (v["from_drive_end"], v["from_far_end"]) == (rotation, REVERSED[rotation])
    assert not fired(got) & {"driven_backwards", "second_driven_backwards", "collars_opposed"}
    assert got["verdict"] != "stop"


@pytest.mark.parametrize("stands_2", [A, B])
@pytest.mark.parametrize(("rotation", "stands", "collar", "lock", "release"), TABLE)
def test_a_collar_driven_against_the_shaft_is_found(
    run: Run, rotation: str, stands: str, collar: str, lock: str, release: str, stands_2: str
) -> None:
    common = {"rotation": rotation, "reversing": False, "stands_at": stands, "collar_side": collar}
    right_2 = lock if stands == stands_2 else release
    first = run("cam_direction", driven=release, second_stands_at=stands_2, second_driven=right_2, **common)
    assert fired(first) >= {"driven_backwards", "collars_opposed"}
    assert first["verdict"] == "stop"
    second = run("cam_direction", driven=lock, second_stands_at=stands_2, second_driven=REVERSED[right_2], **common)
    assert fired(second) >= {"second_driven_backwards", "collars_opposed"}
    both = run("cam_direction", driven=release, second_stands_at=stands_2, second_driven=REVERSED[right_2], **common)
    assert fired(both) >= {"driven_backwards", "second_driven_backwards"}
    assert "collars_opposed" not in fired(both)  # alike, and both wrong


def test_a_second_collar_without_a_place_gets_no_turn(run: Run) -> None:
    got = run(
        "cam_direction", rotation=CW, reversing=False, stands_at=A, collar_side=A_SIDE, second_collar_side=B_SIDE
    )
    assert got["values"]["second_turn_to_lock"] is None
    assert "second_place_missing" in fired(got)

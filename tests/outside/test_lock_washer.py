"""Lock washer and next tab, sheet lock_washer.

Thread, slot and nut: ISO 2982-2 and DIN 981 (secondary). Tab counts: DIN 981 washers, from memory. Angles and travel: geometry,
derived, as printed to a tenth of a degree. What to do when a slot is past its tab: common practice, no source.
"""

from itertools import pairwise
from typing import Any

import pytest
from outside_units import DEG, MM, UM, fired, window
from running import Run


def ask(run: Run, thread: float, **more: Any) -> dict[str, Any]:
    result: dict[str, Any] = run("lock_washer", **{"thread": thread * MM, "taper": "one_in_12", **more})
    return result


@pytest.mark.parametrize(
    ("thread", "size", "pitch"),
    [(10, "0", 0.75), (12, "1", 1), (15, "2", 1), (20, "4", 1), (25, "5", 1.5), (50, "10", 1.5), (55, "11", 2), (150, "30", 2), (155, "31", 3), (200, "40", 3)],
)  # fmt: skip
def test_iso_2982_2_threads(run: Run, thread: float, size: str, pitch: float) -> None:
    """M10x0.75, M12x1 ... M200x3 (ISO 2982-2, secondary)."""
    v = ask(run, thread)["values"]
    assert v["nut_thread"] == size
    assert v["thread_usual"] == pytest.approx(thread * MM)
    assert v["pitch"] == pytest.approx(pitch * MM)


@pytest.mark.parametrize(("thread", "slot"), [(20, 4), (30, 5), (50, 6), (85, 8), (100, 10), (150, 14), (200, 18)])
def test_din_981_slot_width(run: Run, thread: float, slot: float) -> None:
    """DIN 981 (secondary)."""
    assert ask(run, thread)["values"]["slot_width"] == pytest.approx(slot * MM)


@pytest.mark.parametrize(
    ("thread", "tabs", "degrees"),
    [(10, 9, 10.0), (12, 11, 8.2), (20, 13, 6.9), (40, 15, 6.0), (60, 17, 5.3), (100, 19, 4.7)],
)
def test_step_to_the_next_tab(run: Run, thread: float, tabs: int, degrees: float) -> None:
    """360 / (4 N): 10.0 and 8.2 deg for sizes 0 and 1, then 6.9, 6.0, 5.3, 4.7 (derived; tabs from memory)."""
    v = ask(run, thread)["values"]
    assert v["tabs"] == tabs
    assert v["tab_step"] == pytest.approx(degrees * DEG, abs=0.06 * DEG)


def test_what_a_step_costs(run: Run) -> None:
    """M100x2, N = 19: 0.026 mm of travel, about 2 um of clearance on 1:12 (derived); 2.5 times less on 1:30."""
    v = ask(run, 100)["values"]
    assert v["travel"] == pytest.approx(0.0263 * MM, abs=0.0001 * MM)
    assert v["cost"] == pytest.approx(1.75 * UM, abs=0.01 * UM)
    assert v["cost"] < 2 * UM < v["cost_most"] < 2.2 * UM
    flat = ask(run, 100, taper="one_in_30")["values"]
    assert flat["cost_most"] == pytest.approx(v["cost_most"] / 2.5)


def test_slots_and_tabs_meet_as_often_as_counted(run: Run) -> None:
    """Counted one by one: of 4 slots and N tabs, the meetings in one turn are 4 N apart evenly, for every odd N."""
    for thread in (10, 12, 20, 40, 60, 100):
        v = ask(run, thread)["values"]
        n = round(v["tabs"])
        meetings = sorted({(slot * 90 * n + tab * 360) % (360 * n) for slot in range(4) for tab in range(n)})
        gaps = {b - a for a, b in pairwise(meetings)}
        assert len(gaps) == 1
        assert v["tab_step"] == pytest.approx(gaps.pop() / n * DEG)


@pytest.mark.parametrize(
    ("now", "next_", "position"), [(38, "turn_on", "inside"), (37.2, "turn_on", "inside"), (37.19, "other_washer", "under"), (35, "other_washer", "under")]
)
def test_tab_just_past_the_slot(run: Run, now: float, next_: str, position: str) -> None:
    """100 mm, 35 um have to stay, a step takes 2.193 um: spared at 37.2, not at 37.19. Never back."""
    got = ask(run, 100, state="past", clearance_now=now * UM, residual_least=35 * UM)
    assert got["values"]["next"] == next_
    assert window(got, "after") == position
    assert ("too_little" in fired(got)) is (next_ == "other_washer")
    assert "just_past" in fired(got)


def test_a_nut_turned_back_stops(run: Run) -> None:
    got = ask(run, 100, state="turned_back", clearance_now=60 * UM, residual_least=35 * UM)
    assert got["verdict"] == "stop"
    assert "never_back" in fired(got)
    assert got["values"]["next"] == "tighten_again"


def test_a_tab_in_line_costs_nothing(run: Run) -> None:
    got = ask(run, 100, state="in_line", clearance_now=35 * UM, residual_least=35 * UM)
    assert got["values"]["travel"] == 0
    assert got["values"]["next"] == "bend"
    assert got["verdict"] == "inside"


def test_a_measured_turn_costs_its_share(run: Run) -> None:
    v = ask(run, 100, turn_needed=2 * DEG)["values"]
    assert v["travel"] == pytest.approx(2 / 360 * 2 * MM)
    assert "turn_too_far" in fired(ask(run, 100, turn_needed=6 * DEG))
    assert "turn_too_far" not in fired(ask(run, 100, turn_needed=4.7 * DEG))


def test_wrong_washers(run: Run) -> None:
    assert ask(run, 100, tabs_counted=18.0)["refusal"]["where"] == "even_tabs"
    other = ask(run, 100, tabs_counted=17.0)
    assert "other_count" in fired(other)
    assert "other_count" not in fired(ask(run, 100, tabs_counted=19.0))


def test_large_nuts_have_a_clip(run: Run) -> None:
    """ISO 2982-2: no washer over 200 mm: the count is asked for, none is guessed."""
    assert ask(run, 220)["refusal"]["where"] == "no_count"
    assert ask(run, 220, tabs_counted=19.0)["values"]["pitch"] == pytest.approx(4 * MM)
    assert ask(run, 501)["status"] == "refused"


@pytest.mark.parametrize(("thread", "odd"), [(100, False), (98, True), (15, False), (175, True), (180, False)])
def test_a_thread_between_two_sizes_is_told(run: Run, thread: float, odd: bool) -> None:
    assert ("between_sizes" in fired(ask(run, thread))) is odd

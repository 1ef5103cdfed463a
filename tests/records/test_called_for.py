"""Oil and cutting stand in a removal only once somebody has pulled and said that it does not move: common practice, no source."""

from __future__ import annotations

from typing import Any

from records_kit import TinyBundle
from test_board import Job

from shaftside import content, handbook
from shaftside.records.progress import progress

ALL = handbook.build(content.folder("procedures", None)).data["procedures"]
PROCEDURE: dict[str, Any] = {"steps": [one for one in ALL["cam_collar_remove"]["steps"] if one["step"] in ("pull", "oil_seat", "pull_again", "ask_before_cutting")]}
PROCEDURE["steps"] = [{**one, "needs": []} for one in PROCEDURE["steps"]]


def test_what_is_done_to_a_stuck_ring_comes_after_the_pull_that_did_not_move_it(bundle: TinyBundle, node: Any) -> None:
    job = Job(bundle)

    def shown() -> list[str]:
        told = progress(PROCEDURE, {}, job.state)
        assert node.ask("progress", PROCEDURE, {}, job.phone.of(job.id)) == told
        return [one["id"] for one in told["steps"] if one["status"] != "does_not_apply"]

    def moved(step: str, reading: str, word: str) -> None:
        job.write("reading_taken", step=step, reading=reading, entries={}, value={"word": word}, bundle=bundle.hash)

    assert shown() == ["pull"]
    moved("pull", "moved", "stuck")
    assert shown() == ["pull", "oil_seat", "pull_again"]
    moved("pull_again", "moved_again", "stuck")
    assert shown() == ["pull", "oil_seat", "pull_again", "ask_before_cutting"]
    moved("pull_again", "moved_again", "moves")
    assert shown() == ["pull", "oil_seat", "pull_again"]
    moved("pull", "moved", "moves")
    assert shown() == ["pull"]

"""Taking locks off is the end of zero energy, by each owner in turn: 29 CFR 1910.147 (e)(3), (f)(3)(ii)(D) (secondary; from memory).

Nobody proves zero energy between one owner's lock and the next.
"""

from __future__ import annotations

from typing import Any

import pytest
from records_kit import TinyBundle
from test_board import PROCEDURE, Job

from shaftside.records.progress import progress

BEFORE = [step["step"] for step in PROCEDURE["steps"][: [step["step"] for step in PROCEDURE["steps"]].index("locks_off")]]


class Mounted(Job):
    """A job with everything done up to the step that takes the locks off."""

    def __init__(self, bundle: TinyBundle, locks: int) -> None:
        super().__init__(bundle)
        self.locks = []
        for name in BEFORE:
            if name == "lock_and_tag":
                motor = self.row("source", "list_energy", type={"word": "electric"})
                self.locks = [self.row("lock", name, [motor], lock={"text": str(at)}) for at in range(locks)]
            if name == "test_sources":
                self.row("test", name, [motor])
            if name == "prove_zero":
                self.write("zero_energy_proved", step=name, how="h", tried="t")
            else:
                self.write("step_done", step=name)

    def status(self, step: str) -> str:
        return str(next(one["status"] for one in self.told()["steps"] if one["id"] == step))

    def proofs(self) -> int:
        return len(self.state["zero_energy"]["proofs"])


@pytest.mark.parametrize("locks", [1, 2, 3])
def test_each_owner_takes_a_lock_off_and_nobody_proves_again(bundle: TinyBundle, node: Any, locks: int) -> None:
    job = Mounted(bundle, locks)
    assert job.told()["next"] == "locks_off"
    for at, lock in enumerate(job.locks):
        assert [one["row"] for one in job.lacks("locks_off")] == job.locks[at:]
        job.end(lock, "lock", step="locks_off")
        told = job.told()
        assert told["next"] == "locks_off", "the next owner's turn, not a proof that would be false"
        assert node.ask("progress", PROCEDURE, {}, job.phone.of(job.id)) == told
    assert job.status("tell_start") == "closed"
    job.write("zero_energy_lost", step="locks_off", reason="locks off")
    job.write("step_done", step="locks_off")
    assert job.status("tell_start") == "open"
    assert job.status("prove_zero") == "done"
    assert job.proofs() == 1


def test_work_taken_up_again_between_two_locks_wants_a_proof(bundle: TinyBundle, node: Any) -> None:
    job = Mounted(bundle, 2)
    job.end(job.locks[0], "lock", step="locks_off")
    job.write("step_reopened", step="guards_on", reason="a guard does not fit")
    assert job.told()["next"] == "prove_zero"
    assert job.status("guards_on") == "closed"
    assert job.status("locks_off") == "closed"
    assert node.ask("progress", PROCEDURE, {}, job.phone.of(job.id)) == job.told()


@pytest.mark.parametrize("loss", ["lock", "handover"])
def test_a_loss_that_is_not_this_step_s_still_closes_it(bundle: TinyBundle, loss: str) -> None:
    job = Mounted(bundle, 2)
    if loss == "lock":
        job.end(job.locks[0], "lock")
    else:
        job.row("handover")
    job.end(job.locks[1], "lock", step="locks_off")
    assert job.status("locks_off") == "closed"
    assert progress(PROCEDURE, {}, job.state)["next"] == "prove_zero"

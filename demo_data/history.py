"""Two years of the invented plant as a list of acts, in the order of time; pure and repeatable."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from .facts import fact_values
from .ids import rng, uuid7
from .performer import Performer
from .scenario import Device, Person, Position, Scenario, Story
from .walk import Draft, Walk

DAY = 24


@dataclass(frozen=True)
class Send:
    """A phone writes these and has signal at `at`. look: records it asks the server about first."""

    at: datetime
    device: str
    person: str
    drafts: list[Draft]
    look: tuple[str, ...] = ()


@dataclass(frozen=True)
class Settle:
    """The lead answers whatever still stands between a job and its sign-off, then signs."""

    at: datetime
    job: str
    lead: str
    accept: str


@dataclass(frozen=True)
class SendBack:
    """The lead returns a job."""

    at: datetime
    job: str
    lead: str
    reason: str


Act = Send | Settle | SendBack


@dataclass
class History:
    """Who does what when. `acts()` is the same for the same day and handbook."""

    scenario: Scenario
    bundle_hash: str
    data: dict[str, Any]
    jobs: dict[str, str] = field(default_factory=dict)

    def acts(self) -> Iterator[Act]:
        """Every act, oldest first."""
        found: list[Act] = list(self._descriptions())
        for position in self.scenario.positions.values():
            found += self._of_position(position)
        # a stable sort: what one job does at one moment stays in its order
        return iter(sorted(found, key=lambda act: act.at))

    def _descriptions(self) -> Iterator[Send]:
        planner = next(one for one in self.scenario.people.values() if one.demo == "planner")
        at = self.scenario.start
        drafts = []
        for number, one in enumerate(self.scenario.positions.values()):
            body = {"machine": one.machine, "name": one.name, "facts": one.facts, "maker": one.maker}
            moment = at + timedelta(minutes=number)
            drafts.append(Draft(one.id, "position_described", body, planner.id, moment))
        yield Send(at + timedelta(hours=2), "phone_d", planner.id, drafts)

    def _of_position(self, position: Position) -> list[Act]:
        """First mounting, then change-outs: the told ones, or one that nobody tells about."""
        dice = rng("history", position.key)
        acts = self._job(position, "mount", dice.randint(610, 725), None)
        told = sorted(
            (one for one in self.scenario.stories.values() if one.position == position.key),
            key=lambda one: -one.before,
        )
        if not told:
            for before in ([dice.randint(330, 540)] if dice.random() < 0.5 else []) + (
                [dice.randint(30, 260)] if dice.random() < 0.1 else []
            ):
                acts += self._job(position, "remove", before + 1, None)
                acts += self._job(position, "mount", before, None)
        for story in told:
            acts += self._job(position, "remove", story.before + 1, None)
            acts += self._job(position, "mount", story.before, story)
            for failure in self.scenario.failures:
                if failure.follows == story.key:
                    acts += self._failure(position, story, failure.key)
        return acts

    def _failure(self, position: Position, story: Story, key: str) -> list[Act]:
        failure = next(one for one in self.scenario.failures if one.key == key)
        planner = next(one for one in self.scenario.people.values() if one.demo == "planner")
        before = story.before - failure.after
        at = self.scenario.day(before, 5)
        record = uuid7(at, "failure", failure.key)
        self.jobs[failure.key] = record
        body = {
            "position": position.id,
            "found_on": at.date().isoformat(),
            "text": failure.text,
            "appearance": failure.appearance,
            "running_h": {"typed": str(failure.running_h), "unit": "h"},
        }
        draft = Draft(record, "failure_reported", body, planner.id, at + timedelta(minutes=20))
        acts: list[Act] = [Send(at + timedelta(minutes=30), "phone_d", planner.id, [draft])]
        acts += self._job(position, "remove", before, None, failure.found)
        if before > 1:
            acts += self._job(position, "mount", before - 1, None)
        return acts

    def _crew(self, position: Position, story: Story | None, dice: Any) -> tuple[Device, Person, Person]:
        """Whose phone, who works, who is the second person: by area, as crews are."""
        fans = position.machine["id"][:2] in ("DF", "CF", "DU", "BE", "DC")
        claimed = story is not None and "claimed" in story.flaws
        conflict = story is not None and "conflict" in story.flaws
        device = self.scenario.devices["phone_a" if fans or claimed or conflict else "phone_b"]
        workers = [one for one in device.people if one.works]
        today = story is not None and story.end in ("half_safe", "half_taper", "returned")
        worker = workers[0] if today and device.key == "phone_a" else dice.choice(workers)
        second = next(one for one in workers if one is not worker)
        return device, worker, second

    def _job(
        self,
        position: Position,
        work: str,
        before: int,
        story: Story | None,
        found: dict[str, str] | None = None,
        after: tuple[str, str, datetime] | None = None,
    ) -> list[Act]:
        """after: the job that this one follows, which later work of it, and when it begins."""
        name = f"{position.key}-{work}-{story.key if story else before}"
        dice = rng("job", name)
        device, worker, second = self._crew(position, story, dice)
        at = after[2] if after else self.scenario.day(before, 6) + timedelta(minutes=dice.randint(0, 50))
        job = uuid7(at, "job", name)
        self.jobs[story.key if story else name] = job
        flaws = set(story.flaws) if story else set()
        end = story.end if story else "signed"
        walk = Walk(
            self.scenario,
            self.bundle_hash,
            {
                "procedure": f"{position.method}_{work}",
                **self.data["procedures"][f"{position.method}_{work}"],
            },
            position,
            fact_values(self.data, position.facts),
            job,
            worker,
            second,
            Performer(
                self.data["calc"], position.facts, position.maker, position.seen, dice, flaws, worker.comma
            ),
            at,
            end if end.startswith("half_") else "",
            parent=after[0] if after else None,
            follow_up=after[1] if after else None,
            found=found or {},
        )
        drafts = list(walk.drafts())
        last = drafts[-1].at + timedelta(minutes=6)
        acts: list[Act] = []
        if story and "conflict" in story.flaws:
            acts += self._conflict(drafts, device, worker, last)
        else:
            acts.append(Send(last, device.key, worker.id, drafts))
        lead = self.scenario.people["maud"]
        if work == "mount" and end == "signed" and not (story and "no_follow_up" in story.flaws):
            acts += self._follow_up(walk, job, device, worker, last, "checked" in flaws)
        if end == "signed":
            signed = last + timedelta(days=1, hours=3, minutes=dice.randint(1, 50))
            now = self.scenario.day(0, 5)
            if signed < now:
                acts.append(Settle(signed, job, lead.id, story.accept if story and story.accept else ""))
        if end == "returned" and story:
            acts.append(SendBack(last + timedelta(days=1), job, lead.id, story.reason))
        return acts

    def _follow_up(self, walk: Walk, job: str, device: Device, worker: Person, last: datetime, checked: bool) -> list[Act]:
        """Each follow-up when its running hours are over, if that was before today. checked: the day after is a job of its own."""
        acts: list[Act] = []
        for one in walk.outstanding:
            hours = float(one["after"]["running_h"])
            at = last + timedelta(hours=hours, minutes=30)
            if at > self.scenario.day(0, 5):
                continue
            if checked and hours == DAY:
                before = (self.scenario.today - at.date()).days
                acts += self._job(walk.position, "check", before, None, after=(job, one["follow_up"], at))
                continue
            note = "Locked out again and checked as it says; nothing had moved."
            body = {"follow_up": one["follow_up"], "note": note}
            draft = Draft(job, "follow_up_done", body, worker.id, at)
            acts.append(Send(at + timedelta(minutes=5), device.key, worker.id, [draft], (job,)))
        return acts

    def _conflict(self, drafts: list[Draft], device: Device, worker: Person, last: datetime) -> list[Act]:
        """A second person takes one clearance too, on another phone that has not heard of the first."""
        taper = [
            number
            for number, one in enumerate(drafts)
            if one.kind == "reading_taken" and "clearance_now" in one.body.get("entries", {})
        ]
        if not taper:
            raise ValueError("the told conflict needs a procedure with a clearance reading")
        cut = taper[-1]
        own = drafts[cut]
        other = next(one for one in self.scenario.devices["phone_c"].people if one.id != worker.id)
        body = self._second_reading(own.body)
        middle = own.at - timedelta(seconds=30)
        return [
            Send(middle, device.key, worker.id, drafts[:cut]),
            Send(middle + timedelta(seconds=5), "phone_c", other.id, [], (own.record,)),
            Send(last, device.key, worker.id, drafts[cut:]),
            Send(
                last + timedelta(minutes=2),
                "phone_c",
                other.id,
                [Draft(own.record, "reading_taken", body, other.id, own.at + timedelta(minutes=1))],
            ),
        ]

    def _second_reading(self, body: dict[str, Any]) -> dict[str, Any]:
        """The same reading by another hand: one step of the feeler tighter, judged by the sheet."""
        performer = Performer(self.data["calc"], {}, {}, {}, rng("second"), set())
        entries = {name: dict(one) for name, one in body["entries"].items()}
        now = entries["clearance_now"]
        step = float(entries.get("feeler_step", {"typed": "0.01"})["typed"])
        now["typed"] = f"{float(now['typed']) - step:.3f}"
        performer.maker = {f"{body['sheet']}.{line}": one for line, one in body.get("maker", {}).items()}
        result = performer.evaluate(body["sheet"], entries)
        kept = {key: one for key, one in result.items() if key not in ("values", "defaults")}
        return {**body, "entries": entries, "result": kept}

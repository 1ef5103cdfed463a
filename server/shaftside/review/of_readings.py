"""What the readings of a record say: outside, near a limit, in doubt, worked out otherwise, by which instrument. Pure."""

from __future__ import annotations

from datetime import date
from typing import Any

from shaftside.review.finding import Finding, label
from shaftside.review.record import body, current, in_doubt, needs_lead, verdict_of
from shaftside.sentence import moment, tell

NEAR = 0.1
"""Of the window's width, or of the limit where there is only one: common practice, no source."""
CALIBRATION_DAYS = 365
"""How long a calibration holds, as the sheet of the torque wrench has it: common practice, no source."""


def of_readings(state: dict[str, Any], steps: dict[str, dict[str, Any]], lang: str = "en") -> list[Finding]:
    """Findings of every reading kept; those about instruments and nearness only of readings that count."""
    out = []
    for key, reading in state.get("readings", {}).items():
        step, _, name = key.partition("/")
        title = label(steps, step, name, lang)
        if in_doubt(reading):
            out.append(
                Finding(
                    "conflict",
                    title,
                    tell("Two people's readings stand; nobody chose."),
                    step,
                    name,
                    verdict="stop",
                )
            )
        now = current(reading)
        for one in reading.get("all", []):
            if one.get("refused"):
                continue
            counts = now is not None and now.get("event") == one.get("event")
            about = _One(title, step, name, one, counts)
            out += [*about.differs(), *about.outside(), *about.noted()]
            if counts:
                out += [*about.near(), *about.instrument()]
    return out


class _One:
    """One reading, and what stands out in it."""

    def __init__(self, title: str, step: str, name: str, one: dict[str, Any], counts: bool) -> None:
        self.title, self.step, self.name, self.one, self.counts = title, step, name, one, counts
        self.result: dict[str, Any] = one.get("result") or body(one).get("result") or {}

    def _found(self, kind: Any, detail: str, **more: Any) -> Finding:
        return Finding(kind, self.title, detail, self.step, self.name, self.one.get("event"), **more)

    def differs(self) -> list[Finding]:
        if not (self.one.get("differs") or self.one.get("server_verdict")):
            return []
        phone = self.one.get("verdict_on_phone")
        text = tell("The server's own working of these inputs gives another verdict than the phone recorded.")
        return [self._found("differs", text, verdict=verdict_of(self.one), phone_verdict=phone)]

    def outside(self) -> list[Finding]:
        if not needs_lead(self.one):
            return []
        accepted = self.one.get("accepted")
        answered: str | None = None
        if isinstance(accepted, dict):
            reason = str(accepted.get("reason") or "")
            answered = tell("Accepted by a lead: %(reason)s", reason=reason) if reason else tell("Accepted by a lead.")
        elif accepted:
            answered = tell("Accepted by a lead.")
        elif not self.counts:
            answered = tell("Taken again later.")
        verdict = verdict_of(self.one)
        text = tell("Not inside its window when it was recorded.")
        if verdict in ("inside", "caution", "none"):
            text = tell("A check of its sheet asks for a lead's word.")
        return [self._found("outside", text, verdict=verdict, answered=answered)]

    def noted(self) -> list[Finding]:
        out = []
        when = self.one.get("afterwards") or body(self.one).get("afterwards")
        if when:
            out.append(self._found("afterwards", tell("Written down afterwards, for %(at)s.", at=moment(when))))
        if self.one.get("claimed"):
            out.append(self._found("claimed", CLAIMED))
        return out

    def near(self) -> list[Finding]:
        """Inside, and so near a limit that the instrument's step or a little wear is as much."""
        if needs_lead(self.one) or not any(_near(one) for one in self._measured()):
            return []
        text = tell("Inside, and nearer to a limit than a tenth of the window or half a step of the instrument.")
        return [self._found("near_limit", text, verdict=verdict_of(self.one))]

    def _measured(self) -> list[dict[str, Any]]:
        return [one for one in self.result.get("windows", []) if one.get("value") is not None]

    def instrument(self) -> list[Finding]:
        """Its instrument's calibration: not recorded, older than its interval, or in doubt by the sheet's own check."""
        fired = {check.get("name") for check in self.result.get("checks", [])}
        if fired & {"calibration_old", "wrench_dropped"}:
            return [
                self._found(
                    "calibration",
                    tell("The wrench was past its calibration, or dropped since."),
                    verdict=verdict_of(self.one),
                )
            ]
        if not self._measured():
            return []
        used = body(self.one).get("instrument") or {}
        name = used.get("name") or tell("The instrument")
        try:
            age = (
                date.fromisoformat(str(self.one.get("at"))[:10])
                - date.fromisoformat(str(used.get("calibrated"))[:10])
            ).days
        except ValueError:
            return [
                self._found(
                    "calibration",
                    tell("%(instrument)s: no day of calibration is recorded.", instrument=name) if used else tell("No instrument is named."),
                )
            ]
        if age > CALIBRATION_DAYS:
            return [self._found("calibration", tell("%(instrument)s was calibrated %(days)s days before this reading.", instrument=name, days=age))]
        if age < 0:
            return [self._found("calibration", tell("%(instrument)s was calibrated %(days)s days after this reading.", instrument=name, days=-age))]
        return []


CLAIMED = tell("Sent under the name of a person who had not signed in on that phone.")


def _near(window: dict[str, Any]) -> bool:
    low, high, value = window.get("low"), window.get("high"), window["value"]
    ends = [end for end in (low, high) if end is not None]
    if not ends or window.get("position") != "inside":
        return False
    width = high - low if low is not None and high is not None else abs(ends[0])
    room = max(NEAR * width, (window.get("resolution") or 0) / 2)
    return bool(min(abs(value - end) for end in ends) <= room * (1 + 1e-9))

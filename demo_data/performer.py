"""Somebody who knows how to fill in any sheet: plausible figures round the sheet's own limits.

Limits are always asked of the sheet (`calc.evaluate`), never known here. An input no rule
below knows gets the position's fact of that name, else the first choice or nothing, so that
a new step or input of a procedure does not stop the demo.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from typing import Any

from shaftside import calc

from . import numbers
from .numbers import Scale, pick_scale

Entry = dict[str, Any]
NO_WORDS = (
    "damage",
    "leak",
    "noise",
    "rub",
    "bind",
    "crack",
    "dropped",
    "extension",
    "reversing",
    "shock",
    "scor",
    "wear",
    "loose",
    "hot",
)
PREFERRED = (
    "one",  # bearing that holds the shaft along its length
    "none",
    "clean",
    "good",
    "sound",
    "no_damage",
    "even",
    "45H",
    "click",
    "sleeve_grips",
    "drive_end",
    "no",
)
PLANES = ("plane_1", "plane_2", "plane_3")
WRENCHES = (10, 25, 60, 120, 200, 400, 800)  # N.m, highest torque of the plant's wrenches


class NotPerformable(Exception):
    """The sheet asks for something for which no entry can be made up; says which."""


@dataclass
class Performer:
    """One person at one job. kept: entries of earlier readings, by "step/reading"."""

    program: dict[str, Any]
    facts: dict[str, Entry]
    maker: dict[str, Entry]
    seen: dict[str, dict[str, Entry]]
    rng: random.Random
    flaws: set[str]
    comma: bool = False
    share: float = 1.0
    kept: dict[str, dict[str, Entry]] = field(default_factory=dict)
    _moved_told: bool = False

    @property
    def inch(self) -> bool:
        return self.facts.get("shaft_system", {}).get("word") == "inch"

    # -- a reading that a sheet judges --------------------------------------------------------

    def perform(self, step: str, reading: dict[str, Any]) -> tuple[dict[str, Entry], dict[str, Any]]:
        """Entries of the whole input set and the sheet's result."""
        sheet = str(reading["sheet"])
        inputs = self.inputs(sheet)
        asked = [str(one) for one in reading.get("ask", [])]
        entries = self.taken(reading.get("take", {}))
        for name in asked:
            if name in inputs and name not in entries and not self._judged(name, inputs):
                found = self._simple(name, inputs[name], step, reading, sheet)
                if name == "moved":
                    found = self._moved(entries) or found
                if found is not None:
                    entries[name] = found
        for name, spec in inputs.items():
            if name not in entries and not spec.get("optional") and name not in asked:
                found = (
                    self.seen.get(sheet, {}).get(name)
                    or self.facts.get(name)
                    or self._simple(name, spec, step, reading, sheet)
                )
                if found is None:
                    raise NotPerformable(f"{step}/{reading['reading']}: sheet {sheet} needs {name}")
                entries[name] = found
        limits = self.evaluate(sheet, entries)
        for name in asked:
            if name in inputs and name not in entries and self._judged(name, inputs):
                entries.update(self._measured(name, asked, entries, limits, sheet))
                limits = self.evaluate(sheet, entries)
        result = limits
        if self.comma and self.rng.random() < 0.4:
            entries = {
                name: numbers.with_comma(one) if name in asked else one for name, one in entries.items()
            }
            result = self.evaluate(sheet, entries)
        self.kept[f"{step}/{reading['reading']}"] = entries
        return entries, result

    def inputs(self, sheet: str) -> dict[str, dict[str, Any]]:
        found = self.program["sheets"][sheet]["inputs"]
        return dict(found) if isinstance(found, dict) else {str(one["name"]): one for one in found}

    def taken(self, take: dict[str, Any]) -> dict[str, Entry]:
        """What the procedure says is not asked: facts, fixed words, earlier readings."""
        entries: dict[str, Entry] = {}
        for name, source in take.items():
            if "fact" in source:
                entry = self.facts.get(source["fact"])
            elif "reading" in source:
                kept = self.kept.get(source["reading"], {})
                entry = kept.get(source.get("input", name), kept.get("value"))
            else:
                entry = dict(source)
            if entry is not None:
                entries[name] = entry
        return entries

    def evaluate(self, sheet: str, entries: dict[str, Entry]) -> dict[str, Any]:
        """The sheet's result. Raises NotPerformable when an entry is refused: a fault of the demo."""
        values, problems = calc.read_inputs(self.program, sheet, entries)
        missing_only = all(getattr(one, "code", "") == "missing_input" for one in problems)
        if problems and not missing_only:
            raise NotPerformable(f"{sheet}: {problems} in {entries}")
        return calc.evaluate(self.program, sheet, values, self.makers(sheet))

    def makers(self, sheet: str) -> dict[str, Any]:
        """The maker's values for one sheet's lines, in SI."""
        return {
            line.partition(".")[2]: self.si(entry)
            for line, entry in self.maker.items()
            if line.partition(".")[0] == sheet
        }

    def factor(self, unit: str) -> float:
        return float(self.program["units"][unit]["factor"])

    def si(self, entry: Entry) -> float:
        """SI value of a plain decimal entry whose unit has no offset."""
        return float(str(entry["typed"]).replace(",", ".")) * self.factor(entry["unit"])

    # -- what is told, not measured -----------------------------------------------------------

    def _judged(self, name: str, inputs: dict[str, Any]) -> bool:
        measured = (
            "set_to",
            *PLANES,
            "set_back",
            "foot_lift",
            "clearance_before",
            "clearance_now",
            "travel_now",
            "angle_now",
            "turned",
        )
        steps = {spec.get("resolution") for spec in inputs.values()}
        return name in measured or name in steps

    def _simple(
        self, name: str, spec: dict[str, Any], step: str, reading: dict[str, Any], sheet: str
    ) -> Entry | None:
        kind = spec.get("kind")
        if name in self.seen.get(sheet, {}):
            return self.seen[sheet][name]
        if name in self.facts and kind in ("word", "yesno"):
            return self.facts[name]
        if kind == "yesno":
            return {"yes": not any(part in name for part in NO_WORDS)}
        if kind == "word":
            return self._word(name, self.choices(spec), step, reading)
        if name in self.facts:
            return self.facts[name]
        if name in ("torque_wanted", "wrench_most"):
            return self._wrench_for(name)
        return self._told_number(name, spec)

    def _wrench_for(self, name: str) -> Entry:
        """The torque this lock wants, by its sheet, and a wrench of the plant that suits it."""
        wanted = self.lock_torque()
        if name == "wrench_most":
            suits = [most for most in WRENCHES if wanted <= 0.8 * most]
            return {"typed": str(suits[0] if suits else WRENCHES[-1]), "unit": "N.m"}
        unit, steps = self._wrench(wanted)
        scale = Scale(unit, self.factor(unit), steps[-1])
        return scale.entry(scale.snap(wanted, 0, wanted * 2))

    def lock_torque(self) -> float:
        """Target of the lock's own screws in N.m; of the base bolts where the lock has none."""
        method = self.facts["locking_method"]["word"]
        sheet = {
            "ring_set_screws": "set_screw_torque",
            "set_screw_collar": "set_screw_torque",
            "cam_collar": "cam_collar_screw",
        }.get(method)
        if sheet is None:
            line = "clamp_collar_torque" if method == "clamp_collar" else "housing_bolt_torque"
            return self.si(self.maker[f"{line}.target"])
        entries = {"screw": self.facts["screw"]}
        if sheet == "set_screw_torque":
            entries["place"] = {"word": "ring" if method == "ring_set_screws" else "collar"}
        return float(self.evaluate(sheet, entries)["values"]["target"])

    def _moved(self, entries: dict[str, Entry]) -> Entry | None:
        """For the story of the screw that moved: the first one tried at full torque."""
        early = entries.get("stage", {}).get("word", "full") != "full"
        if early or self._moved_told or "screw_moved" not in self.flaws:
            return None
        self._moved_told = True
        return {"word": "over_10_deg"}

    def choices(self, spec: dict[str, Any]) -> list[str]:
        """The words an input allows."""
        found = spec.get("choices") or []
        if isinstance(found, dict):
            rows = self.program["tables"][found["table"]].get("words", {}).get(found["column"], [])
            return [str(one) for one in rows]
        return [str(one["word"]) if isinstance(one, dict) else str(one) for one in found]

    def _word(self, name: str, words: list[str], step: str, reading: dict[str, Any]) -> Entry:
        if name == "maker_gives":
            for line, word in (("angle_least", "angle"), ("torque", "torque")):
                if f"insert_sleeve_seating.{line}" in self.maker:
                    return {"word": word}
            return {"word": "nothing"}
        if name == "stage":
            where = f"{step} {reading['reading']}"
            for word in words:
                if word in where:
                    return {"word": word}
            return {"word": "full"}
        if name in self.facts and self.facts[name].get("word") in words:
            return self.facts[name]
        for word in PREFERRED:
            if word in words:
                return {"word": word}
        return {"word": words[0]} if words else {"word": "none"}

    def _told_number(self, name: str, spec: dict[str, Any]) -> Entry | None:
        told: dict[str, Entry] = {
            "shaft_temperature": {"typed": "21", "unit": "degC"},
            "gauge_temperature": {"typed": "21", "unit": "degC"},
            "calibrated_days_ago": {"typed": "431" if "wrench_old" in self.flaws else "84", "unit": "day"},
            "span": {"typed": "1800", "unit": "mm"},
            "cold": {"typed": "20", "unit": "degC"},
            "shaft_hot": {"typed": "60", "unit": "degC"},
            "frame_hot": {"typed": "30", "unit": "degC"},
            "travel": {"typed": "6", "unit": "mm"},
            "lift_1": {"typed": "0.02", "unit": "mm"},
            "lift_2": {"typed": "0.01", "unit": "mm"},
            "lift_3": {"typed": "0.02", "unit": "mm"},
            "lift_4": {"typed": "0.01", "unit": "mm"},
            "height_error": {"typed": "0.5", "unit": "mm"},
            "side_error": {"typed": "0.5", "unit": "mm"},
            "minutes": {"typed": "120", "unit": "min"},
            "ambient": {"typed": "21", "unit": "degC"},
            "end_a": {"typed": "43", "unit": "degC"},
            "power": {"typed": "22", "unit": "kW"},
            "speed": {"typed": "980", "unit": "r/min"},
            "velocity": {"typed": "1.3", "unit": "mm/s"},
            "temperature": {"typed": "46", "unit": "degC"},
            "gap_a": {"typed": "2.4", "unit": "mm"},
            "gap_b": {"typed": "2.5", "unit": "mm"},
        }
        if name in ("bore", "outside_d", "outer", "width", "bearing_mass"):
            return self._size(name)
        if name in told:
            return told[name]
        if spec.get("optional"):
            return None
        return {"typed": "20", "unit": str(spec.get("unit", "1"))}

    def _size(self, name: str) -> Entry:
        """Main sizes of a bearing of a middle series, from its bore."""
        bore = self.facts.get("bore") or self.facts["shaft_d"]
        if name == "bore":
            return bore
        d = self.si(bore) * 1000
        if name == "bearing_mass":
            return {"typed": f"{max(0.1, 5.5e-6 * d**3):.2f}", "unit": "kg"}
        return {"typed": f"{d * (0.45 if name == 'width' else 1.85):.0f}", "unit": "mm"}

    # -- what is measured ---------------------------------------------------------------------

    def _measured(
        self, name: str, asked: list[str], entries: dict[str, Entry], limits: dict[str, Any], sheet: str
    ) -> dict[str, Entry]:
        """An entry near the middle of its window (or where the story wants it) and the gauge's step."""
        window = {one["name"]: one for one in limits.get("windows", [])}
        if name == "set_to":
            low, high = _limits(window.get("torque"), limits, "low", "high")
            if low is None or high is None:
                return {}
            choice = self._wrench(high)
            scale = pick_scale(choice, self.factor(choice[0]), (high - low) / 2)
            target = low + (high - low) * self.rng.uniform(0.4, 0.65)
            return self._with_step(name, "set_to_step", asked, scale, scale.snap(target, low, high))
        if name in PLANES:
            return self._sizes(asked, window, limits)
        if name == "foot_lift":
            high = _limits(window.get("soft_foot"), limits, "", "lift_limit")[1] or 5e-5
            scale = Scale("mm", self.factor("mm"), "0.01")
            return self._with_step(
                name, "lift_step", asked, scale, scale.snap(high * self.rng.uniform(0.1, 0.7), 0, high)
            )
        if name == "set_back":
            low, high = _limits(window.get("place"), limits, "set_least", "set_most")
            if low is None or high is None:
                return {}
            scale = Scale("mm", self.factor("mm"), "0.5")
            return self._with_step(
                name, "set_back_step", asked, scale, scale.snap((low + high) / 2, low, high)
            )
        if name == "turned":
            low, high = _limits(window.get("angle"), limits, "angle_least", "angle_most")
            if low is None or high is None:
                return {}
            scale = pick_scale(numbers.ANGLE, self.factor("deg"), high - low)
            return self._with_step(
                name, "turned_step", asked, scale, scale.snap((low + high) / 2 * self.share, 0, high)
            )
        if name in ("clearance_before", "clearance_now", "travel_now", "angle_now"):
            return self._taper(name, asked, entries, window, limits)
        return {}

    def _with_step(
        self, name: str, step: str, asked: list[str], scale: Scale, typed: str
    ) -> dict[str, Entry]:
        made = {name: scale.entry(typed)}
        if step in asked:
            made[step] = scale.entry(scale.step)
        return made

    def _wrench(self, high: float) -> tuple[str, list[str]]:
        if not self.inch:
            return numbers.TORQUE_SI[0]
        return numbers.TORQUE_SMALL_INCH[0] if high < 40 else numbers.TORQUE_INCH[0]

    def _sizes(self, asked: list[str], window: dict[str, Any], limits: dict[str, Any]) -> dict[str, Entry]:
        low, high = _limits(window.get("smallest_size"), limits, "smallest", "largest")
        if low is None or high is None:
            return {}
        form = _limits(window.get("form"), limits, "", "form_limit")[1] or (high - low) / 4
        unit, steps = numbers.MICROMETER_INCH if self.inch else numbers.MICROMETER
        scale = pick_scale((unit, steps), self.factor(unit), min(high - low, form))
        middle = low + (high - low) * self.rng.uniform(0.45, 0.7)
        spread = min(0.3 * form, 0.2 * (high - low))
        if "undersize" in self.flaws:
            middle = low - self.rng.uniform(14e-6, 26e-6)
            low, high = low - 1e-3, high
        typed = [scale.snap(middle + self.rng.uniform(-spread, spread), low, high) for _ in range(6)]
        return {
            **{plane: scale.entry(typed[2 * at : 2 * at + 2]) for at, plane in enumerate(PLANES)},
            **({"gauge_step": scale.entry(scale.step)} if "gauge_step" in asked else {}),
        }

    def _taper(
        self,
        name: str,
        asked: list[str],
        entries: dict[str, Entry],
        window: dict[str, Any],
        limits: dict[str, Any],
    ) -> dict[str, Entry]:
        reduction = _limits(window.get("reduction"), limits, "reduction_least", "reduction_most")
        feeler = numbers.FEELER_INCH if self.inch else numbers.FEELER
        width = (reduction[1] or 1e-5) - (reduction[0] or 0)
        scale = pick_scale(feeler, self.factor(feeler[0]), max(width, 4e-6))
        if name == "clearance_before":
            low, high = _limits(window.get("before"), limits, "class_least", "class_most")
            if low is None or high is None:
                return {}
            at = 0.2 if "near_limit" in self.flaws else self.rng.uniform(0.55, 0.85)
            return self._with_step(
                name, "feeler_step", asked, scale, scale.snap(low + at * (high - low), low, high)
            )
        if name == "clearance_now":
            if "clearance_before" not in entries or reduction[0] is None or reduction[1] is None:
                return {}
            before = self.si(entries["clearance_before"])
            reach = (
                reduction[1] if "near_limit" in self.flaws else (reduction[0] + reduction[1]) / 2
            ) * self.share
            low, high = before - reduction[1], before - reduction[0]
            if self.share < 1:
                low, high = 0.0, before
            return self._with_step(name, "feeler_step", asked, scale, scale.snap(before - reach, low, high))
        gauge, steps, lines = (
            (numbers.DIAL, "travel_step", ("travel", "travel_least", "travel_most"))
            if name == "travel_now"
            else (numbers.ANGLE, "", ("angle", "angle_least", "angle_most"))
        )
        low, high = _limits(window.get(lines[0]), limits, lines[1], lines[2])
        if low is None or high is None:
            return {}
        scale = pick_scale(gauge, self.factor(gauge[0]), high - low)
        return self._with_step(name, steps, asked, scale, scale.snap((low + high) / 2 * self.share, 0, high))


def _limits(
    window: dict[str, Any] | None, result: dict[str, Any], low: str, high: str
) -> tuple[float | None, float | None]:
    """A window's limits in SI; where it carries none (nothing to judge yet), the lines of those names."""
    values = result.get("values", {})
    window = window or {}
    found = window.get("low"), window.get("high")
    return (
        values.get(low) if found[0] is None else found[0],
        values.get(high) if found[1] is None else found[1],
    )

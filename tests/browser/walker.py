"""A fitter at the phone: goes through any procedure of the handbook by what the screen asks, with the job's own bundle at hand."""

from __future__ import annotations

import json
from typing import Any

from fitter import Answer, Fitter
from phone_kit import PIN, PhoneApp
from playwright.sync_api import Error as PlaywrightError
from playwright.sync_api import expect
from screens import keep
from story_kit import HERE, end_row, fill_proof, fill_row, only_proof, take_photo

FIELDS = """() => [...document.querySelectorAll('main .reading .field')].filter((one) => one.offsetParent && !one.closest('details')).map((one) => {
    const all = [...one.querySelectorAll('input, select, textarea')];
    const [first] = all;
    const radio = first.type === 'radio';
    return {id: radio ? first.name : first.id.replace(one.tagName === 'FIELDSET' ? /-[0-9]+$/ : '', ''), inputs: all.map((each) => each.id),
        kind: radio ? 'radio' : first.tagName === 'SELECT' ? 'select' : first.hasAttribute('data-pad') ? 'number' : 'text',
        unit: one.querySelector('.number button')?.innerText ?? '', optional: one.innerText.includes('(optional)')};
})"""
BUNDLE = """(hash) => new Promise((resolve, reject) => {
    const opening = indexedDB.open('shaftside');
    opening.onsuccess = () => {
        const asked = opening.result.transaction('bundles').objectStore('bundles').get(hash);
        asked.onsuccess = () => { opening.result.close(); resolve(asked.result); };
        asked.onerror = () => reject(asked.error);
    };
})"""
MOST_TAPS = 400
PLAIN = {"N.m": "45", "mm": "0.2", "h": "8", "degC": "35"}
"""What a fitter would read where no sheet judges it, by unit: cap bolts of M12, a gap of two tenths."""


class Walker:
    """Walks the job on the screen. Keeps what it has recorded, so that later sheets are answered to fit earlier readings."""

    def __init__(self, phone: PhoneApp, book: dict[str, Any], facts: dict[str, Any], procedure: str) -> None:
        self.phone, self.page = phone, phone.page
        self.program = book["calc"]
        self.facts, self.procedure = facts, procedure
        self.steps = {one["step"]: one for one in book["procedures"][procedure]["steps"]}
        self.units = {made["shown"]: code for code, made in self.program["units"].items()}
        self.fitter = Fitter(self.program)
        self.recorded: dict[str, dict[str, Any]] = {}
        self.maker: dict[str, dict[str, Any]] = {}  # by sheet: what was entered from the maker's paper holds for the whole record
        self.walked: list[str] = []

    def walk(self) -> None:
        """Up to the completed job."""
        for _ in range(MOST_TAPS):
            self.page.wait_for_selector("main")
            if self.page.locator("text=Completed, waiting for sign-off").count():
                return
            if not self.one():
                raise AssertionError(f"nothing to tap: {self.page.url}\n{self.page.inner_text('main')[:800]}")
        raise AssertionError(f"not done after {MOST_TAPS} taps: {self.page.url}")

    def one(self) -> bool:
        """One thing that the screen asks for; False where it asks for nothing."""
        if self.page.locator(".pad .finish").count():
            self.page.click(".pad .finish")
            return True
        look = self.page.locator("main button.second:has-text('and I have checked it')")
        if look.count():
            self.second()
            return True
        self.phone.read_on()
        primary = self.page.locator(".foot .primary")
        if not primary.count():
            off = self.page.locator(".card.board .words .word:has-text('Take this')")
            if not off.count():
                return False
            self.phone.press(".card.board .words .word:has-text('Take this')")
            return True
        self.answer(primary.first.inner_text())
        if primary.first.inner_text() == "Take the photo":
            # the photo is the step: there is nothing else to tap at the thumb until it is there
            assert self.page.locator(".foot button").all_inner_texts() == ["Take the photo"]
            take_photo(self.phone)
            expect(self.page.locator(".foot button")).to_have_text(["Done, next step"])
            return True
        # a step that several procedures share looks the same in each: one picture
        step = self.walked[-1] if "/step/" in self.page.url else ""
        keep(self.page, f"{step} {self.steps[step]['do']['en']}" if step else self.procedure)
        self.phone.press()
        wrong = self.page.locator(".field .wrong").all_inner_texts()
        assert not [one for one in wrong if one.strip()], (self.page.url, wrong)
        return True

    def answer(self, label: str) -> None:
        """Fill in what stands between the screen and its button."""
        step = self.page.url.rsplit("/", 1)[-1] if "/step/" in self.page.url else ""
        if step and step not in self.walked:
            self.walked.append(step)
        if label.startswith("Record the proof"):
            only_proof(self.phone)
            fill_proof(self.phone)
        elif label == "Record this row":
            fill_row(self.phone)
        elif label == "Record it as off":
            end_row(self.phone)
        elif label.startswith("Record"):
            self.readings(step)
            if self.page.locator(".foot .primary").first.inner_text() == "Record this row":
                fill_row(self.phone)  # what is there wants its row first
        assert label != "Measure again", f"a reading at {step} is not one that a fitter would leave: {self.page.inner_text('main')}"

    def second(self) -> None:
        """Another person looks, and says so on this phone with their own PIN."""
        button = "main button:has-text('and I have checked it')"
        self.phone.settle()
        self.page.locator(button).first.click()
        self.page.wait_for_selector("#pin, :text('Checked by')")
        if self.page.locator("#pin").count():
            self.page.fill("#pin", PIN)
            self.phone.tap(f"form {button.removeprefix('main ')}")
        self.page.wait_for_selector("text=Checked by")

    def readings(self, step: str) -> None:
        """Every reading that the step must have."""
        fields = self.page.evaluate(FIELDS)
        for reading in self.steps[step]["readings"]:
            if not reading["required"]:
                continue  # taken only where an instrument is at hand
            mine = [one for one in fields if one["id"].startswith(f"f-{reading['reading']}-")]
            if not mine:
                continue
            entries = self.sheet(step, reading, mine) if reading.get("sheet") else {}
            for one in sorted(mine, key=lambda each: each["kind"] == "number"):  # the pad rises over choices
                name = one["id"].removeprefix(f"f-{reading['reading']}-")
                if name in entries:
                    self.put(one, entries[name], self._spec(reading, name))
                elif not one["optional"]:
                    self.put(one, self.plain(one, reading), reading)
            if self.page.locator(".pad .finish").count():
                self.page.click(".pad .finish")

    def _spec(self, reading: dict[str, Any], name: str) -> dict[str, Any]:
        found: dict[str, Any] = next(one for one in self.program["sheets"][reading["sheet"]]["inputs"] if one["name"] == name)
        return found

    def sheet(self, step: str, reading: dict[str, Any], mine: list[dict[str, Any]]) -> dict[str, Any]:
        """Entries for a sheet's fields; a maker's value goes into its own form."""
        cut = len(f"f-{reading['reading']}-")
        unit = {one["id"][cut:]: self.units[one["unit"]] if one["kind"] == "number" else "" for one in mine}
        optional = {one["id"][cut:] for one in mine if one["optional"]}
        given = self.taken(reading)
        held = {line: value for path, value in self.facts.get("maker", {}).items() for of, line in [path.split(".")] if of == reading["sheet"]}
        assert not held, "the walker describes a bearing without maker's values"
        found: Answer = self.fitter.answer(
            reading["sheet"], given, {name: one for name, one in unit.items() if name not in optional}, {name: one for name, one in unit.items() if name in optional},
            self.maker.get(reading["sheet"]),
        )
        self.maker[reading["sheet"]] = self.maker.get(reading["sheet"], {}) | found.maker
        self.recorded[f"{step}/{reading['reading']}"] = found.entries
        for line, value in found.maker.items():
            self.makers(reading, line, value)
        return found.entries

    def taken(self, reading: dict[str, Any]) -> dict[str, Any]:
        """What the procedure takes from facts, words and earlier readings, as far as it is there."""
        entries: dict[str, Any] = {}
        for name, source in reading.get("take", {}).items():
            if "fact" in source:
                entry = self.facts.get(source["fact"])
            elif "reading" in source:
                place = self.recorded.get(source["reading"], {})
                entry = place.get(source.get("input", ""), place.get("value"))
            else:
                entry = source
            if entry is not None:
                entries[name] = entry
        return entries

    def makers(self, reading: dict[str, Any], line: str, value: dict[str, Any]) -> None:
        """A figure of the maker's for this record, with its document."""
        field = f"#maker-{reading['reading']}-{line}"
        if not self.page.locator(field).is_visible():
            self.page.locator(f"details:has({field}) > summary").click()
        self.page.fill(field, value["typed"])
        self.page.fill(f"{field}-doc", value["document"])

    def plain(self, one: dict[str, Any], reading: dict[str, Any]) -> dict[str, Any]:
        """A reading without a sheet: the first word, a plain number, a sentence."""
        if one["kind"] in ("radio", "select"):
            choices = reading.get("choices") or []
            word = choices[0]["word"] if choices else ""
            if "row" in reading and reading["reading"] not in HERE:
                word = "none_looked"
            entry: dict[str, Any] = {"word": word} if choices else {"yes": True}
        elif one["kind"] == "number":
            least, unit = reading.get("least"), self.units[one["unit"]]
            entry = {"typed": PLAIN.get(unit, "1") if least is None else f"{least:g}", "unit": unit}
        else:
            entry = {"text": "Seen at the machine and noted."}
        step = self.page.url.rsplit("/", 1)[-1]
        self.recorded[f"{step}/{reading['reading']}"] = {"value": entry}
        return entry

    def put(self, one: dict[str, Any], entry: dict[str, Any], spec: dict[str, Any]) -> None:
        """Type or choose an entry in its field."""
        if one["kind"] == "radio":
            words = [choice["word"] for choice in spec.get("choices") or []]
            at = ("yes" if entry["yes"] else "no") if "yes" in entry else words.index(entry["word"])
            self.page.check(f"#{one['id']}-{at}")
        elif one["kind"] == "select":
            self.page.select_option(f"#{one['id']}", entry["word"])
        elif one["kind"] == "text":
            self.page.fill(f"#{one['id']}", entry["text"])
        elif isinstance(entry["typed"], list):
            for at, text in enumerate(entry["typed"]):
                self.page.fill(f"#{one['id']}-{at}", text)
        else:
            self.page.fill(f"#{one['id']}", entry["typed"])


def bundle_of(phone: PhoneApp, job: str) -> tuple[dict[str, Any], dict[str, Any]]:
    """The handbook that a job began with, as this phone keeps it, and the job's first event's body."""
    started = next(event["body"] for event in phone.events() if event["record"] == job and event["kind"] == "job_started")
    kept = phone.page.evaluate(BUNDLE, started["bundle"])
    if not kept:
        raise PlaywrightError(f"no bundle {started['bundle']} on the phone")
    book: dict[str, Any] = json.loads(kept["text"])
    return book, started

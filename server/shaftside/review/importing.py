"""Machines and positions from a CSV file: read every row, say what is wrong, say what would change. Pure.

Columns: `machine` (its number or tag), `machine_name`, `area`, `position`, then any fact of the
handbook by its name, e.g. `locking_method`, `shaft_d`. A number carries its unit in the cell
(`50 mm`, `1-15/16 in`) or the column does (`shaft_d [mm]`). Comma, semicolon or tab.
"""

from __future__ import annotations

import csv
import io
import re
import unicodedata
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from shaftside.sentence import joined, tell

Entry = dict[str, Any]
ReadNumber = Callable[[str, dict[str, Any]], tuple[Entry | None, str | None]]
Against = Callable[[dict[str, Entry]], list[str]]
Change = Literal["new", "changed", "same", "wrong"]

MOST_BYTES = 2_000_000
MOST_ROWS = 5_000
NEEDED = ("machine", "position")
PLAIN = ("machine", "machine_name", "area", "position")
YES = {"yes": True, "y": True, "true": True, "sí": True, "si": True, "no": False, "n": False, "false": False}


@dataclass(frozen=True)
class Known:
    """A position already held: its id and what describes it."""

    id: str
    machine: dict[str, str]
    name: str
    facts: dict[str, Entry]


@dataclass(frozen=True)
class ImportRow:
    """One line of the file. body: the position_described to record; None where problems stand.

    line counts the header as 1. changes: (what, before, after) in words.
    """

    line: int
    change: Change
    machine: str
    position: str
    problems: list[str]
    changes: list[tuple[str, str, str]]
    body: dict[str, Any] | None
    known: str | None = None


@dataclass(frozen=True)
class ImportPlan:
    """What a file would do. problems: of the file as a whole; with any, nothing can be applied."""

    rows: list[ImportRow] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)
    columns: list[str] = field(default_factory=list)

    def count(self, change: Change) -> int:
        """How many rows would do this."""
        return sum(row.change == change for row in self.rows)

    @property
    def ready(self) -> bool:
        """Whether there is something to apply and nothing wrong."""
        return not self.problems and not self.count("wrong") and bool(self.count("new") + self.count("changed"))


def plan_import(
    raw: bytes,
    facts: Sequence[dict[str, Any]],
    known: Sequence[Known],
    read_number: ReadNumber,
    choices: Callable[[dict[str, Any]], list[tuple[str, str]]],
    against: Against = lambda _: [],
) -> ImportPlan:
    """Read a file against the handbook's facts and the positions held.

    read_number(text with unit, fact) -> (entry, None) or (None, sentence).
    choices(fact) -> (word, label) of a fact of kind word. against(facts) -> what cannot be so of a position's
    facts together, in sentences. Nothing is written here.
    """
    text, trouble = _decode(raw)
    if trouble:
        return ImportPlan(problems=[trouble])
    by_name = {str(fact["name"]): fact for fact in facts}
    try:
        table = list(csv.reader(io.StringIO(text), delimiter=_delimiter(text), strict=True))
    except csv.Error as found:
        return ImportPlan(problems=[tell("The file cannot be read as CSV: %(found)s. Look for a quote that is not closed.", found=found)])
    if not table:
        return ImportPlan(problems=[tell("The file is empty. Its first line must name the columns.")])
    columns, problems = _columns(table[0], by_name)
    if problems:
        return ImportPlan(problems=problems, columns=[name for name, _ in columns])
    lines = [(n, row) for n, row in enumerate(table[1:], start=2) if any(cell.strip() for cell in row)]
    if not lines:
        return ImportPlan(problems=[tell("There is no row below the column names.")], columns=[n for n, _ in columns])
    if len(lines) > MOST_ROWS:
        return ImportPlan(problems=[tell("%(rows)s rows; at most %(most)s at a time. Split the file.", rows=len(lines), most=MOST_ROWS)])
    held = {_key(one.machine.get("id", ""), one.name): one for one in known}
    seen: dict[tuple[str, str], int] = {}
    rows = [_row(n, cells, columns, by_name, held, seen, read_number, choices, against) for n, cells in lines]
    return ImportPlan(rows, [], [name for name, _ in columns])


def _decode(raw: bytes) -> tuple[str, str | None]:
    if len(raw) > MOST_BYTES:
        return "", tell("The file is over %(most)s MB. Split it.", most=MOST_BYTES // 1_000_000)
    if b"\x00" in raw and not raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "", tell("This is not a text file. Save the sheet as CSV, not as a workbook.")
    coding = "utf-16" if raw.startswith((b"\xff\xfe", b"\xfe\xff")) else "utf-8-sig"
    try:
        return unicodedata.normalize("NFC", raw.decode(coding)), None
    except UnicodeDecodeError:
        return "", tell("The file is not in UTF-8. Save it as “CSV UTF-8”.")


def _delimiter(text: str) -> str:
    first = text.lstrip("\r\n").split("\n", 1)[0]
    return max(",;\t", key=lambda mark: (first.count(mark), mark == ","))


def _columns(header: list[str], facts: dict[str, Any]) -> tuple[list[tuple[str, str]], list[str]]:
    """(name, unit of the column or "") for each column, and what is wrong with them."""
    out: list[tuple[str, str]] = []
    problems = []
    for cell in header:
        match = re.fullmatch(r"\s*(.*?)\s*(?:[\[(]\s*(.*?)\s*[\])])?\s*", cell)
        name = re.sub(r"[\s-]+", "_", (match.group(1) if match else cell).strip().lower())
        out.append((name, (match.group(2) or "") if match else ""))
    names = [name for name, _ in out]
    known = [*PLAIN, *facts]
    for name in NEEDED:
        if name not in names:
            problems.append(tell("There is no column “%(name)s”. The first line must name the columns.", name=name))
    for name in names:
        if name and name not in known:
            problems.append(tell("Column “%(name)s” is not known. Known: %(known)s.", name=name, known=", ".join(known)))
        twice = tell("Column “%(name)s” is there twice.", name=name)
        if name and names.count(name) > 1 and twice not in problems:
            problems.append(twice)
    return out, problems


def _key(machine: str, position: str) -> tuple[str, str]:
    return machine.strip().casefold(), position.strip().casefold()


def _row(
    line: int,
    cells: list[str],
    columns: list[tuple[str, str]],
    facts: dict[str, dict[str, Any]],
    held: dict[tuple[str, str], Known],
    seen: dict[tuple[str, str], int],
    read_number: ReadNumber,
    choices: Callable[[dict[str, Any]], list[tuple[str, str]]],
    against: Against,
) -> ImportRow:
    problems: list[str] = []
    plain: dict[str, str] = {}
    given: dict[str, Entry] = {}
    extra = [cell for cell in cells[len(columns) :] if cell.strip()]
    if extra:
        problems.append(tell("%(cells)s cells for %(columns)s columns. Put quotes around a cell that holds the separator.", cells=len(cells), columns=len(columns)))
    for (name, unit), cell in zip(columns, cells, strict=False):
        cell = cell.strip()
        if not name or not cell:
            continue
        if name in PLAIN:
            plain[name] = cell
            if len(cell) > 120:
                problems.append(tell("%(name)s: over 120 characters.", name=name))
            continue
        entry, problem = _entry(cell, unit, facts[name], read_number, choices)
        if problem:
            problems.append(joined(name, ": ", problem))
        elif entry is not None:
            given[name] = entry
    for name in NEEDED:
        if not plain.get(name):
            problems.append(tell("%(name)s is empty.", name=name))
    machine, position = plain.get("machine", ""), plain.get("position", "")
    key = _key(machine, position)
    if machine and position:
        if key in seen:
            problems.append(tell("The same machine and position as line %(line)s.", line=seen[key]))
        seen.setdefault(key, line)
    before = held.get(key)
    problems += against({**(before.facts if before else {}), **given}) if not problems else []
    if problems:
        return ImportRow(line, "wrong", machine, position, problems, [], None, before.id if before else None)
    return _compare(line, plain, given, before)


def _compare(line: int, plain: dict[str, str], given: dict[str, Entry], before: Known | None) -> ImportRow:
    was = before.machine if before else {}
    machine = {
        "id": plain["machine"] if before is None else str(was.get("id", plain["machine"])),
        "name": plain.get("machine_name") or str(was.get("name") or plain["machine"]),
        "area": plain.get("area") or str(was.get("area") or ""),
    }
    facts = {**(before.facts if before else {}), **given}
    body = {"machine": machine, "name": before.name if before else plain["position"], "facts": facts}
    if before is None:
        news = [(name, "", entry_text(entry)) for name, entry in given.items()]
        return ImportRow(line, "new", machine["id"], plain["position"], [], news, body)
    changes = [
        (label, str(was.get(part, "")), machine[part])
        for part, label in (("name", "machine_name"), ("area", "area"))
        if machine[part] != was.get(part, "")
    ]
    changes += [
        (name, entry_text(before.facts.get(name)), entry_text(entry))
        for name, entry in given.items()
        if before.facts.get(name) != entry
    ]
    change: Change = "changed" if changes else "same"
    return ImportRow(line, change, machine["id"], before.name, [], changes, body, before.id)


def _entry(
    cell: str,
    unit: str,
    fact: dict[str, Any],
    read_number: ReadNumber,
    choices: Callable[[dict[str, Any]], list[tuple[str, str]]],
) -> tuple[Entry | None, str | None]:
    kind = fact.get("kind")
    if kind == "word":
        for word, label in choices(fact):
            if cell.casefold() in (word.casefold(), label.casefold()):
                return {"word": word}, None
        listed = ", ".join(word for word, _ in choices(fact)[:40])
        return None, tell("“%(cell)s” is not one of: %(listed)s.", cell=cell, listed=listed)
    if kind == "yesno":
        if cell.casefold() in YES:
            return {"yes": YES[cell.casefold()]}, None
        return None, tell("“%(cell)s” is neither yes nor no.", cell=cell)
    if kind == "text":
        return {"text": cell}, None
    has_unit = re.search(r"[A-Za-zµ°\"%']", cell) is not None
    return read_number(cell if has_unit or not unit else f"{cell} {unit}", fact)


def entry_text(entry: Entry | None) -> str:
    """An entry as it was typed, with its unit; empty for none."""
    if not entry:
        return ""
    if "typed" in entry:
        typed = entry["typed"]
        number = "; ".join(typed) if isinstance(typed, list) else str(typed)
        return f"{number} {entry.get('unit', '')}".strip()
    if "yes" in entry:
        return "yes" if entry["yes"] else "no"
    return str(entry.get("word", entry.get("text", "")))

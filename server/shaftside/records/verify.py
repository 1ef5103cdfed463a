"""Recomputing everything that is recorded: hashes, chains, parents, verdicts, sign-offs."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from sqlalchemy import Connection, select

from shaftside.records import log
from shaftside.records.canonical import NotCanonical, canonical, sha256_hex
from shaftside.records.model import Bundles, Difference, Kept
from shaftside.records.progress import IN_ORDER, WHOLE_PROOFS
from shaftside.records.state import reduce_job
from shaftside.records.sync import recompute
from shaftside.records.verdict import differs

_COLUMNS = ("id", "record", "kind", "device", "seq", "actor", "wall")


def verify(connection: Connection, bundles: Bundles, record: str | None) -> list[Difference]:
    """Every difference, in the order of the log; record: only that one (its chains by what they cite)."""
    asked = select(log.EVENT).order_by(log.EVENT.c.position)
    if record is not None:
        asked = asked.where(log.EVENT.c.record == record)
    found: list[Difference] = []
    records: dict[str, list[Kept]] = {}
    refused: set[str] = set()
    chains: dict[str, dict[int, str]] = {}
    hashes: set[str] = set()
    events = []
    for row in connection.execute(asked):
        try:
            event = json.loads(row.raw)
            again = sha256_hex(canonical(event))
        except (ValueError, NotCanonical) as problem:
            found.append(
                Difference(
                    row.record, row.id, "unreadable", "JSON", str(problem), "The entry cannot be read."
                )
            )
            continue
        found += list(_row(row, event, again))
        chain = chains.setdefault(event["device"], {})
        if chain.setdefault(event["seq"], row.hash) != row.hash:
            found.append(
                _said(
                    row,
                    "chain_forked",
                    chain[event["seq"]],
                    row.hash,
                    "The device wrote two entries with one number.",
                )
            )
        hashes.add(row.hash)
        events.append((row.record, event, row.hash))
        if row.outcome == "refused":
            refused.add(row.id)
        records.setdefault(row.record, []).append(
            {"hash": row.hash, "event": event, "position": int(row.position)}
        )
    found += _chains(events, chains, hashes, whole=record is None)
    plant = _plant_values(connection, records)
    for kept in records.values():
        found += _proofs(kept, bundles)
        found += _verdicts(kept, refused, bundles)
        found += _cited(kept, refused, plant)
        found += _answers(connection, kept, refused)
        found += _signed(kept)
    return found


def _said(row: Any, code: str, expected: str, got: str, message: str) -> Difference:
    return Difference(row.record, row.id, code, expected, got, message)


def _row(row: Any, event: dict[str, Any], again: str) -> Iterator[Difference]:
    if again != row.hash:
        yield _said(
            row, "hash_differs", row.hash, again, "The entry is not what its hash says: it was changed."
        )
    for name in _COLUMNS:
        if event.get(name) != getattr(row, name):
            yield _said(
                row,
                "column_differs",
                str(event.get(name)),
                str(getattr(row, name)),
                f"The log's {name} is not the entry's.",
            )


def _chains(
    events: list[tuple[str, dict[str, Any], str]],
    chains: dict[str, dict[int, str]],
    hashes: set[str],
    whole: bool,
) -> Iterator[Difference]:
    for record, event, _ in events:
        before = chains[event["device"]].get(event["seq"] - 1)
        if before is None and (not whole or event["seq"] == 1):
            if event["seq"] == 1 and event["previous"] is not None:
                yield Difference(
                    record,
                    event["id"],
                    "chain_broken",
                    "none",
                    event["previous"],
                    "A first entry cites one before it.",
                )
        elif before is None:
            yield Difference(
                record, event["id"], "chain_gap", event["previous"] or "an entry before", "nothing",
                f"Entry {event['seq'] - 1} of this device is not here.",
            )  # fmt: skip
        elif event["previous"] != before:
            yield Difference(
                record, event["id"], "chain_broken", before, str(event["previous"]),
                "The entry does not follow the one before it on its device.",
            )  # fmt: skip
        for parent in event["parents"]:
            if parent not in hashes:
                yield Difference(
                    record,
                    event["id"],
                    "parent_missing",
                    parent,
                    "nothing",
                    "The entry cites one that is not here.",
                )


def _verdicts(kept: list[Kept], refused: set[str], bundles: Bundles) -> Iterator[Difference]:
    events = [one["event"] for one in kept if one["event"]["id"] not in refused]
    started = next((event for event in events if event["kind"] == "job_started"), None)
    marked = {event["body"]["event"] for event in events if event["kind"] == "verdict_differs"}
    if started is None:
        return
    if bundles.get(started["body"]["bundle"]) is None:
        yield Difference(
            started["record"], started["id"], "bundle_unknown", started["body"]["bundle"], "nothing",
            "The handbook this job was started with is not kept here; its verdicts cannot be worked out again.",
        )  # fmt: skip
        return
    for event in events:
        if event["kind"] != "reading_taken":
            continue
        again = recompute(started, event, bundles)
        for what in differs(event["body"].get("result"), again):
            yield Difference(
                event["record"], event["id"], "verdict_differs", str((event["body"].get("result") or {}).get("verdict")),
                str((again or {}).get("verdict")), what + (" (marked in the record)" if event["id"] in marked else ""),
            )  # fmt: skip


def _proofs(kept: list[Kept], bundles: Bundles) -> Iterator[Difference]:
    """Proofs of zero energy that lacked a lock, a hold or a test, where the job's handbook asks for all of them."""
    started = next((one["event"] for one in kept if one["event"]["kind"] == "job_started"), None)
    bundle = bundles.get(started["body"]["bundle"]) if started else None
    procedure = bundle.data["procedures"].get(started["body"]["procedure"]) if bundle and started else None
    if not procedure or procedure.get("rules", 1) < WHOLE_PROOFS:
        return
    for one in reduce_job(kept)["zero_energy"]["proofs"]:
        if one["lacks"]:
            yield Difference(
                kept[0]["event"]["record"], one["event"], "proof_incomplete", "every listed source locked or held, and tested",
                ", ".join(f"{lack['list']} {lack.get('of') or lack.get('row')}" for lack in one["lacks"]),
                "Zero energy was recorded as proved while a source had no lock, hold or test, or a lock that was handed over was still on.",
            )  # fmt: skip
        if procedure["rules"] >= IN_ORDER and not one["by_comer"]:
            yield Difference(
                kept[0]["event"]["record"], one["event"], "proof_not_by_comer", "the person who came at the shift change", one["by"],
                "Zero energy was recorded as proved after a shift change by another than the one who came.",
            )  # fmt: skip


def _makers(event: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """The plant's values that a reading says it used, by line."""
    held = event["body"].get("maker") if event["kind"] == "reading_taken" else None
    named = held.items() if isinstance(held, dict) else ()
    return {line: one for line, one in named if isinstance(one, dict) and one.get("origin") == "plant"}


def _plant_values(connection: Connection, records: dict[str, list[Kept]]) -> dict[str, dict[str, Any]]:
    """The settings that readings cite, by their event ids."""
    cited = {str(one.get("event")) for kept in records.values() for entry in kept for one in _makers(entry["event"]).values()}
    asked = select(log.EVENT.c.id, log.EVENT.c.raw).where(
        log.EVENT.c.id.in_(cited), log.EVENT.c.kind == "plant_value_set", log.EVENT.c.outcome == "kept"
    )
    return {row.id: json.loads(row.raw) for row in connection.execute(asked)} if cited else {}


def _cited(kept: list[Kept], refused: set[str], plant: dict[str, dict[str, Any]]) -> Iterator[Difference]:
    """A reading that names a value of the plant which nobody set so."""
    for entry in kept:
        event = entry["event"]
        if event["id"] in refused:
            continue
        for line, one in _makers(event).items():
            setting = plant.get(str(one.get("event")))
            body = setting["body"] if setting else {}
            wanted = {**body.get("value", {}), "document": body.get("document"), "line": body.get("line")}
            got = {key: one.get(key) for key in wanted} | {"line": f"{event['body'].get('sheet')}.{line}"}
            if setting is None or wanted != got:
                yield Difference(
                    event["record"], event["id"], "plant_value_differs", json.dumps(wanted) if setting else "nothing", json.dumps(got),
                    "The reading names a value of the plant that nobody set so.",
                )  # fmt: skip


def _answers(connection: Connection, kept: list[Kept], refused: set[str]) -> Iterator[Difference]:
    """A job begun for later work that its parent never said was due, or at another place."""
    started = next((one["event"] for one in kept if one["event"]["kind"] == "job_started" and one["event"]["id"] not in refused), None)
    follow_up = started["body"].get("follow_up") if started else None
    if started is None or follow_up is None:
        return
    parent = [json.loads(line.raw) for line in log.of_record(connection, str(started["body"].get("parent_job"))) if line.outcome != "refused"]
    at = {event["body"]["position"] for event in parent if event["kind"] == "job_started"}
    due = {str(one.get("follow_up")) for event in parent if event["kind"] == "job_completed" for one in event["body"].get("outstanding", [])}
    if at != {started["body"]["position"]} or follow_up not in due:
        yield Difference(
            started["record"], started["id"], "follow_up_differs", f"one of {sorted(due)}", str(follow_up),
            "The job was begun for later work that the job before it, at this position, does not name.",
        )  # fmt: skip


def _signed(kept: list[Kept]) -> Iterator[Difference]:
    signed = reduce_job(kept)["signed"] if any(one["event"]["kind"] == "job_signed" for one in kept) else None
    if signed and signed["amended_by"]:
        yield Difference(
            kept[0]["event"]["record"], signed["event"], "amended", "nothing after the sign-off",
            f"{len(signed['amended_by'])} entries", "Something was added after the sign-off; it no longer covers the record.",
        )  # fmt: skip

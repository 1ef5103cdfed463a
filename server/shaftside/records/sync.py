"""Taking in what devices send: rules, acknowledgements, and the server's own remarks.

Pure preparation first (`prepare`), then one transaction (`receive`). Nothing that arrives is
dropped: what cannot enter the log is set aside byte for byte, what breaks a rule enters it
marked as refused, and either way whoever sent it is told why and what to do.
"""

from __future__ import annotations

import json
import time
from dataclasses import dataclass, field, replace
from typing import Any

from sqlalchemy import Connection

from shaftside.records import log
from shaftside.records.canonical import NotCanonical, canonical, is_nfc, sha256_hex
from shaftside.records.event import (
    LEAD_KINDS,
    MAX_EVENT_BYTES,
    SERVER_KINDS,
    body_problems,
    envelope_problems,
    record_kind,
    uuid7,
)
from shaftside.records.model import Ack, Bundles, DeviceSession, Event
from shaftside.records.verdict import differs, judge

SERVER_ACTOR = "server"


CARRIED = "carried"
CARRIED_SAYS = (
    "Another device wrote this entry and this one brought it. It is kept as claimed until the device that wrote it "
    "sends it too, or the person named says on the desk pages that it is theirs."
)
STRANGER_SAYS = (
    "The person named has not signed in on this device. The entry is kept as claimed and cannot be "
    "signed off until that person says on the desk pages whether it is theirs."
)
PROVED = "The device that wrote it sent it too."


@dataclass(frozen=True)
class Prepared:
    """A pushed event, looked at but not yet taken in. code: why it cannot enter the log, if so."""

    event: Any
    id: str | None
    hash: str
    raw: bytes
    code: str | None = None
    reason: str | None = None


def prepare(event: Any) -> Prepared:
    """Bytes, hash and what is wrong with the envelope of one pushed event."""
    try:
        raw = canonical(event)
    except NotCanonical as problem:
        raw = repr(event).encode("utf-8", "backslashreplace")
        return Prepared(event, _id(event), sha256_hex(raw), raw, "bad_event", _fix(str(problem)))
    hash = sha256_hex(raw)
    problems = envelope_problems(event)
    if len(raw) > MAX_EVENT_BYTES:
        problems.append(f"it has {len(raw)} bytes and may have {MAX_EVENT_BYTES}")
    if not is_nfc(raw.decode()):
        problems.append("its text is not in Unicode normal form C")
    if problems:
        return Prepared(event, _id(event), hash, raw, "bad_event", _fix("; ".join(problems)))
    return Prepared(event, event["id"], hash, raw)


def _id(event: Any) -> str | None:
    found = event.get("id") if isinstance(event, dict) else None
    return found if isinstance(found, str) else None


def _by_author(event: Event, session: DeviceSession) -> bool:
    """Whether the device that wrote it speaks, and the person named has signed in on it."""
    return event["device"] == session.device_id and event["actor"] in session.known_people


def _fix(what: str) -> str:
    return f"The entry is not formed as it should be: {what}. It is kept as it came; update the app and record it again."


def refusal(event: Event, server: str, kind_of_record: str | None) -> tuple[str, str] | None:
    """Code and sentence when a rule forbids this event from a phone, else None."""
    kind = event["kind"]
    if event["device"] == server:
        return (
            "server_device",
            "Only the server writes under its own device; the entry is kept without effect.",
        )
    if kind in SERVER_KINDS:
        return "server_kind", f"Only the server may write {kind}; the entry is kept without effect."
    if kind in LEAD_KINDS:
        return (
            "lead_acts_online",
            "Sign-off and a lead's decisions are made online on the desk pages; nothing was decided by this entry.",
        )
    problems = body_problems(kind, event["body"])
    if problems:
        return "bad_body", _fix("; ".join(problems))
    belongs = record_kind(kind)
    if belongs is not None and kind_of_record is not None and belongs != kind_of_record:
        return (
            "wrong_record",
            f"{kind} belongs to a {belongs} and this record is a {kind_of_record}; record it in the right place.",
        )
    return None


@dataclass
class _Taking:
    """What one push is doing to the log."""

    rows: list[dict[str, Any]] = field(default_factory=list)
    remarks: list[tuple[str, str, dict[str, Any]]] = field(default_factory=list)
    acks: list[Ack] = field(default_factory=list)


def receive(
    connection: Connection,
    prepared: list[Prepared],
    session: DeviceSession,
    server: str,
    received: str,
    bundles: Bundles,
) -> list[Ack]:
    """Take a push in, inside the writer's transaction. One acknowledgement for each event, in order."""
    good = [one for one in prepared if one.code is None]
    known = {
        id: (row.hash, _ack(row))
        for id, row in log.known(connection, [one.event["id"] for one in good]).items()
    }
    parents = {parent for one in good for parent in one.event["parents"]}
    here = log.held(connection, parents)
    kinds = log.record_kinds(connection, {one.event["record"] for one in good}) if good else {}
    position = log.head(connection)
    taking = _Taking()
    for one in prepared:
        if one.code is not None:
            taking.acks.append(_aside(connection, one, session, received))
            continue
        event = one.event
        before = known.get(event["id"])
        if before is not None:
            if before[0] != one.hash:
                taking.acks.append(_conflict(connection, one, session, received))
            elif before[1].code == CARRIED and _by_author(event, session):
                missing = [parent for parent in event["parents"] if parent not in here]
                ack = replace(before[1], outcome="waiting" if missing else "kept", code=None, reason=None)
                log.proved(connection, one.hash, ack.outcome)
                taking.remarks.append(
                    (event["record"], "claim_answered", {"event": event["id"], "mine": True, "reason": PROVED})
                )
                known[event["id"]] = (one.hash, ack)
                taking.acks.append(ack)
            else:
                taking.acks.append(before[1])
            continue
        position += 1
        record = event["record"]
        refused = refusal(event, server, kinds.get(record))
        carried = event["device"] != session.device_id
        claimed = not _by_author(event, session)
        missing = [parent for parent in event["parents"] if parent not in here]
        outcome = "refused" if refused else "claimed" if claimed else "waiting" if missing else "kept"
        code, reason = refused or (None, None)
        if refused:
            taking.remarks.append(
                (record, "event_refused", {"event": event["id"], "code": code, "reason": reason})
            )
        elif claimed:
            code, reason = (CARRIED, CARRIED_SAYS) if carried else ("actor_not_signed_in", STRANGER_SAYS)
            remark = {"event": event["id"], "actor": event["actor"]}
            if carried:
                remark["carried_by"] = session.device_id
            taking.remarks.append((record, "actor_claimed", remark))
        if not refused and record not in kinds and record_kind(event["kind"]) is not None:
            kinds[record] = str(record_kind(event["kind"]))
            log.add_record(connection, record, kinds[record])
        row = _row(event, one.hash, one.raw, position, received, outcome, code, reason)
        log.add(connection, [row])
        if missing:
            log.add_missing(connection, one.hash, missing)
        ack = Ack(event["id"], one.hash, position, received, outcome, code, reason)  # type: ignore[arg-type]
        taking.acks.append(ack)
        taking.rows.append(row | {"event": event})
        known[event["id"]] = (one.hash, ack)
        here.add(one.hash)
    if taking.rows:
        log.arrived(connection, [row["hash"] for row in taking.rows])
        taking.remarks += _verdicts(connection, taking.rows, bundles)
    for record, kind, body in taking.remarks:
        append_own(connection, server, record, kind, body, SERVER_ACTOR, received)
    return taking.acks


def append_own(
    connection: Connection, server: str, record: str, kind: str, body: dict[str, Any], actor: str, now: str
) -> Event:
    """Append one event of the server's own chain; its parents are the record's heads as they stand."""
    seq, previous = log.chain_end(connection, server)
    event: Event = {
        "id": uuid7(now),
        "schema": 1,
        "record": record,
        "device": server,
        "seq": seq + 1,
        "previous": previous,
        "parents": log.heads(log.of_record(connection, record)),
        "actor": actor,
        "kind": kind,
        "body": body,
        "wall": now,
        "offset_min": 0,
        "monotonic_ms": time.monotonic_ns() // 1_000_000,
    }
    raw = canonical(event)
    row = _row(event, sha256_hex(raw), raw, log.head(connection) + 1, now, "kept", None, None)
    belongs = record_kind(kind)
    if belongs is not None and record not in log.record_kinds(connection, [record]):
        log.add_record(connection, record, belongs)
    log.add(connection, [row])
    return event


def _row(
    event: Event,
    hash: str,
    raw: bytes,
    position: int,
    received: str,
    outcome: str,
    code: str | None,
    reason: str | None,
) -> dict[str, Any]:
    row = {name: event[name] for name in ("id", "record", "kind", "device", "seq", "actor", "wall")}
    return row | {
        "position": position,
        "hash": hash,
        "received": received,
        "outcome": outcome,
        "code": code,
        "reason": reason,
        "raw": raw,
    }


def _ack(row: Any) -> Ack:
    return Ack(row.id, row.hash, int(row.position), row.received, row.outcome, row.code, row.reason)


def _aside(connection: Connection, one: Prepared, session: DeviceSession, received: str) -> Ack:
    code, reason = str(one.code), str(one.reason)
    first = log.set_aside(connection, _aside_row(one, session, received, code, reason))
    return Ack(one.id, one.hash, None, first, "refused", code, reason)


def _conflict(connection: Connection, one: Prepared, session: DeviceSession, received: str) -> Ack:
    reason = (
        "An entry with the same number but other content is already in the record. Both are kept, this one aside; "
        "tell the planner, because a device should never make this happen."
    )
    first = log.set_aside(connection, _aside_row(one, session, received, "same_id_other_content", reason))
    return Ack(one.id, one.hash, None, first, "conflict", "same_id_other_content", reason)


def _aside_row(
    one: Prepared, session: DeviceSession, received: str, code: str, reason: str
) -> dict[str, Any]:
    return {
        "hash": one.hash,
        "code": code,
        "event_id": one.id,
        "device": session.device_id,
        "person": session.person_id,
        "received": received,
        "reason": reason,
        "raw": one.raw,
    }


def _verdicts(
    connection: Connection, rows: list[dict[str, Any]], bundles: Bundles
) -> list[tuple[str, str, dict[str, Any]]]:
    """A remark for every judged reading whose verdict does not come out again."""
    touched = {row["record"] for row in rows if row["kind"] in ("reading_taken", "job_started")}
    found: list[tuple[str, str, dict[str, Any]]] = []
    for record in sorted(touched):
        new = [row["event"] for row in rows if row["record"] == record and row["outcome"] != "refused"]
        readings = [event for event in new if event["kind"] == "reading_taken"]
        started = next((event for event in new if event["kind"] == "job_started"), None)
        if started is not None or readings:
            lines = [
                json.loads(line.raw)
                for line in log.of_record(connection, record)
                if line.outcome != "refused"
            ]
            if started is not None:  # readings that came before the start of their job
                readings = [event for event in lines if event["kind"] == "reading_taken"]
            started = next((event for event in lines if event["kind"] == "job_started"), None)
        for event in readings:
            again = recompute(started, event, bundles)
            if differs(event["body"].get("result"), again):
                assert again is not None
                body = {"event": event["id"], "verdict": again["verdict"], "result": again}
                found.append((record, "verdict_differs", body))
    return found


def recompute(started: Event | None, event: Event, bundles: Bundles) -> dict[str, Any] | None:
    """The result of a reading as it comes out now; None where it cannot or need not be judged."""
    if started is None:
        return None
    bundle = bundles.get(started["body"]["bundle"])
    return None if bundle is None else judge(bundle.data, started["body"], event["body"])

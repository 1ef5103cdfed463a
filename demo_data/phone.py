"""A phone as the sync sees it: its own chain of events, and what it knows of each record."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from shaftside.records.canonical import hash_of, nfc

from .ids import uuid7, wall
from .scenario import Device


@dataclass
class Phone:
    """Makes events in one unbroken chain. heads: per record, hashes no known event builds on."""

    device: Device
    seq: int = 0
    previous: str | None = None
    heads: dict[str, set[str]] = field(default_factory=dict)
    monotonic_ms: int = 0
    started: datetime | None = None

    def write(self, record: str, kind: str, body: dict[str, Any], actor: str, at: datetime, id: str | None = None) -> dict[str, Any]:
        """One event at the end of this phone's chain, on top of all it knows of the record."""
        self.seq += 1
        self.started = self.started or at
        since = int((at - self.started).total_seconds() * 1000)
        self.monotonic_ms = max(self.monotonic_ms + 1, since)
        event: dict[str, Any] = nfc(
            {
                "id": id or uuid7(at, self.device.key, self.seq, record, kind),
                "schema": 1,
                "record": record,
                "device": self.device.id,
                "seq": self.seq,
                "previous": self.previous,
                "parents": sorted(self.heads.get(record, ())),
                "actor": actor,
                "kind": kind,
                "body": body,
                "wall": wall(at),
                "offset_min": 60,
                "monotonic_ms": self.monotonic_ms,
            }
        )
        self.previous = hash_of(event)
        self.heads[record] = {self.previous}
        return event

    def saw(self, record: str, heads: set[str]) -> None:
        """What a pull told: the heads of this record now."""
        self.heads[record] = set(heads)


def heads_of(kept: list[Any]) -> set[str]:
    """Hashes of the events of one record that no other one builds on. kept: `{hash, event}` each."""
    below = {parent for one in kept for parent in one["event"]["parents"]}
    return {one["hash"] for one in kept} - below

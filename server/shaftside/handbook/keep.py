"""Every bundle ever served is kept: a record names the one it was made with."""

from __future__ import annotations

import hashlib
import json
from datetime import UTC, datetime

from sqlmodel import Session

from shaftside.database import Database
from shaftside.handbook.bundle import Bundle
from shaftside.records.tables import HandbookBundle


class Handbooks:
    """The bundles of one server. `current` is the one new work starts with."""

    def __init__(self, database: Database) -> None:
        self.database = database
        self._held: dict[str, Bundle] = {}
        self._current: Bundle | None = None

    def put(self, bundle: Bundle) -> None:
        """Keep a bundle, durably, and make it the current one."""

        def insert(session: Session) -> None:
            if session.get(HandbookBundle, bundle.hash) is None:
                at = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
                session.add(HandbookBundle(hash=bundle.hash, kept_at=at, content=bundle.bytes))

        self.database.write_now(insert)
        self._held[bundle.hash] = self._current = bundle

    @property
    def current(self) -> Bundle:
        """The bundle put last. Raises LookupError before there is one."""
        if self._current is None:
            raise LookupError("no handbook was put yet")
        return self._current

    def get(self, hash: str) -> Bundle | None:
        """The bundle of that hash, or None. Raises ValueError for one that was damaged where it lay."""
        if hash not in self._held:
            with self.database.read() as session:
                row = session.get(HandbookBundle, hash)
                if row is None:
                    return None
                content = row.content
            if hashlib.sha256(content).hexdigest() != hash:
                raise ValueError(
                    f"the handbook {hash[:12]} is not what its hash says; restore the database from a copy"
                )
            self._held[hash] = Bundle(hash, content, json.loads(content))
        return self._held[hash]

"""Every bundle ever served is kept, and every pack that one names: a record names the one it was made with."""

from __future__ import annotations

import hashlib
import json
from datetime import UTC, datetime
from typing import Any

from sqlmodel import Session

from shaftside.database import Database
from shaftside.handbook.bundle import Bundle
from shaftside.handbook.languages import meanings, told
from shaftside.handbook.texts import Key, texts_of
from shaftside.records.tables import HandbookBundle


class Handbooks:
    """The bundles of one server. `current` is the one new work starts with."""

    def __init__(self, database: Database) -> None:
        self.database = database
        self._held: dict[str, Bundle] = {}
        self._current: Bundle | None = None
        self._told: dict[tuple[str, str], dict[str, Any]] = {}
        self._meant: dict[str, tuple[dict[Key, str], frozenset[Key]]] = {}

    def put(self, bundle: Bundle) -> None:
        """Keep a bundle with its packs, durably, and make it the current one."""
        documents = [*bundle.packs.values(), bundle]

        def insert(session: Session) -> None:
            at = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
            for one in documents:
                if session.get(HandbookBundle, one.hash) is None:
                    session.add(HandbookBundle(hash=one.hash, kept_at=at, content=one.bytes))

        self.database.write_now(insert)
        self._held |= {one.hash: one for one in documents}
        self._current = bundle

    @property
    def current(self) -> Bundle:
        """The bundle put last. Raises LookupError before there is one."""
        if self._current is None:
            raise LookupError("no handbook was put yet")
        return self._current

    def get(self, hash: str) -> Bundle | None:
        """The bundle of that hash, or None; a pack is no bundle. Raises ValueError for one that was damaged where it lay."""
        found = self.document(hash)
        return found if found is not None and "calc" in found.data else None

    def figures(self, bundle: Bundle) -> dict[str, Any]:
        """The drawings of a bundle by name: in its pack, or in itself where it is older than packs."""
        named = bundle.data.get("packs", {}).get("figures")
        pack = self.document(named) if named else None
        found: dict[str, Any] = pack.data["figures"] if pack else bundle.data.get("drawings", {})
        return found

    def in_language(self, bundle: Bundle, lang: str) -> dict[str, Any]:
        """The bundle's document with its texts in `lang` too; as it is where it names no such pack."""
        named = bundle.data.get("packs", {}).get(lang)
        if named is None:
            return bundle.data
        key = (bundle.hash, lang)
        if key not in self._told:
            pack = self.document(named)
            self._told[key] = told(bundle.data, self.figures(bundle), pack.data) if pack else bundle.data
        return self._told[key]

    def meanings(self, bundle: Bundle, lang: str) -> tuple[dict[Key, str], frozenset[Key]]:
        """(translation by key, keys nobody has read) of a bundle's language, for texts that stand outside it; empty without such a pack."""
        named = bundle.data.get("packs", {}).get(lang)
        pack = self.document(named) if named else None
        if pack is None:
            return {}, frozenset()
        if pack.hash not in self._meant:
            self._meant[pack.hash] = meanings(pack.data, texts_of(bundle.data, self.figures(bundle)))
        return self._meant[pack.hash]

    def document(self, hash: str) -> Bundle | None:
        """The bundle or pack of that hash, or None. Raises ValueError for one that was damaged where it lay."""
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

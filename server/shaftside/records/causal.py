"""The order that the events' parents give, and who had seen what. Twin of web/causal part of state.js."""

from __future__ import annotations

import heapq
from dataclasses import dataclass
from typing import Any

from shaftside.records.model import Event, Kept


@dataclass(frozen=True, eq=False)
class Node:
    """An event in its place. seen: one bit for each event that its author had seen, by place."""

    event: Event
    hash: str
    place: int
    seen: int
    missing: bool

    @property
    def id(self) -> str:
        """The event's id."""
        return str(self.event["id"])

    @property
    def kind(self) -> str:
        """The event's kind."""
        return str(self.event["kind"])

    @property
    def body(self) -> dict[str, Any]:
        """The event's body."""
        body: dict[str, Any] = self.event["body"]
        return body

    def after(self, other: Node) -> bool:
        """Whether the author of this had seen the other."""
        return bool(self.seen >> other.place & 1)


class Causal:
    """Events sorted so that parents come first and ties go by wall time, then id.

    The order, and everything derived from it, depends on the set of events alone. A parent
    that is not here orders nothing; its child is marked `missing`.
    """

    def __init__(self, kept: list[Kept]) -> None:
        by_hash: dict[str, Event] = {}
        by_id: dict[str, str] = {}
        for one in sorted(kept, key=lambda item: item["hash"]):
            if by_id.setdefault(one["event"]["id"], one["hash"]) == one["hash"]:
                by_hash[one["hash"]] = one["event"]
        waits = {hash: {p for p in event["parents"] if p in by_hash} for hash, event in by_hash.items()}
        children: dict[str, list[str]] = {}
        for hash, parents in waits.items():
            for parent in parents:
                children.setdefault(parent, []).append(hash)
        ready = [(by_hash[h]["wall"], by_hash[h]["id"], h) for h, parents in waits.items() if not parents]
        heapq.heapify(ready)
        self.nodes: list[Node] = []
        self.by_hash: dict[str, Node] = {}
        while ready:
            hash = heapq.heappop(ready)[2]
            event = by_hash[hash]
            seen = 0
            for parent in event["parents"]:
                if parent in self.by_hash:
                    seen |= self.by_hash[parent].seen | 1 << self.by_hash[parent].place
            missing = any(parent not in by_hash for parent in event["parents"])
            node = Node(event, hash, len(self.nodes), seen, missing)
            self.nodes.append(node)
            self.by_hash[hash] = node
            for child in children.get(hash, []):
                waits[child].discard(hash)
                if not waits[child]:
                    heapq.heappush(ready, (by_hash[child]["wall"], by_hash[child]["id"], child))
        self.heads = sorted(hash for hash in self.by_hash if hash not in children)

    def covered(self, heads: list[str]) -> set[str]:
        """Hashes of the events that somebody who saw these heads had seen, the heads included."""
        seen = 0
        for head in heads:
            node = self.by_hash.get(head)
            if node is not None:
                seen |= node.seen | 1 << node.place
        return {node.hash for node in self.nodes if seen >> node.place & 1}

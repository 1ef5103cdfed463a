"""How often a thing may be tried: a sliding window of failures, in memory, for each key."""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable

from shaftside.errors import ShaftsideError
from shaftside.sentence import tell


class Pace:
    """At most `most` failures of one key within `seconds`; a success clears the key."""

    def __init__(self, most: int, seconds: float, clock: Callable[[], float] = time.monotonic) -> None:
        self.most, self.seconds, self.clock = most, seconds, clock
        self._failures: dict[str, deque[float]] = {}

    def check(self, key: str) -> None:
        """Raise ShaftsideError 429 when the key has failed too often."""
        kept = self._recent(key)
        if len(kept) >= self.most:
            wait = int(self.seconds - (self.clock() - kept[0])) + 1
            raise ShaftsideError(
                429, "too_many_tries", tell("Too many tries. Wait %(minutes)s min and try again.", minutes=max(1, wait // 60))
            )

    def failed(self, key: str) -> None:
        """Count a failure."""
        self._recent(key).append(self.clock())

    def passed(self, key: str) -> None:
        """Forget the failures of a key."""
        self._failures.pop(key, None)

    def take_back(self, key: str) -> None:
        """Take the newest failure of a key back."""
        kept = self._recent(key)
        if kept:
            kept.pop()

    def _recent(self, key: str) -> deque[float]:
        if len(self._failures) > 10_000:  # the oldest go; clearing all would be a way to clear one's own
            for old in list(self._failures)[:1000]:
                del self._failures[old]
        kept = self._failures.setdefault(key, deque())
        while kept and self.clock() - kept[0] > self.seconds:
            kept.popleft()
        return kept

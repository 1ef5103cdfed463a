"""Reading parsed content against what it must hold: each getter notes a problem with its line and returns a usable value."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from difflib import get_close_matches
from typing import Any

from shaftside.calc.problems import Problems
from shaftside.calc.strict_yaml import Document, Path_

CERTAINTIES = ("standard", "secondary", "memory", "common_practice", "derived", "maker")


class Reader:
    """A mapping of a document, with its place. Every problem goes to `problems`; `done()` refuses unknown keys."""

    def __init__(self, document: Document, problems: Problems, data: Any = None, path: Path_ = ()) -> None:
        self.document = document
        self.problems = problems
        self.path = path
        self.used: set[str] = set()
        whole = document.data if path == () and data is None else data
        if not isinstance(whole, dict):
            self.fault(f"{self.said} must be a mapping (name: value)")
            whole = {}
        self.data: dict[str, Any] = whole

    @property
    def said(self) -> str:
        return ".".join(str(one) for one in self.path) or "the file"

    def line(self, key: str | int | None = None) -> int:
        return self.document.line(self.path if key is None else (*self.path, key))

    def fault(self, reason: str, key: str | int | None = None) -> None:
        self.problems.add(self.document.file, self.line(key), reason)

    def has(self, key: str) -> bool:
        return key in self.data

    def raw(self, key: str, default: Any = None) -> Any:
        self.used.add(key)
        return self.data.get(key, default)

    def _need(self, key: str, kind: type | tuple[type, ...], said: str, optional: bool) -> Any:
        self.used.add(key)
        if key not in self.data:
            if not optional:
                self.fault(f"{self.said}: {key!r} is missing ({said})")
            return None
        value = self.data[key]
        if not isinstance(value, kind) or (isinstance(value, bool) and kind is not bool):
            self.fault(f"{self.said}: {key!r} must be {said}", key)
            return None
        return value

    def string(self, key: str, optional: bool = False) -> str | None:
        got: str | None = self._need(key, str, "a text", optional)
        if got is not None and not got.strip():
            self.fault(f"{self.said}: {key!r} is empty", key)
            return None
        return got

    def name(self, key: str, optional: bool = False) -> str | None:
        """A name as used in expressions: lower-case letters, digits, underscore."""
        got = self.string(key, optional)
        if got is not None and not (got.isascii() and got.isidentifier() and not got.startswith("_")):
            self.fault(f"{self.said}: {key!r} must be a name of letters, digits and _, not {got!r}", key)
            return None
        return got

    def integer(self, key: str, least: int, most: int, optional: bool = False) -> int | None:
        got: int | None = self._need(key, int, f"a whole number from {least} to {most}", optional)
        if got is not None and not least <= got <= most:
            self.fault(f"{self.said}: {key!r} must be a whole number from {least} to {most}", key)
            return None
        return got

    def yes(self, key: str) -> bool:
        return bool(self._need(key, bool, "true or false", True))

    def choice(self, key: str, allowed: Iterable[str], optional: bool = False) -> str | None:
        listed = list(allowed)
        got = self.string(key, optional)
        if got is not None and got not in listed:
            near = get_close_matches(got, listed, 1)
            hint = f": did you mean {near[0]!r}?" if near else f": one of {', '.join(listed[:30])}"
            self.fault(f"{self.said}: {key!r} cannot be {got!r}{hint}", key)
            return None
        return got

    def words(self, key: str, optional: bool = False) -> dict[str, str] | None:
        """A text keyed by language; English is always there."""
        got: dict[str, Any] | None = self._need(key, dict, "a text by language: {en: ...}", optional)
        if got is None:
            return None
        bad = [k for k, v in got.items() if not isinstance(v, str) or not v.strip() or not 2 <= len(k) <= 8]
        if bad or "en" not in got:
            self.fault(f"{self.said}: {key!r} must be a text by language, with en", key)
            return None
        return dict(got)

    def inner(self, key: str, optional: bool = False) -> Reader | None:
        got = self._need(key, dict, "a mapping", optional)
        return None if got is None else Reader(self.document, self.problems, got, (*self.path, key))

    def items(self, key: str, optional: bool = False) -> list[Reader]:
        got: list[Any] | None = self._need(key, list, "a list", optional)
        return [Reader(self.document, self.problems, one, (*self.path, key, at)) for at, one in enumerate(got or [])]

    def strings(self, key: str, optional: bool = False) -> list[str]:
        got: list[Any] | None = self._need(key, list, "a list of names", optional)
        out = []
        for at, one in enumerate(got or []):
            if isinstance(one, str):
                out.append(one)
            else:
                self.problems.add(self.document.file, self.document.line((*self.path, key, at)), f"{self.said}: {key!r} holds names only")
        return out

    def source(self, key: str, optional: bool = False) -> dict[str, str] | None:
        """{text, certainty}."""
        inner = self.inner(key, optional)
        if inner is None:
            return None
        out = {"text": inner.string("text") or "", "certainty": inner.choice("certainty", CERTAINTIES) or ""}
        inner.done()
        return out

    def __iter__(self) -> Iterator[str]:
        return iter(self.data)

    def done(self) -> None:
        """Refuse keys nobody asked for."""
        for key in self.data:
            if key not in self.used:
                near = get_close_matches(key, sorted(self.used), 1)
                self.fault(f"{self.said}: the key {key!r} is not known" + (f": did you mean {near[0]!r}?" if near else ""), key)

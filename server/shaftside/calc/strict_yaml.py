"""YAML as our content uses it, and nothing more.

A small part of YAML 1.2: mappings with string keys, lists, strings, decimal numbers, true, false, null.
Tags, anchors, aliases, merge keys, duplicate keys, several documents and look-alike numbers (`010`, `0x1F`,
`12:30`, `.inf`) are refused with their line; `yes`, `no`, `on`, `off` are plain words, as YAML 1.2 has it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from shaftside.calc.problems import ContentError

MOST_BYTES = 1_000_000
MOST_DEPTH = 24

_INTEGER = re.compile(r"[-+]?(0|[1-9][0-9]*)\Z")
_DECIMAL = re.compile(r"[-+]?(0|[1-9][0-9]*)?\.[0-9]+\Z|[-+]?(0|[1-9][0-9]*)\.?([eE][-+]?[0-9]+)\Z|[-+]?(0|[1-9][0-9]*)?\.[0-9]+[eE][-+]?[0-9]+\Z")
_LOOKS_NUMERIC = re.compile(
    r"[-+]?0[0-9]+(\.[0-9]*)?\Z|[-+]?0[xob][0-9a-fA-F]+\Z|[-+]?[0-9]+(:[0-9]+)+(\.[0-9]*)?\Z|[-+]?[0-9][0-9_]*_[0-9_]*\Z|[-+]?\.(inf|Inf|INF)\Z|\.(nan|NaN|NAN)\Z|[-+]?[0-9]+\.\Z"
)

Path_ = tuple[str | int, ...]


@dataclass(frozen=True)
class Document:
    """A parsed file: its data and the line of every node by its path."""

    file: str
    data: Any
    lines: dict[Path_, int]

    def line(self, path: Path_) -> int:
        """Line of the node at `path`, or of its nearest known parent."""
        while path not in self.lines and path:
            path = path[:-1]
        return self.lines.get(path, 1)


class _Parser(yaml.CSafeLoader):
    """The C parser of PyYAML, used for its events only: construction is ours."""


def read(path: Path, file: str | None = None) -> Document:
    """Read and parse a file. Raises ContentError (file, line, reason)."""
    name = file or path.name
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise ContentError(name, 0, f"cannot be read: {error.strerror}") from error
    return parse(raw, name)


def parse(raw: bytes | str, file: str = "<text>") -> Document:
    """Parse YAML text. Raises ContentError (file, line, reason)."""
    if isinstance(raw, bytes):
        if len(raw) > MOST_BYTES:
            raise ContentError(file, 0, f"longer than {MOST_BYTES} bytes")
        try:
            text = raw.decode("utf-8")
        except UnicodeDecodeError as error:
            before: bytes = error.object[: error.start]
            raise ContentError(file, before.count(b"\n") + 1, "is not UTF-8 text") from error
    else:
        text = raw
    loader = _Parser(text)
    try:
        return _Builder(loader, file).document()
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        raise ContentError(file, mark.line + 1 if mark else 0, f"is not YAML: {error.problem or error.context}") from error
    except yaml.YAMLError as error:
        raise ContentError(file, 0, f"is not YAML: {str(error).splitlines()[0]}") from error
    finally:
        loader.dispose()


def _line(event: Any) -> int:
    return int(event.start_mark.line) + 1


class _Builder:
    def __init__(self, loader: _Parser, file: str) -> None:
        self.loader = loader
        self.file = file
        self.lines: dict[Path_, int] = {}

    def fail(self, event: Any, reason: str) -> ContentError:
        return ContentError(self.file, _line(event), reason)

    def next(self) -> Any:
        return self.loader.get_event()

    def document(self) -> Document:
        self.next()
        start = self.next()
        if isinstance(start, yaml.StreamEndEvent):
            raise ContentError(self.file, 1, "is empty")
        if start.version or start.tags:
            raise self.fail(start, "directives are not allowed")
        data = self.node(self.next(), ())
        self.next()
        after = self.next()
        if not isinstance(after, yaml.StreamEndEvent):
            raise self.fail(after, "one document a file, please")
        return Document(self.file, data, self.lines)

    def node(self, event: Any, path: Path_) -> Any:
        if len(path) > MOST_DEPTH:
            raise self.fail(event, f"nested deeper than {MOST_DEPTH}")
        if isinstance(event, yaml.AliasEvent):
            raise self.fail(event, "aliases (*) are not allowed")
        if event.anchor is not None:
            raise self.fail(event, "anchors (&) are not allowed")
        if event.tag is not None:
            raise self.fail(event, f"tags ({event.tag}) are not allowed")
        self.lines[path] = _line(event)
        if isinstance(event, yaml.ScalarEvent):
            return self.scalar(event)
        if isinstance(event, yaml.SequenceStartEvent):
            items: list[Any] = []
            while not isinstance(inner := self.next(), yaml.SequenceEndEvent):
                items.append(self.node(inner, (*path, len(items))))
            return items
        return self.mapping(path)

    def mapping(self, path: Path_) -> dict[str, Any]:
        out: dict[str, Any] = {}
        while not isinstance(key := self.next(), yaml.MappingEndEvent):
            if not isinstance(key, yaml.ScalarEvent):
                raise self.fail(key, "a key must be a plain word")
            if key.anchor is not None or key.tag is not None:
                raise self.fail(key, "anchors and tags are not allowed")
            if key.value == "<<":
                raise self.fail(key, "merge keys (<<) are not allowed")
            if not isinstance(self.scalar(key), str):
                raise self.fail(key, f"the key {key.value!r} is not a string: put it in quotes")
            if key.value in out:
                raise self.fail(key, f"the key {key.value!r} stands twice")
            inside = (*path, key.value)
            out[key.value] = self.node(self.next(), inside)
            self.lines[inside] = _line(key)
        return out

    def scalar(self, event: Any) -> str | int | float | bool | None:
        text: str = event.value
        if event.style:
            return text
        if text in ("", "~", "null"):
            return None
        if text in ("true", "false"):
            return text == "true"
        if _INTEGER.match(text) and len(text) < 17:
            return int(text)
        if _DECIMAL.match(text):
            return float(text)
        if _LOOKS_NUMERIC.match(text) or _INTEGER.match(text):
            raise self.fail(event, f"{text!r} can be read in more than one way: write a plain decimal, or put it in quotes")
        return text

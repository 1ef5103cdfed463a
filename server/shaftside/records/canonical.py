"""Canonical JSON (RFC 8785), its SHA-256, and the one spelling of text (Unicode NFC).

Two devices that write the same event must write the same bytes: every hash in a record
is taken over what :func:`canonical` returns, never over how somebody else printed it.
"""

from __future__ import annotations

import hashlib
import json
import unicodedata
from typing import Any

import rfc8785


class NotCanonical(ValueError):
    """The value has no canonical form; the message says what stands in the way."""


def canonical(value: Any) -> bytes:
    """RFC 8785 bytes of a JSON value.

    Raises NotCanonical for a number that is not what a double would be written as (whole
    numbers past 2**53 but for those, infinities, not-a-number), for half a surrogate pair, and for anything not JSON.
    """
    try:
        return rfc8785.dumps(value)
    except rfc8785.IntegerDomainError:
        try:
            return rfc8785.dumps(_large(value))
        except rfc8785.CanonicalizationError as problem:
            raise NotCanonical(str(problem)) from problem
    except (rfc8785.CanonicalizationError, UnicodeEncodeError, RecursionError) as problem:
        raise NotCanonical(str(problem) or "nested too deeply") from problem


def _large(value: Any) -> Any:
    """Whole numbers that a phone wrote from a large double, as that double again; others stay."""
    if isinstance(value, int) and not isinstance(value, bool) and abs(value) >= 2**53:
        as_double = float(value) if abs(value) < 10**21 else 0.0
        return as_double if rfc8785.dumps(as_double) == str(value).encode() else value
    if isinstance(value, dict):
        return {key: _large(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_large(item) for item in value]
    return value


def sha256_hex(data: bytes) -> str:
    """SHA-256 of bytes, 64 lower-case hexadecimal digits."""
    return hashlib.sha256(data).hexdigest()


def hash_of(value: Any) -> str:
    """SHA-256 hex of the canonical JSON of a value."""
    return sha256_hex(canonical(value))


def nfc(value: Any) -> Any:
    """The same JSON value with every text, keys too, in Unicode normal form C."""
    if isinstance(value, str):
        return unicodedata.normalize("NFC", value)
    if isinstance(value, dict):
        return {unicodedata.normalize("NFC", key): nfc(item) for key, item in value.items()}
    if isinstance(value, list):
        return [nfc(item) for item in value]
    return value


def is_nfc(text: str) -> bool:
    """Whether a whole JSON text is in normal form C (escapes already undone by `canonical`)."""
    return unicodedata.is_normalized("NFC", text)


def strict_loads(text: str | bytes) -> Any:
    """Parse JSON, refusing a duplicate key and the numbers JSON does not have.

    Raises NotCanonical: a record that reads differently to two readers is not a record.
    """

    def pairs(items: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(items)
        if len(found) != len(items):
            raise NotCanonical("the same key stands twice in one object")
        return found

    def no_such_number(word: str) -> Any:
        raise NotCanonical(f"{word} is not a number in JSON")

    try:
        return json.loads(text, object_pairs_hook=pairs, parse_constant=no_such_number)
    except (json.JSONDecodeError, UnicodeDecodeError, RecursionError) as problem:
        raise NotCanonical(f"not JSON: {problem}") from problem

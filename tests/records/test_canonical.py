"""Canonical JSON against RFC 8785: its Appendix B numbers and its documents, in both languages."""

from __future__ import annotations

import json
import struct
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shaftside.records.canonical import NotCanonical, canonical, nfc, sha256_hex, strict_loads

VECTORS = json.loads((Path(__file__).parent / "rfc8785_vectors.json").read_text())


@pytest.mark.parametrize(("bits", "text"), VECTORS["numbers"])
def test_numbers_of_appendix_b(bits: str, text: str | None) -> None:
    number = struct.unpack(">d", bytes.fromhex(bits))[0]
    if text is None:
        with pytest.raises(NotCanonical):
            canonical(number)
    else:
        assert canonical(number).decode() == text


@pytest.mark.node
@pytest.mark.parametrize(("bits", "text"), VECTORS["numbers"])
def test_numbers_of_appendix_b_on_the_phone(bits: str, text: str | None, node: Any) -> None:
    if text is None:
        with pytest.raises(ValueError, match="not a number"):
            node.ask("number", bits)
    else:
        assert node.ask("number", bits) == text


@pytest.mark.parametrize("document", VECTORS["documents"])
def test_documents(document: dict[str, str]) -> None:
    got = canonical(json.loads(document["input"]))
    assert got.hex() == document["utf8_hex"]
    assert sha256_hex(got) == document["sha256"]


@pytest.mark.node
@pytest.mark.parametrize("document", VECTORS["documents"])
def test_documents_on_the_phone(document: dict[str, str], node: Any) -> None:
    text, digest = node.ask("text", document["input"])
    assert text.encode().hex() == document["utf8_hex"]
    assert digest == document["sha256"]


json_values = st.recursive(
    st.none()
    | st.booleans()
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.integers(-(2**53) + 1, 2**53 - 1)
    | st.text(st.characters(codec="utf-8")),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(st.text(st.characters(codec="utf-8")), inner, max_size=4)
    ),
    max_leaves=12,
)


@pytest.mark.node
@settings(max_examples=300, deadline=None)
@given(json_values)
def test_both_languages_write_the_same_bytes(node: Any, value: Any) -> None:
    again = json.loads(json.dumps(value))
    text, digest = node.ask("canonical", again)
    assert text.encode() == canonical(again)
    assert digest == sha256_hex(canonical(again))
    assert canonical(node.ask("nfc", again)) == canonical(nfc(again))


@pytest.mark.parametrize("value", [2**53 + 1, 10**400, float("inf"), float("nan"), "\ud800", {1: 2}, {"a": object()}])
def test_what_has_no_canonical_form(value: Any) -> None:
    with pytest.raises(NotCanonical):
        canonical(value)


@pytest.mark.parametrize("text", ['{"a":1,"a":2}', "NaN", "[1,", b"\xff"])
def test_json_that_two_readers_could_read_differently(text: Any) -> None:
    with pytest.raises(NotCanonical):
        strict_loads(text)

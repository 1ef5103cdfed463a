"""What a person types, turned into a number: decimals with point or comma, fractions, and a unit.

What can be read in two ways is refused with a reason. `web/typed.js` is the same; both run tests/calc/typed_cases.json.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

MOST_LENGTH = 24
# full-width forms of an East Asian keyboard, the dashes a keyboard or a paste makes of a minus, curly apostrophes
_PLAIN = str.maketrans("０１２３４５６７８９．，／＋＂−–‒‑‐﹣－⁄’′ʼ＇", "0123456789.,/+\"-------/''''")
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_DECIMAL = re.compile(r"[0-9]+[.,]?[0-9]*\Z|[.,][0-9]+\Z")
# 1,000 is a thousand to one reader and one to another; 0,040 and 12,5 are clear
_THOUSANDS = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}\Z")
# 1'234'567,8: the apostrophe only ever parts groups of three, so the other mark is the decimal one
_GROUPS = re.compile(r"[1-9][0-9]{0,2}(?:'[0-9]{3})+(?:[.,][0-9]+)?\Z")
_FRACTION = re.compile(r"(?:([0-9]{1,6})(?: |-))?([0-9]{1,4})/([0-9]{1,4})\Z")
_HEAD = re.compile(r"(?:[-+] ?)?(?:[0-9]{1,6}[- ][0-9]{1,4}/[0-9]{1,4}|[0-9]{1,4}/[0-9]{1,4}|[0-9.,]*(?:'[0-9][0-9.,]*)*(?:[eE][-+]?[0-9]+)?)")


@dataclass(frozen=True)
class Fault:
    """Why it is not a number or a unit: empty, not_a_number, exponent, two_marks, thousands, two_numbers, zero_denominator,
    improper, too_long, unknown_unit, unit_needed, wrong_kind."""

    code: str


def tidy(text: str) -> str:
    """One spelling: NFC, plain digits, spaces, minus and apostrophe, vulgar fractions written out."""
    text = unicodedata.normalize("NFC", text).translate(_PLAIN).replace("″", '"')
    for sign, plain in _VULGAR.items():
        text = re.sub(rf"([0-9])\s*{sign}", rf"\1 {plain}", text).replace(sign, plain)
    return re.sub(r"[ \t\u00a0\u2007\u2009\u202f\u3000]+", " ", text).strip(" ")


def parse_number(text: str) -> float | Fault:
    """A typed number without unit, as a float. No guess: a Fault says what is wrong."""
    text = tidy(text)
    if text == "":
        return Fault("empty")
    if len(text) > MOST_LENGTH:
        return Fault("too_long")
    sign = 1.0
    if text[0] in "+-":
        sign = -1.0 if text[0] == "-" else 1.0
        text = text[1:].lstrip(" ")
    if _THOUSANDS.match(text):
        return Fault("thousands")
    if _GROUPS.match(text):
        text = text.replace("'", "")
    if _DECIMAL.match(text):
        return sign * float(text.replace(",", ".")) + 0.0
    fraction = _FRACTION.match(text)
    if fraction:
        whole, top, bottom = fraction.group(1), int(fraction.group(2)), int(fraction.group(3))
        if bottom == 0:
            return Fault("zero_denominator")
        if whole is None:
            return sign * (top / bottom) + 0.0
        if top >= bottom:
            return Fault("improper")
        return sign * ((int(whole) * bottom + top) / bottom) + 0.0
    if re.match(r"[0-9.,]+[eE][-+]?[0-9]+\Z", text):
        return Fault("exponent")
    if re.match(r"[0-9]*[.,'][0-9.,']*\Z", text) and any(one.isdigit() for one in text):
        return Fault("two_marks")
    if re.match(r"[0-9.,]+( [0-9.,]+)+\Z", text):
        return Fault("two_numbers")
    return Fault("not_a_number")


def find_unit(units: Mapping[str, Any], text: str) -> str | None:
    """Code of a unit as people write it; None if it is not in the list."""
    text = tidy(text)
    if text in units:
        return text
    return next((code for code, unit in units.items() if text in unit["also"] or (text == unit["shown"] and text)), None)


def split_entry(units: Mapping[str, Any], text: str) -> dict[str, str] | Fault:
    """`1-15/16 in` -> {"typed": "1-15/16", "unit": "in"}; unit "" where none was written."""
    text = tidy(text)
    if text == "":
        return Fault("empty")
    head = _HEAD.match(text)
    number = head.group(0).strip(" ") if head else ""
    rest = text[len(head.group(0)) :].strip(" ") if head else text
    if number.lower().endswith("e"):
        return Fault("not_a_number")
    if rest == "":
        return {"typed": number, "unit": ""}
    if not any(one.isdigit() for one in number):
        return Fault("not_a_number")
    code = find_unit(units, rest)
    if code is None:
        return Fault("two_numbers") if re.match(r"[0-9.,]", rest) else Fault("unknown_unit")
    return {"typed": number, "unit": code}

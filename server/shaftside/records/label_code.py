"""The short code on a machine's label: seven characters of the position's number and a check character. Twin: web/label_code.js.

The alphabet has 31 characters, a prime, so a weighted sum modulo 31 finds every single wrong character and every two
that changed places (the rule of ISO/IEC 7064's pure systems, with our alphabet). A code is no secret and no proof.
"""

from __future__ import annotations

ALPHABET = "023456789ABCDEFGHJKMNPQRSTVWXYZ"
LENGTH = 7


def label_code(position: str) -> str:
    """`XXXX-XXXX` for a position's id (a UUID): from its last 48 bits, which are random in every id of ours."""
    rest = int(position[-12:], 16) % len(ALPHABET) ** LENGTH
    digits = []
    for _ in range(LENGTH):
        rest, digit = divmod(rest, len(ALPHABET))
        digits.append(digit)
    check = sum((at + 2) * digit for at, digit in enumerate(digits)) % len(ALPHABET)
    text = "".join(ALPHABET[one] for one in [*digits, check])
    return f"{text[:4]}-{text[4:]}"

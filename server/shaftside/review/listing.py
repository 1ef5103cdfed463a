"""Lists as CSV that a spreadsheet opens without running anything in them."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

_STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def harmless(cell: object) -> str:
    """A cell as text; with an apostrophe in front where a spreadsheet would take it for a formula.

    Spaces before the sign do not hide it. None is an empty cell. Plain numbers keep their sign.
    """
    text = "" if cell is None else str(cell)
    bare = text.lstrip(" \u00a0\ufeff")
    if bare.startswith(_STARTS_A_FORMULA) or text.startswith(_STARTS_A_FORMULA):
        try:
            float(text)
        except ValueError:
            return "'" + text
    return text


def write_csv(header: Sequence[str], rows: Iterable[Sequence[object]]) -> bytes:
    """UTF-8 with a byte order mark (spreadsheets need it), commas, CRLF, every cell made harmless."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([harmless(cell) for cell in header])
    for row in rows:
        writer.writerow([harmless(cell) for cell in row])
    return b"\xef\xbb\xbf" + out.getvalue().encode("utf-8")

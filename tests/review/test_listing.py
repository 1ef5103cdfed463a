"""What leaves as CSV must not run in a spreadsheet."""

import csv
import io

import pytest

from shaftside.review import harmless, write_csv


# The list of leading characters is the one widely given for CSV injection (OWASP, "CSV Injection"; from memory).
@pytest.mark.parametrize(
    "cell", ["=1+1", "+cmd", "-2+3", "@SUM(A1)", "\t=1", "\r=1", "  =1", "\ufeff=1", "＝1", "=cmd|' /C calc'!A0"]
)
def test_a_formula_is_kept_as_text(cell: str) -> None:
    assert harmless(cell) == "'" + cell


@pytest.mark.parametrize("cell", ["-0.5", "+3", "1-15/16 in", "fan 2", "", "a=b"])
def test_plain_text_and_numbers_stay(cell: str) -> None:
    assert harmless(cell) == cell


def test_every_cell_comes_back_as_it_went_in() -> None:
    rows = [["a,b", 'say "x"', "line\nbreak", None, 3]]
    raw = write_csv(["=head", "b", "c", "d", "e"], rows)
    assert raw.startswith(b"\xef\xbb\xbf")
    back = list(csv.reader(io.StringIO(raw.decode("utf-8-sig"))))
    assert back == [["'=head", "b", "c", "d", "e"], ["a,b", 'say "x"', "line\nbreak", "", "3"]]

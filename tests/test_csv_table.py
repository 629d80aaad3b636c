"""Tables as CSV: no cell begins a formula, numbers stay numbers, and what is read back is what was written.

Which signs begin a formula: OWASP, "CSV Injection" (= + - @, tab, carriage return); CWE-1236. The reader is Python's.
"""

from __future__ import annotations

import csv
import io
import re
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatmesh.files.csv_table import csv_text, safe_cell

FORMULAS = [
    "=1+1",
    '=HYPERLINK("http://example.org";"seat")',
    "=cmd|' /C calc'!A0",
    "+1+1",
    "-1+1",
    "-2 mm at the back",
    "@SUM(A1)",
    "\t=1",
    "\rplain",
    "\n=1",
    "  =1",
    "\u00a0=1",
    "\u200b=1",
    "\ufeff=1",
    "＝1+1",
    "＋1",
    "－1",
    "＠SUM(A1)",
    "﹦1",
    "+41 79 000 00 00",
    "-",
    "--1",
    "-12,5",
    "=",
]
HARMLESS = [
    "Anna",
    "Anna's chair",
    '1 3/16"',
    "a=b",
    "5-6",
    "x@y",
    "a, -3 mm",
    "",
    "é",
    "椅子",
    "'=1 quoted",
    "(=1)",
]
NUMBERS = ["-12.5", "+3", "0", "-0.00", "1e5", "-1.5e-3", ".5", "-.5", "12", "240.00"]


def read(text: str, delimiter: str = ",") -> list[list[str]]:
    return list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))


@pytest.mark.parametrize("text", FORMULAS)
def test_what_would_be_a_formula_is_text(text):
    assert safe_cell(text) == f"'{text}"
    assert read(csv_text(("name", "x_mm"), [(text, "-12.5")])) == [["name", "x_mm"], [f"'{text}", "-12.5"]]


@pytest.mark.parametrize("text", HARMLESS + NUMBERS)
def test_all_else_stays_as_it_is(text):
    assert read(csv_text(("name",), [(text, "end")]))[1] == [text, "end"]


@pytest.mark.parametrize("number", NUMBERS)
def test_numbers_stay_bare(number):
    assert csv_text(("x_mm", "y_mm"), [(number, number)]) == f"x_mm,y_mm\n{number},{number}\n"


def test_a_program_that_splits_at_semicolons_finds_none_either():
    """The comma of our tables is part of the text there, and quotes that do not open a field are none."""
    text = csv_text(("no", "name"), [("1", 'a;=1+1;"; @x')])
    assert not any(
        cell.lstrip()[:1] in ("=", "+", "-", "@") for row in read(text, ";") for cell in row if cell
    )
    assert read(text)[1] == ["1", "a;'=1+1;\";' @x"]


def test_a_nul_is_left_out():
    assert safe_cell("\0=1") == "'=1"


@given(st.lists(st.lists(st.text(), min_size=2, max_size=2), min_size=1))
def test_no_text_begins_a_formula(rows):
    back = read(csv_text(("a", "b"), rows))[1:]
    assert len(back) == len(rows)
    for given_row, read_row in zip(rows, back, strict=True):
        for before, cell in zip(given_row, read_row, strict=True):
            seen = "".join(c for c in cell if not c.isspace() and unicodedata.category(c)[0] not in "CM")
            first = unicodedata.normalize("NFKC", seen[:1])
            assert first not in ("=", "+", "-", "@") or re.fullmatch(r"[+-]?[0-9.]+([eE][+-]?[0-9]+)?", cell)
            assert cell.replace("'", "") == before.replace("'", "").replace("\0", "")


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_every_number_is_read_back_as_it_was(value):
    assert float(read(csv_text(("x",), [(repr(value),)]))[1][0]) == value

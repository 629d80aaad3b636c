"""The table's text is that of Python's own formatting, number by number."""

from __future__ import annotations

import numpy as np
import pytest

from seatmesh.formats import text_table
from seatmesh.formats.text_table import decimals, integers, joined, lines_of, text_of


def plain(values: list[float], places: int) -> str:
    return "".join(f"{v:.{places}f}\n" for v in (np.round(np.array(values), places) + 0.0).tolist())


@pytest.mark.parametrize("places", [4, 6])
def test_decimals_of_any_size_are_those_of_pythons_formatting(places: int) -> None:
    random = np.random.default_rng(places)
    values = random.uniform(-1.0, 1.0, 5000) * 10.0 ** random.uniform(-9.0, 9.0, 5000)
    written = lines_of([decimals(values, places), b"\n"]).decode().splitlines()
    for text, value in zip(written, plain(values.tolist(), places).splitlines(), strict=True):
        # Where the next digit is a five for all that doubles know, the two may round it differently.
        assert abs(float(text) - float(value)) <= 1.01 * 10.0**-places
        assert len(text.split(".")[1]) == places
        assert text != "-0." + "0" * places


def test_usual_coordinates_are_written_to_the_letter() -> None:
    values = [
        *np.random.default_rng(3).uniform(-500.0, 500.0, 20000).tolist(),
        0.0,
        -0.0,
        -1e-09,
        1e-07,
        999999.5,
    ]
    assert text_of(joined([decimals(np.array(values), 6), b"\n"])).decode() == plain(values, 6)


def test_numbers_too_great_for_the_table_are_written_all_the_same() -> None:
    values = [1e15, -2.5, 0.0]
    assert text_of(joined([decimals(np.array(values), 6), b"\n"])).decode() == plain(values, 6)


def test_integers_have_no_leading_zeros_and_rows_are_taken_by_number(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(text_table, "ROWS", 2)
    number = integers(np.array([0, 7, 10, 123]))
    rows = np.array([3, 0, 2, 1, 1])
    assert lines_of([b"f ", number, b"\n"], [None, rows, None]) == b"f 123\nf 0\nf 10\nf 7\nf 7\n"

"""What is said of the bar: which sat how, and that nothing is said of one that sat as stated."""

import numpy as np
import pytest

from seatmesh.gauge.bar.bar_report import bar_report, bar_words
from seatmesh.gauge.readings.readings import readings_on

TILT = np.tan(np.radians(0.3))


@pytest.fixture(scope="module")
def said(carved_seat, gauged, make_rows):
    def words(off, seed=21, units="mm"):
        return bar_words(readings_on(carved_seat, make_rows(gauged, off, seed=seed)).bars, units)

    return words


def test_a_bar_that_sat_as_stated_gets_no_word(said):
    assert said(0.0) == []


def test_all_rows_low_name_bar_height_and_rod_offset(said):
    (words,) = said(-1.0)
    assert words.startswith("Every row: the bar sat 1 mm low")
    assert "Bar height plus rod offset is 1 mm smaller than stated" in words
    (high,) = said(4.0)
    assert "the bar sat 4 mm high" in high
    assert "rod offset of 2 mm with the wrong sign" in high
    assert '1/16" high' in said(1.5875, units="in")[0]


def test_tilt_is_told_by_the_sitters_side(said, places):
    x, _ = places
    (left,) = said(TILT * x)
    assert float(left.split("sloped by ")[1].split()[0]) == pytest.approx(0.3, abs=0.02)
    assert "low on the sitter's left" in left
    (right,) = said(-TILT * x)
    assert "low on the sitter's right" in right


def test_sag_is_told_where_the_bar_hangs(said, places):
    x, _ = places
    (words,) = said(-0.9 * (1.0 - (x / 236.0) ** 2))
    # 0.9 mm over 472 mm, give or take a tenth.
    assert words.startswith(
        (
            "The bar hangs through by 0.8 mm",
            "The bar hangs through by 0.9 mm",
            "The bar hangs through by 1 mm",
        )
    )
    assert "in the middle of 472 mm" in words


def test_one_row_is_named(said, places):
    _, y = places
    (words,) = said(np.where(y == 150.0, -1.2, 0.0))
    assert words.startswith("Row 150 mm from the rear edge: the bar sat 1")
    assert "mm low" in words


def test_values_are_null_where_nothing_tells(carved_seat, gauged, make_rows, places):
    from dataclasses import replace

    x, _ = places
    rows = make_rows(gauged, TILT * x)
    gone = [replace(r, reading_mm=None) if r.y_mm == 200.0 and abs(r.x_mm) > 180.0 else r for r in rows]
    report = {one["row"]: one for one in bar_report(readings_on(carved_seat, gone).bars)}
    assert report[150.0]["tilt_deg"] == pytest.approx(0.3, rel=0.02)
    assert report[150.0]["height_mm"] == pytest.approx(0.0, abs=0.02)
    assert report[150.0]["told_by"] == 4
    assert report[200.0]["told_by"] == 0
    assert report[200.0]["height_mm"] is None
    assert report[200.0]["tilt_deg"] is None
    assert report[200.0]["height_error_mm"] > 1.5

"""Readings that no wood can have are set aside one by one; others count as if these had not been typed."""

from dataclasses import replace

import numpy as np
import pytest

from seatmesh import Adjustment, Gauge, Row, Seat, check_readings, gauge_report, gauge_sheet
from seatmesh.errors import FileRefusedError
from seatmesh.gauge.readings.set_aside import set_aside_implausible

SEAT = Seat(adjustments=(Adjustment(0.0, 200.0, 120.0, 14.0),))


def rows_of(bar_mm=60.0, left_mm=1.0, low_mm=0.0):
    """Return readings of a carving that has wood left in its hollow, from a bar that sits a little low."""
    rng = np.random.default_rng(5)
    sheet = gauge_sheet(SEAT, 40.0, Gauge(bar_height_mm=bar_mm))
    return [
        Row(
            n,
            one.point,
            one.x_mm,
            one.y_mm,
            one.expected_mm,
            one.expected_mm
            - (left_mm if one.expected_mm - one.datum_mm > 2.0 else 0.0)
            - low_mm
            + rng.normal(0.0, 0.05),
            one.datum_mm,
            placing=one.placing,
        )
        for n, one in enumerate(sheet.crossings, 2)
    ]


def typed(rows, at, value):
    return [replace(row, reading_mm=value) if k == at else row for k, row in enumerate(rows)]


def report(rows):
    return gauge_report(check_readings(SEAT, rows), "mm")


@pytest.mark.parametrize("low_mm", [0.0, 5.0])
@pytest.mark.parametrize(
    ("value", "words"),
    [
        (400.0, "read it again"),
        (7.2, "72 would fit: is a point misplaced"),
        (720.0, "72 would fit"),
        (-72.0, "never negative"),
        (2.8, "as inches it would be 71.1 mm"),
    ],
)
def test_one_slip_is_set_aside_and_the_check_is_as_without_it(value, words, low_mm):
    rows = rows_of(low_mm=low_mm)
    middle = next(k for k, row in enumerate(rows) if (row.x_mm, row.y_mm) == (0.0, 200.0))
    with pytest.raises(FileRefusedError):
        check_readings(SEAT, typed(rows, middle, value))
    kept, aside = set_aside_implausible(SEAT, typed(rows, middle, value))
    assert [(one.point, one.line, one.reading_mm) for one in aside] == [
        (rows[middle].point, rows[middle].line, value)
    ]
    assert words in aside[0].words
    assert report(kept) == report(typed(rows, middle, None))


def test_sound_readings_are_left_alone_and_so_is_what_was_given():
    rows = rows_of()
    kept, aside = set_aside_implausible(SEAT, rows)
    assert aside == ()
    assert kept == tuple(rows)


def test_slips_on_uncut_wood_do_not_speak_of_the_bar():
    rows = rows_of()
    row = next(row for row in rows if row.datum_mm == row.expected_mm)
    uncut = [k for k, one in enumerate(rows) if one.placing == row.placing]
    given = rows
    for k in uncut[:2]:
        given = typed(given, k, 600.0)
    _, aside = set_aside_implausible(SEAT, given)
    assert {one.reading_mm for one in aside} == {600.0}
    assert len(aside) == 2


def test_many_are_no_slips_and_are_refused_with_the_words_for_that():
    """Up to a fifth is set aside, more is not."""
    rows = rows_of()
    for share, is_aside in ((0.19, True), (0.21, False)):
        given = rows
        for k in np.linspace(0, len(rows) - 1, int(share * len(rows))).round().astype(int):
            given = typed(given, k, 720.0)
        kept, aside = set_aside_implausible(SEAT, given)
        assert bool(aside) == is_aside
        if is_aside:
            check_readings(SEAT, kept)
        else:
            with pytest.raises(FileRefusedError):
                check_readings(SEAT, kept)


def test_a_confirmed_slip_is_set_aside_with_its_second_reading():
    rows = rows_of()
    given = [replace(row, reading_mm=400.0, confirmed=True) if k == 40 else row for k, row in enumerate(rows)]
    kept, aside = set_aside_implausible(SEAT, given)
    assert len(aside) == 1
    assert (kept[40].reading_mm, kept[40].confirmed) == (None, False)
    check_readings(SEAT, kept)

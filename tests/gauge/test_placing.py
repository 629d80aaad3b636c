"""Which readings were taken with one setting down of the bar, and which way it lay."""

import pytest

from seatmesh.errors import InputError
from seatmesh.gauge.bar.placings import placings_of
from seatmesh.gauge.readings.readings_file import Row


def row(k, x, y, placing=None, **more):
    return Row(k + 2, k + 1, x, y, 65.0, 65.0, placing=placing, **more)


GRID = [(x, y) for y in (50.0, 100.0) for x in (-100.0, 0.0, 100.0)]


def test_numbers_tell_which_way_the_bar_lay():
    across = placings_of([row(k, *at, placing=1 + k // 3) for k, at in enumerate(GRID)], 430.0)
    assert across.stated
    assert across.of.tolist() == [0, 0, 0, 1, 1, 1]
    assert across.across.tolist() == [True, True]
    assert across.at_mm.tolist() == [50.0, 100.0]
    along = placings_of([row(k, *at, placing=1 + k % 3) for k, at in enumerate(GRID)], 430.0)
    assert along.of.tolist() == [0, 1, 2, 0, 1, 2]
    assert not along.across.any()
    assert along.along_mm.tolist() == [-165.0] * 3 + [-115.0] * 3  # from the middle of 430 mm


def test_without_numbers_rows_are_taken_unless_told():
    rows = [row(k, *at) for k, at in enumerate(GRID)]
    assert not placings_of(rows, 430.0).stated
    assert placings_of(rows, 430.0).of.tolist() == [0, 0, 0, 1, 1, 1]
    told = placings_of(rows, 430.0, "along")
    assert told.stated
    assert told.of.tolist() == [0, 1, 2, 0, 1, 2]


def test_a_second_file_is_another_placing_and_a_second_line_is_not():
    once = row(0, 0.0, 50.0)
    again = row(1, 0.0, 50.0)
    assert placings_of([once, again], 430.0).count == 1
    assert placings_of([once, row(1, 0.0, 50.0, source=1)], 430.0).count == 2
    assert placings_of([row(0, 0.0, 50.0, placing=1), row(1, 0.0, 50.0, placing=2)], 430.0).count == 2


@pytest.mark.parametrize("lie", [None, "along"])
def test_one_number_on_no_line_is_refused(lie):
    rows = [row(0, 0.0, 50.0, 1), row(1, 50.0, 50.0 if lie else 75.0, 1)]
    with pytest.raises(InputError, match="lines 2, 3: placing 1"):
        placings_of(rows, 430.0, lie)

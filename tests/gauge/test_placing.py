"""Which readings were taken with one setting down of the bar, and which way it lay."""

import numpy as np
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


def test_readings_lie_as_far_apart_as_they_do_on_the_blank():
    """Whichever way each of their bars lay."""
    rng = np.random.default_rng(4)
    x, y = rng.uniform(-200.0, 200.0, 12).round(1), rng.uniform(20.0, 400.0, 12).round(1)
    rows = [row(k, float(x[k]), float(y[k]), placing=k + 1) for k in range(12)]
    apart = np.hypot(np.subtract.outer(x, x), np.subtract.outer(y, y))
    for lie in ("across", "along"):
        got = placings_of(rows, 430.0, lie).apart_mm(np.arange(12))
        assert got == pytest.approx(apart, abs=1e-9)
    assert placings_of(rows, 430.0, "along").apart_mm(np.array([3, 5]))[0, 1] == pytest.approx(apart[3, 5])


def test_an_unnumbered_bar_lay_as_most_numbered_ones_did():
    """Numbers on columns say that it lay along, numbers on rows across; as many of each say nothing."""
    columns = [row(k, x, y, placing=1 + k % 3) for k, (x, y) in enumerate(GRID)]
    rows = [row(k + 20, x, 300.0 + y, placing=11 + k // 3) for k, (x, y) in enumerate(GRID)]
    bare = row(99, 25.0, 175.0)
    assert not placings_of([*columns, bare], 430.0).across[-1]
    assert placings_of([*rows, bare], 430.0).across[-1]
    assert placings_of([*columns, *rows, bare], 430.0).across.tolist() == [False] * 3 + [True] * 2 + [False]
    assert placings_of([*columns[:2], *columns[3:5], *rows, bare], 430.0).across[-1]


@pytest.mark.parametrize(("off", "allowed"), [(0.98, True), (1.02, False)])
def test_crossings_of_a_number_lie_on_a_line_within_a_millimetre(off, allowed):
    rows = [row(0, 0.0, 50.0, 1), row(1, 100.0, 50.0 + off, 1)]
    if allowed:
        assert placings_of(rows, 430.0).across.tolist() == [True]
    else:
        with pytest.raises(InputError, match="placing 1"):
            placings_of(rows, 430.0)


def test_a_bar_across_and_one_along_lie_as_far_apart_as_they_do():
    rows = [row(k, x, 120.0, placing=1) for k, x in enumerate((-100.0, 0.0, 80.0))]
    rows += [row(k + 3, 60.0, y, placing=2) for k, y in enumerate((50.0, 200.0, 380.0))]
    placings = placings_of(rows, 430.0)
    assert placings.across.tolist() == [True, False]
    at = np.array([[one.x_mm, one.y_mm] for one in rows])
    apart = np.hypot(*(at[:, None] - at).transpose(2, 0, 1))
    assert placings.apart_mm(np.arange(6)) == pytest.approx(apart)

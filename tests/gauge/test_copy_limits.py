"""What a copy asks of its readings, and what it takes them for: limits at both sides of each."""

import numpy as np
import pytest

from seatmesh.adjustment import Adjustment
from seatmesh.errors import FileRefusedError
from seatmesh.gauge.bar.gauge_sheet import gauge_sheet
from seatmesh.gauge.bar.rod_gauge import Gauge
from seatmesh.gauge.copy import copy_error, copy_readings, copy_seat
from seatmesh.gauge.copy.copy_readings import ReadingsToCopy, readings_to_copy
from seatmesh.gauge.readings.readings_file import Row
from seatmesh.surface import Seat, flat_seat
from seatmesh.wood.blank import Blank

BLANK = Blank(outline="straight-sided")


def row(point, x, y, reading=60.0, expected=None, datum=None):
    return Row(point, point, x, y, expected, reading, datum)


def expecting(*expected):
    return [row(k, 0.0, 100.0 + k, expected=mm) for k, mm in enumerate(expected, 2)]


def test_the_top_face_is_what_three_least_expected_readings_share_to_hundredths():
    """A gauge sheet rounds to hundredths of a millimetre: two of them apart are two readings, 0.015 and less is one."""
    datum, (note,) = copy_readings._datum(expecting(60.0, 60.0147, 60.0147, 66.0), None, "file")
    assert datum.tolist() == [60.0] * 4
    assert "60.00 mm" in note
    for others in ((60.0153, 60.0147, 66.0), (60.0, 66.0, 66.0)):
        with pytest.raises(FileRefusedError, match="no 3 crossings share"):
            copy_readings._datum(expecting(60.0, *others), None, "file")


@pytest.mark.parametrize(
    ("count", "seen", "enough"), [(39, 1.0, False), (40, 0.805, True), (40, 0.795, False)]
)
def test_forty_readings_over_four_fifths_of_the_hollow_are_needed(monkeypatch, count, seen, enough):
    monkeypatch.setattr(copy_readings, "_seen", lambda *_: seen)
    ahead = [row(k, -160.0 + 40.0 * (k % 9), 70.0 + 60.0 * (k // 9), datum=60.0) for k in range(count)]
    deck = [row(100 + k, -160.0 + 40.0 * k, 25.0, datum=60.0) for k in range(9)]
    if enough:
        ready = readings_to_copy([*deck, *ahead], BLANK, None, 0.0, "file")
        assert len(ready.rows) == count + 9
    else:
        with pytest.raises(FileRefusedError, match="are needed"):
            readings_to_copy([*deck, *ahead], BLANK, None, 0.0, "file")


def test_a_reading_sees_60_mm_around_it():
    """The round's share of what is ahead of the deck line of a straight-sided blank, its corners apart.

    A raster of 6 mm that leaves out its outermost places finds 4 % more; of 62 mm it would be 11 % more.
    """
    seen = copy_readings._seen(BLANK, np.zeros(1), np.array([240.0]))
    x, y = np.meshgrid(np.arange(-239.5, 240.0), np.arange(50.5, 430.0))
    ahead = np.count_nonzero(BLANK.inside_mm(x, y) > 0.0)
    assert seen == pytest.approx(np.pi * 60.0**2 / ahead, rel=0.06)


def deck_of(slope, places):
    x = np.resize(np.linspace(-200.0, 200.0, places), 12)
    return copy_readings._shift(1.0 + slope * x, np.ones(12, dtype=bool), x)[0] - 1.0, slope * x


@pytest.mark.parametrize(
    ("slope", "places", "told"), [(0.034, 4, True), (0.036, 4, False), (0.034, 3, False)]
)
def test_a_slope_is_told_by_four_places_of_the_deck_up_to_two_degrees(slope, places, told):
    """Two degrees are 0.035."""
    shift, tilt = deck_of(slope, places)
    if told:
        assert shift == pytest.approx(tilt)
    else:
        assert np.ptp(shift) == 0.0


def test_readings_of_one_crossing_confirm_each_other_within_eight_tenths():
    for off, apart, alike in ((0.79, 0.0, True), (0.81, 0.0, False), (0.1, 0.49, True), (0.1, 0.51, False)):
        x, y = np.array([0.0, apart]), np.full(2, 200.0)
        rows = [row(k, x[k], 200.0) for k in range(2)]
        assert copy_seat._confirmed(rows, x, y, np.array([0.0, off])).tolist() == [alike] * 2


def test_the_rim_is_40_mm_wide_and_the_rolled_edge_30_mm(monkeypatch):
    monkeypatch.setattr(copy_seat, "hollow_and_bars", lambda parts, _: parts)
    places = [(-240.0 + 39.5, 200.0), (-240.0 + 40.5, 200.0), (0.0, 430.0 - 29.5), (0.0, 430.0 - 30.5)]
    rows = tuple(row(k, *at) for k, at in enumerate(places, 2))
    for radius, rolls in ((0.0, [False, False, True, False]), (8.0, [False] * 4)):
        ready = ReadingsToCopy(rows, np.zeros(4), 1.0, ())
        parts, _ = copy_seat._fitted(ready, BLANK, "across", radius, "file")
        assert parts.rim.tolist() == [True, False, True, True]
        assert parts.rolls.tolist() == rolls


@pytest.mark.parametrize(("left_out", "dots"), [(8, False), (9, True)])
def test_up_to_eight_points_that_are_left_out_are_named(left_out, dots):
    (note,) = copy_seat._notes(flat_seat(), range(1, left_out + 1))
    assert ("1, 2, 3, 4, 5, 6, 7, 8..." in note) == dots
    assert "7, 8" in note
    assert "9" not in note.replace("left out", "")


@pytest.mark.parametrize(("gain", "lay"), [(11.8, "across"), (12.2, "along")])
def test_a_bar_lay_along_where_that_gains_twelve_in_log_likelihood(monkeypatch, gain, lay):
    """Clean carvings differ by 6 by chance: twice as much is plain."""
    monkeypatch.setattr(copy_seat, "hollow_and_bars", lambda parts, _: parts)
    monkeypatch.setattr(copy_seat, "gain_of_along", lambda *_: gain)
    rows = tuple(row(k, -100.0 + 50.0 * k, 100.0 + 40.0 * k) for k in range(5))
    _, (note,) = copy_seat._fitted(ReadingsToCopy(rows, np.zeros(5), 1.0, ()), BLANK, None, 0.0, "file")
    assert f"the bar is taken to lie {lay} the seat" in note


@pytest.mark.parametrize(("unlike", "told"), [(0.396, False), (0.404, True)])
def test_sides_are_unlike_from_four_tenths_beyond_the_scatter(monkeypatch, unlike, told):
    """Scatter and what the mean of two sides leaves add by their squares."""
    seat = Seat(BLANK, adjustments=(Adjustment(0.0, 220.0, 120.0, 8.0),))
    sheet = gauge_sheet(seat, 50.0, Gauge(bar_height_mm=60.0))
    rows = [
        Row(k, one.point, one.x_mm, one.y_mm, None, one.expected_mm, one.datum_mm)
        for k, one in enumerate(sheet.crossings, 2)
    ]
    monkeypatch.setattr(copy_seat, "_rms", lambda fit, _: np.hypot(fit.variances.scatter_mm, unlike))
    copied = copy_seat.copy_seat(rows, BLANK, sides="symmetric", lie="across")
    assert any("the two sides are unlike" in note for note in copied.notes) == told


def test_a_bar_that_is_out_is_taken_off_before_slips_are_looked_for():
    """All of it reads 9 mm too much: a reading 4 mm above the top face then shows 5 mm too much, and is a slip."""
    places = [(-160.0 + 40.0 * (k % 9), 70.0 + 40.0 * (k // 9)) for k in range(81)]
    ahead = [row(k, *at, reading=60.0 + 9.0 + 6.0, datum=60.0) for k, at in enumerate(places)]
    ahead[40] = row(40, *places[40], reading=60.0 + 9.0 - 4.0, datum=60.0)
    deck = [row(100 + k, -160.0 + 40.0 * k, 25.0, reading=69.0, datum=60.0) for k in range(9)]
    ready = readings_to_copy([*deck, *ahead], BLANK, None, 0.0, "file")
    assert 40 not in [one.point for one in ready.rows]
    assert any("point 40 reads 65 mm, 4.0 mm above" in note for note in ready.notes)
    assert len(ready.rows) == 89


def test_a_front_roll_is_no_part_of_the_hollow():
    """What the roll takes at the front edge, as a flat seat with that roll shows it, is taken off the reading."""
    rows = [row(k, -160.0 + 40.0 * (k % 9), 70.0 + 39.0 * (k // 9), datum=55.0) for k in range(90)]
    deck = [row(100 + k, -160.0 + 40.0 * k, 25.0, reading=55.0, datum=55.0) for k in range(9)]
    ready = readings_to_copy([*deck, *rows], BLANK, None, 30.0, "file")
    roll = Seat(BLANK, front_roll_mm=30.0).depth_mm(0.0, np.array([one.y_mm for one in ready.rows]))
    assert roll.max() > 2.0
    read = np.array([one.reading_mm for one in ready.rows])
    assert ready.off_mm == pytest.approx(read - 55.0 - roll)


def test_thirds_of_a_hollow_hold_as_many_places_each():
    """The half-width that holds 90 % where all of a third have the same one is that one."""
    half = np.repeat([0.2, 0.5, 0.3], 100)
    shares = copy_error._thirds(np.linspace(60.0, 360.0, 300), half)
    assert [one.half_width_mm for one in shares] == pytest.approx([0.2, 0.5, 0.3], rel=1e-4)

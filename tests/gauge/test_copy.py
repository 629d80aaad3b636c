"""A seat from its readings, against the seat that they were taken on."""

from dataclasses import replace

import numpy as np
import pytest

from seatmesh.errors import InputError
from seatmesh.formats.seat_file import read_seat, write_seat
from seatmesh.gauge.bar.gauge_sheet import gauge_sheet
from seatmesh.gauge.bar.rod_gauge import Gauge
from seatmesh.gauge.copy.copy_seat import copy_seat, mirrored_seat
from seatmesh.surface import flat_seat


def off_rms(copied, seat):
    half = 0.5 * seat.blank.width_mm
    x, y = np.meshgrid(np.arange(-half, half, 4.0), np.arange(0.0, seat.blank.depth_mm, 4.0))
    hollow = (seat.blank.inside_mm(x, y) > 0.0) & (seat.depth_mm(x, y) > 0.0)
    return float(np.sqrt(np.mean((copied.depth_mm(x, y) - seat.depth_mm(x, y))[hollow] ** 2)))


@pytest.mark.parametrize(("sides", "bound"), [("symmetric", 0.3), ("as carved", 0.3)])
def test_a_copy_is_the_seat_to_a_third_of_a_millimetre(carved_seat, gauged, make_rows, sides, bound):
    copied = copy_seat(make_rows(gauged, seed=3), carved_seat.blank, sides=sides, front_roll_mm=20.0)
    assert off_rms(copied.seat, carved_seat) < bound
    assert (copied.uneven_mm < 1e-9) == (sides == "symmetric")


def test_unlike_sides_are_kept_or_told(uneven_seat, make_rows):
    rows = make_rows(gauge_sheet(uneven_seat, 25.0, Gauge(60.0, 5.0)), seed=3)
    kept = copy_seat(rows, uneven_seat.blank, front_roll_mm=20.0)
    assert off_rms(kept.seat, uneven_seat) < 0.3
    assert kept.uneven_mm == pytest.approx(6.0, abs=1.2)
    mean = copy_seat(rows, uneven_seat.blank, sides="symmetric", front_roll_mm=20.0)
    assert "unlike" in mean.notes[0]


def test_a_mirrored_copy_exchanges_left_and_right(uneven_seat, make_rows, tmp_path):
    rows = make_rows(gauge_sheet(uneven_seat, 25.0, Gauge(60.0, 5.0)))
    seat = copy_seat(rows, uneven_seat.blank, front_roll_mm=20.0).seat
    other = mirrored_seat(seat)
    assert float(other.depth_mm(-80.0, 170.0)) == pytest.approx(float(seat.depth_mm(80.0, 170.0)), abs=1e-9)
    assert float(other.depth_mm(-80.0, 170.0)) > float(other.depth_mm(80.0, 170.0)) + 3.0
    write_seat(other, tmp_path / "seat.json")
    assert read_seat(tmp_path / "seat.json").title == "copied, mirrored"


def test_the_datum_comes_from_the_column_the_gauge_or_the_uncut_wood(carved_seat, gauged, make_rows):
    rows = make_rows(gauged)
    bare = tuple(replace(row, datum_mm=None) for row in rows)
    by_column = copy_seat(rows, carved_seat.blank, sides="symmetric")
    by_gauge = copy_seat(bare, carved_seat.blank, sides="symmetric", gauge=Gauge(60.0, 5.0))
    by_least = copy_seat(bare, carved_seat.blank, sides="symmetric")
    at = (np.array([0.0, 75.0]), np.array([150.0, 250.0]))
    np.testing.assert_allclose(by_gauge.seat.depth_mm(*at), by_column.seat.depth_mm(*at), atol=1e-6)
    np.testing.assert_allclose(by_least.seat.depth_mm(*at), by_column.seat.depth_mm(*at), atol=0.02)
    assert by_column.notes == by_gauge.notes
    assert not any("datum_mm" in note for note in by_column.notes)
    assert "65.00 mm, the least expected reading" in by_least.notes[0]
    deep = tuple(row for row in bare if row.expected_mm > 66.0)
    with pytest.raises(InputError, match="--bar-height-mm"):
        copy_seat(deep, carved_seat.blank)


def test_a_first_seat_needs_no_drawing(carved_seat, make_rows):
    sheet = gauge_sheet(flat_seat(carved_seat.blank), 25.0, Gauge(60.0, 5.0))
    depth = carved_seat.depth_mm([c.x_mm for c in sheet.crossings], [c.y_mm for c in sheet.crossings])
    copied = copy_seat(
        make_rows(sheet, depth, seed=1), carved_seat.blank, sides="symmetric", front_roll_mm=20.0
    )
    assert off_rms(copied.seat, carved_seat) < 0.3


def test_a_slip_does_not_spoil_a_symmetric_copy(carved_seat, gauged, make_rows):
    slip = np.where(np.arange(len(gauged.crossings)) == 120, 3.0, 0.0)
    copied = copy_seat(
        make_rows(gauged, slip, seed=3), carved_seat.blank, sides="symmetric", front_roll_mm=20.0
    )
    assert 121 in copied.misread
    assert off_rms(copied.seat, carved_seat) < 0.3


def test_a_reading_above_the_top_face_is_left_out_and_named(carved_seat, gauged, make_rows, places):
    rows = make_rows(gauged, seed=8)
    uncut = int(np.flatnonzero(carved_seat.depth_mm(*places) == 0.0)[9])
    out = tuple(
        replace(row, reading_mm=row.reading_mm - 5.0) if k == uncut else row for k, row in enumerate(rows)
    )
    copied = copy_seat(out, carved_seat.blank, front_roll_mm=20.0)
    assert any(f"line {uncut + 2}: point {uncut + 1} reads" in note for note in copied.notes)
    np.testing.assert_allclose(
        copied.seat.depth_mm(*places),
        copy_seat(rows, carved_seat.blank, front_roll_mm=20.0).seat.depth_mm(*places),
        atol=0.3,
    )


def test_a_bar_that_slopes_by_more_than_a_degree_is_told(carved_seat, gauged, make_rows, places):
    """At the ends of the rows readings stand 4.6 mm above and below those of a level bar."""
    rows = make_rows(gauged, places[0] * np.tan(np.radians(1.1)), seed=8)
    copied = copy_seat(rows, carved_seat.blank, front_roll_mm=20.0)
    assert off_rms(copied.seat, carved_seat) < 0.35


def test_a_further_row_needs_neither_expected_nor_datum(carved_seat, gauged, make_rows):
    rows = make_rows(gauged, seed=3)
    more = tuple(
        replace(row, line=900 + k, source=1, expected_mm=None, datum_mm=None)
        for k, row in enumerate(rows[140:160])
    )
    whole = copy_seat((*rows, *more), carved_seat.blank, sides="symmetric", front_roll_mm=20.0)
    assert whole.used + len(whole.misread) == len(rows) + 20
    assert off_rms(whole.seat, carved_seat) < 0.3


def test_where_nothing_was_read_is_told(carved_seat, gauged, make_rows):
    rows = [row for row in make_rows(gauged, seed=3) if row.y_mm < 360.0]
    made = copy_seat(rows, carved_seat.blank, front_roll_mm=20.0)
    words = next(note for note in made.notes if "too little was read nearby" in note)
    assert "from the rear edge: the depth there is known to" in words
    assert float(made.error.y_mm[np.argmax(made.error.half_width_mm)]) > 380.0


def test_a_copy_through_the_floor_says_so(carve, gauged, make_rows):
    thick = replace(carve().blank, floor_mm=30.0)
    assert "floor asks for 30 mm" in copy_seat(make_rows(gauged), thick, sides="symmetric").notes[-1]


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda rows, blank: copy_seat(rows[:60], blank), "readings ahead of the deck line"),
        (lambda rows, blank: copy_seat(rows, blank, sides="left"), "sides"),
        (lambda rows, blank: copy_seat(rows, blank, front_roll_mm=99.0), "front_roll_mm"),
        (lambda rows, blank: copy_seat(rows, replace(blank, width_mm=300.0)), "off the blank"),
        (
            lambda rows, blank: copy_seat((replace(rows[0], reading_mm=3.0), *rows[1:]), blank),
            "line 2.*as inches",
        ),
        (
            lambda rows, blank: copy_seat(rows, blank, gauge=Gauge(60.0, 5.0, rest_heights_mm=(0.0, 2.0))),
            "a level bar",
        ),
    ],
)
def test_what_cannot_be_copied_is_refused(carved_seat, gauged, make_rows, ask, words):
    with pytest.raises(InputError, match=words):
        ask(make_rows(gauged), carved_seat.blank)

"""Readings that cannot be meant: recognised, and refused by line with what to do."""

from dataclasses import replace

import numpy as np
import pytest

from seatmesh.errors import InputError
from seatmesh.fit.stages import stage
from seatmesh.gauge.bar.gauge_sheet import gauge_sheet
from seatmesh.gauge.check.check_readings import check_readings
from seatmesh.gauge.readings.readings import readings_on


def refused(seat, rows):
    with pytest.raises(InputError) as refusal:
        readings_on(seat, rows)
    return str(refusal.value)


def changed(rows, number, **values):
    return tuple(replace(row, **values) if k == number else row for k, row in enumerate(rows))


def test_sound_readings_pass_with_or_without_the_datum_column(carved_seat, gauged, make_rows, places):
    x, y = places
    hollow = carved_seat.depth_mm(x, y) > 2.0
    rows = make_rows(gauged, -2.0 * hollow, seed=1)
    bare = tuple(replace(row, datum_mm=None, mirror=None) for row in rows)
    with_datum, without = readings_on(carved_seat, rows), readings_on(carved_seat, bare)
    assert with_datum.to_take_mm[hollow].mean() == pytest.approx(2.0, abs=0.1)
    np.testing.assert_allclose(without.depth_mm, with_datum.depth_mm, atol=1e-3)
    assert with_datum.notes == ()
    # A crossing whose expected reading is not stated gets it from the seat.
    some = tuple(replace(row, expected_mm=None) if k % 3 else row for k, row in enumerate(bare))
    np.testing.assert_allclose(readings_on(carved_seat, some).depth_mm, with_datum.depth_mm, atol=1e-3)
    with pytest.raises(InputError, match="at least one line keeps expected_mm"):
        readings_on(carved_seat, tuple(replace(row, expected_mm=None) for row in bare))


def test_a_single_reading_above_the_top_face_is_questioned_and_many_are_refused(
    carved_seat, gauged, make_rows, places
):
    rows = make_rows(gauged, seed=4)
    uncut = np.flatnonzero(carved_seat.depth_mm(*places) == 0.0)
    one = changed(rows, uncut[7], reading_mm=rows[uncut[7]].reading_mm - 5.0)
    check = check_readings(carved_seat, one)
    assert check.state[uncut[7]] == "questioned"
    assert not check.cuts
    assert "read it again" in refused(
        carved_seat, changed(one, uncut[7], reading_mm=rows[uncut[7]].reading_mm - 5.0, confirmed=True)
    )
    every_tenth = tuple(
        replace(row, reading_mm=row.reading_mm - 5.0) if k % 10 == 0 else row for k, row in enumerate(rows)
    )
    assert "alike" in refused(carved_seat, every_tenth)


@pytest.mark.parametrize("out", [-10.0, -4.5, 5.0, 24.0])
def test_a_bar_far_out_is_told_and_not_taken_for_nonsense(carved_seat, gauged, make_rows, out):
    laid = readings_on(carved_seat, make_rows(gauged, out, seed=5))
    assert laid.bars.shift_mm() == pytest.approx(np.full(len(laid.point), out), abs=0.9)
    assert np.mean(np.abs(laid.to_take_mm)) < 0.4


def test_a_bar_too_far_out_is_refused_with_what_is_wrong(carved_seat, gauged, make_rows):
    words = refused(carved_seat, make_rows(gauged, -44.0))
    assert "bar height or rod offset is out by that" in words
    assert "44.0 mm too small throughout" in words
    assert "rod offset of 22.0 mm with the wrong sign" in words


def test_swapped_columns_are_recognised(carved_seat, gauged, make_rows):
    rows = make_rows(gauged, -1.0, seed=2)
    swapped = tuple(replace(row, expected_mm=row.reading_mm, reading_mm=row.expected_mm) for row in rows)
    assert "expected_mm and reading_mm look swapped" in refused(carved_seat, swapped)
    exchanged = tuple(replace(row, x_mm=row.y_mm, y_mm=row.x_mm) for row in rows)
    words = refused(carved_seat, exchanged)
    assert "x_mm and y_mm look swapped" in words
    assert "line" in words


@pytest.mark.parametrize(
    ("reading", "hint"),
    [
        (lambda r: r / 25.4, "as inches it would be"),
        (lambda r: r * 25.4, "read in mm and typed as inches"),
        (lambda r: -r, "never negative"),
        (lambda r: r * 10.0, "a point misplaced"),
        (lambda r: 130.0 - r, "depth subtracted"),
        (lambda r: 5.0 * r, "read it again"),
    ],
)
def test_another_unit_or_sign_is_recognised(carved_seat, gauged, make_rows, reading, hint):
    rows = make_rows(gauged)
    deep = next(k for k, row in enumerate(rows) if row.expected_mm > 80.0)
    words = refused(carved_seat, changed(rows, deep, reading_mm=reading(rows[deep].reading_mm)))
    assert f"line {deep + 2}:" in words
    assert hint in words


def test_a_place_off_the_blank_is_refused(carved_seat, gauged, make_rows):
    assert "line 12: point 11" in refused(carved_seat, changed(make_rows(gauged), 10, x_mm=260.0))


def test_another_seats_sheet_and_a_single_changed_line_are_refused(
    carved_seat, uneven_seat, gauged, make_rows
):
    assert "another seat's sheet" in refused(uneven_seat, make_rows(gauged))
    words = refused(carved_seat, changed(make_rows(gauged), 100, expected_mm=71.0))
    assert "line 102" in words
    assert "from the gauge sheet anew" in words


def test_a_stages_sheet_says_which_stage_it_fits(carved_seat, gauged, make_rows):
    half = gauge_sheet(stage(carved_seat, 0.5), 25.0, gauged.gauge)
    rows = tuple(row for row in make_rows(half) if row.y_mm < 400.0)
    assert "give --stage 0.5" in refused(carved_seat, rows)


def test_a_missing_row_gives_a_note_with_its_lines(carved_seat, gauged, make_rows):
    rows = make_rows(gauged)
    notes = readings_on(carved_seat, rows[:40] + rows[42:]).notes
    assert "between lines 41 and 44 points 41, 42 missing" in notes[0]


@pytest.mark.parametrize("step", [1, -1])
def test_readings_a_line_too_early_or_too_late_are_refused(carved_seat, gauged, make_rows, step):
    rows, start = make_rows(gauged, -1.5, seed=3), 120
    off = [row.reading_mm for row in rows]
    moved = off[:start] + ([*off[start + 1 :], None] if step > 0 else [off[start], *off[start:-1]])
    words = refused(carved_seat, tuple(replace(r, reading_mm=m) for r, m in zip(rows, moved, strict=True)))
    line = int(words.split("about line ")[1].split(":")[0])
    assert abs(line - (start + 2)) <= 6


def test_comparisons_need_a_pair_and_must_agree(carved_seat, gauged, make_rows):
    rows = make_rows(gauged)
    assert "no mirror image" in refused(carved_seat, changed(rows, 0, left_proud_mm=1.0))
    both = changed(changed(rows, 1, left_proud_mm=1.0), 2, left_proud_mm=-1.0)
    assert "keep one of the two" in refused(carved_seat, both)
    once = readings_on(carved_seat, changed(rows, 2, left_proud_mm=1.0))
    assert once.left_proud_mm[1] == 1.0
    assert np.isnan(once.left_proud_mm[2])

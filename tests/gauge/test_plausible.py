"""Readings that cannot be meant: recognised, and refused by line with what to do."""

from dataclasses import replace

import numpy as np
import pytest

from seatmesh.adjustment import Adjustment
from seatmesh.errors import InputError
from seatmesh.fit.stages import stage
from seatmesh.gauge.bar.gauge_sheet import gauge_sheet
from seatmesh.gauge.bar.rod_gauge import Gauge
from seatmesh.gauge.check.check_readings import check_readings
from seatmesh.gauge.readings import implausible_readings
from seatmesh.gauge.readings.readings import readings_on
from seatmesh.gauge.readings.readings_file import Row
from seatmesh.surface import Seat


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
    listed = [replace(row, counted="number") for row in rows[:40] + rows[42:]]
    assert not any("missing" in one for one in readings_on(carved_seat, listed).notes), (
        "nothing got lost of a list"
    )


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


def sheet_over(amount_mm, **changes):
    """A flat blank with one round hollow, its sheet's rows filled in as the sheet expects; the row at its middle."""
    seat = Seat(adjustments=(Adjustment(0.0, 200.0, 60.0, amount_mm),))
    crossings = gauge_sheet(seat, 25.0, Gauge(60.0, 5.0)).crossings
    rows = [
        Row(
            k + 2, c.point, c.x_mm, c.y_mm, c.expected_mm, c.expected_mm, c.datum_mm, placing=c.placing, **changes
        )
        for k, c in enumerate(crossings)
    ]  # fmt: skip
    return seat, rows, next(k for k, row in enumerate(rows) if (row.x_mm, row.y_mm) == (0.0, 200.0))


def refuses(seat, rows):
    try:
        readings_on(seat, rows)
    except InputError:
        return True
    return False


@pytest.mark.parametrize(
    ("key", "passes", "refused_from"),
    [
        # Another seat's: an expected reading three tenths off, where the sheet is written to a hundredth.
        ("expected_mm", 0.295, 0.305),
        ("expected_mm", -0.295, -0.305),
        # Wood through the blank's 45 mm; wood that stands 8 mm above it is more than a slip of the rod.
        ("reading_mm", 34.9, 35.1),
        ("reading_mm", -17.9, -18.1),
    ],
)
def test_what_one_reading_may_be_off(key, passes, refused_from):
    seat, rows, k = sheet_over(10.0)
    for off, out in ((passes, False), (refused_from, True)):
        changed = list(rows)
        changed[k] = replace(rows[k], **{key: getattr(rows[k], key) + off})
        assert refuses(seat, changed) == out, off


def test_a_place_may_lie_a_millimetre_off_the_edge():
    seat, rows, _ = sheet_over(10.0)
    x, y = np.array([-240.9, -241.1]), np.array([200.0, 200.0])
    implausible_readings.refuse_off_blank(seat, rows, x[:1], y[:1], "readings")
    with pytest.raises(InputError, match="lies off the blank"):
        implausible_readings.refuse_off_blank(seat, rows, x[1:], y[1:], "readings")


def test_single_slips_are_those_between_three_and_eight_millimetres_above_the_top_face():
    rows = sheet_over(10.0)[1][:297]
    depth = np.zeros(len(rows))

    def slips(*proud):
        off = depth.copy()
        off[: len(proud)] = -np.array(proud)
        return int(implausible_readings.slips(rows, off).sum())

    assert (slips(2.95), slips(3.05), slips(7.9), slips(8.1)) == (0, 1, 1, 0)
    # No more than one in fifty is a slip; a sheet of few may have one all the same.
    assert (slips(*[4.0] * 5), slips(*[4.0] * 6)) == (5, 0)
    assert implausible_readings.slips(rows[:10], np.array([-4.0, *[0.0] * 9])).sum() == 1


def test_what_all_uncut_wood_says_is_believed_up_to_25_millimetres():
    uncut, placing = np.ones(20, dtype=bool), np.zeros(20, dtype=np.int64)
    for out, believed in ((24.5, 24.5), (-24.5, -24.5), (25.5, 0.0)):
        shift = implausible_readings.plain_shift(np.full(20, out), uncut, placing)
        assert shift == pytest.approx(believed)
    # Where six in ten agree, within 3 mm of their middle.
    for agree, apart, middle in ((12, 9.0, 5.0), (11, 9.0, 0.0), (11, 2.95, 5.0), (11, 3.05, 0.0)):
        off = np.where(np.arange(20) < agree, 5.0, 5.0 + apart * np.where(np.arange(20) % 2, 1.0, -1.0))
        assert implausible_readings.out_on_uncut(off) == pytest.approx(middle), (agree, apart)


def a_line_late(length=30):
    """Readings of rough wood of which, from line 15 on, each stands on the line before its own."""
    rng = np.random.default_rng(5)
    expected = np.cumsum(rng.choice([-1.0, 1.0], length))
    read = expected.copy()
    read[15:-1] = expected[16:]
    return read, expected


@pytest.mark.parametrize(("least", "refused_so"), [(0.98, True), (1.02, False)])
def test_readings_stand_on_wrong_lines_from_eight_millimetres_of_roughness_on(least, refused_so):
    """The readings are scaled until what they gain lies just above the limit, and just below it."""
    read, expected = a_line_late()
    rows = [Row(k + 2, k + 1, 0.0, 0.0, 65.0, 65.0, 65.0) for k in range(len(read))]
    own, other = read - expected, read - np.append(expected[1:], expected[-1])

    def roughness(off):
        return np.minimum(np.abs(off[2:] - off[:-2]), 4.0)

    gain = float(np.cumsum((roughness(own) - roughness(other))[::-1]).max())
    scale = 8.0 / gain / least
    assert gain * scale == pytest.approx(8.0 / least)

    def given():
        implausible_readings.refuse_shifted(rows, read * scale, expected * scale, "readings")

    assert roughness(own * scale).max() < 4.0
    if refused_so:
        with pytest.raises(InputError, match="crossing after theirs"):
            given()
    else:
        given()


def sheet_on(target, expected, read=None):
    rows = tuple(
        Row(k + 2, k, 10.0 * k, 100.0, None, None if read is None else read[k]) for k in range(len(target))
    )
    seat = Seat(adjustments=(Adjustment(0.0, 300.0, 60.0, 3.0),))
    datum = np.full(len(target), 60.0)
    return implausible_readings._what_else(seat, rows, np.asarray(expected) + 60.0, datum, np.asarray(target))


@pytest.mark.parametrize(
    ("share", "said"), [(0.049, False), (0.053, True), (0.985, True), (0.995, False), (1.02, False)]
)
def test_a_share_of_the_depth_is_a_stage(share, said):
    deep = np.full(10, 12.0)
    assert ("the sheet is of that stage" in sheet_on(deep, share * deep)) == said


def test_four_fifths_of_the_depths_have_to_fit_a_stage_within_three_hundredths():
    """Of eleven shares the ninth in order is the quantile of 0.8."""
    deep = np.full(11, 10.0)
    for off, others, said in ((0.0294, 0.2, True), (0.0306, 0.0, False)):
        shares = np.array([0.5] * 8 + [0.5 + off] + [0.5 + off + others] * 2)
        assert ("the sheet is of that stage" in sheet_on(deep, shares * deep)) == said


@pytest.mark.parametrize(
    ("off", "fitting", "count", "said"),
    [
        (0.029, 9, 10, True),
        (0.031, 9, 10, False),
        (0.0, 8, 10, False),
        (0.0, 9, 11, True),
        (0.0, 4, 4, True),
        (0.0, 3, 3, False),
    ],
)
def test_columns_are_swapped_where_more_than_four_fifths_read_what_is_expected(off, fitting, count, said):
    """A sheet is written to a hundredth: read is what it says within three of them."""
    target = np.linspace(2.0, 12.0, count)
    read = 60.0 + target + np.where(np.arange(count) < fitting, off, 2.0)
    assert ("expected_mm and reading_mm look swapped" in sheet_on(target, 3.0 * target, read)) == said


@pytest.mark.parametrize(("known", "sloped"), [(5, False), (6, True)])
def test_six_estimates_of_the_top_face_make_a_plane_and_fewer_a_height(known, sloped):
    x = np.array([-200.0, 200.0, -200.0, 200.0, 0.0, 0.0, 100.0, -100.0])
    y = np.array([50.0, 50.0, 350.0, 350.0, 200.0, 300.0, 150.0, 250.0])
    top = 60.0 + 0.01 * x - 0.005 * y
    rows = [Row(k + 2, k, x[k], y[k], None, None) for k in range(8)]
    told = np.where(np.arange(8) < known, top, np.nan)
    datum = implausible_readings.datum_of(rows, told)
    if sloped:
        assert datum == pytest.approx(top, abs=1e-6)
    else:
        assert np.ptp(datum) == 0.0


@pytest.mark.parametrize(("length", "refused_so"), [(10, False), (11, True)])
def test_readings_on_wrong_lines_are_told_by_nine_differences_and_more(length, refused_so):
    """The first two have none; eight more may lie alike by chance, however great they are."""
    read, expected = np.append(np.arange(1.0, length), 0.0) ** 2, np.arange(float(length)) ** 2
    rows = [Row(k + 2, k + 1, 0.0, 0.0, 65.0, 65.0, 65.0) for k in range(length)]
    if refused_so:
        with pytest.raises(InputError, match="crossing after theirs"):
            implausible_readings.refuse_shifted(rows, read, expected, "readings")
    else:
        implausible_readings.refuse_shifted(rows, read, expected, "readings")


def test_a_single_difference_counts_as_four_millimetres_at_most():
    off = np.array([0.0, 0.0, 3.9, -9.0, 3.9, -4.9])
    assert implausible_readings._rough(off) == pytest.approx([0.0, 0.0, 3.9, 4.0, 0.0, 4.0])


@pytest.mark.parametrize(("value", "right"), [(575.0, "57.5"), (7.0, "70"), (10.4, "104")])
def test_a_misplaced_point_is_put_right_where_that_would_fit(value, right):
    """From 57 to 105 mm can be read on a top face at 60 mm of a blank 45 mm thick."""
    with pytest.raises(InputError, match=f" {right} would fit: is a point misplaced"):
        implausible_readings.refuse_implausible(
            [Row(2, 1, 0.0, 100.0, None, value)], np.array([value]), np.array([60.0]), 45.0, "file"
        )

"""Verdicts: what is sure is ordered, what the bar leaves open is questioned, and what was confirmed is wood."""

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from seatmesh.gauge.bar.gauge_sheet import gauge_sheet, sheet_csv
from seatmesh.gauge.bar.rod_gauge import Gauge
from seatmesh.gauge.check.check_readings import check_readings
from seatmesh.gauge.check.further.further_sheet import further_csv
from seatmesh.gauge.check.verdict import AGAIN, CONTRADICTED, DATUM, SIT_ANEW, WITHIN
from seatmesh.gauge.readings.readings_file import parse_readings
from seatmesh.surface import flat_seat


@pytest.fixture(scope="module")
def depth(carved_seat, places):
    return carved_seat.depth_mm(*places)


def states(check):
    return Counter(check.state)


def with_more(rows, more):
    return (*rows, *(replace(row, line=2000 + k) for k, row in enumerate(more)))


def read(rows, depth_off, seed, **more):
    rng = np.random.default_rng(seed)
    return [
        replace(row, reading_mm=row.expected_mm + depth_off(row) + rng.normal(0.0, 0.25), **more)
        for row in rows
    ]


@pytest.mark.parametrize("low", [-1.0, 1.0, 5.0])
def test_a_bar_that_sits_low_is_no_order_to_cut(carved_seat, gauged, make_rows, low):
    check = check_readings(carved_seat, make_rows(gauged, low, seed=31))
    assert check.cuts == ()
    assert set(check.state) == {"done"}
    assert check.finished


def test_wood_left_is_told_from_a_bar_that_sits_low(carved_seat, gauged, make_rows, depth):
    left = np.minimum(depth, 1.0)
    check = check_readings(carved_seat, make_rows(gauged, -1.0 - left, seed=32))
    hollow = depth > 1.5
    found = np.array(check.state)[hollow]
    assert np.mean(found == "take") > 0.95
    assert np.mean(check.fair_to_take_mm[hollow]) == pytest.approx(1.0, abs=0.15)
    assert set(np.array(check.state)[depth <= 0.0]) == {"done"}
    assert sum(one.area_cm2 for one in check.cuts) > 500.0


def test_a_row_whose_bar_is_not_told_gets_no_order(carved_seat, gauged, make_rows, depth):
    rows = make_rows(gauged, -np.minimum(depth, 1.0), seed=33)
    bare = [r for r, d in zip(rows, depth, strict=True) if not (r.y_mm == 200.0 and d <= 0.02)]
    check = check_readings(carved_seat, bare)
    here = np.array([r.y_mm == 200.0 for r in bare])
    assert set(np.array(check.state)[here]) == {"questioned"}
    assert set(np.array(check.why)[here]) == {DATUM}
    assert all(abs(one.y_mm - 200.0) > 12.5 for one in check.cuts)
    # Set down anew, with uncut wood and three crossings read again, the row is told and ordered.
    asked = [r for r in parse_readings(further_csv(check)) if r.y_mm == 200.0]
    assert sum(carved_seat.depth_mm(r.x_mm, r.y_mm) <= 0.02 for r in asked) == 4
    more = read(asked, lambda r: -min(1.0, float(carved_seat.depth_mm(r.x_mm, r.y_mm))) + 0.7, 34, source=1)
    again = check_readings(carved_seat, with_more(bare, more))
    told = np.array(again.state)[: len(bare)][here]
    assert np.mean(told == "take") > 0.6


def test_one_end_alone_tells_nothing_of_the_other(carved_seat, gauged, make_rows):
    rows = [r for r in make_rows(gauged, seed=35) if not (r.y_mm == 200.0 and r.x_mm > 210.0)]
    check = check_readings(carved_seat, rows)
    far = [s for r, s in zip(rows, check.state, strict=True) if r.y_mm == 200.0 and r.x_mm >= 100.0]
    assert set(far) == {"questioned"}
    assert check.cuts == ()


def test_sag_that_nothing_tells_leaves_the_middle_open(carved_seat, gauged, make_rows, depth):
    """Without the deck and the front, rims near the rests tell height and tilt, and nothing of sag."""
    rows = make_rows(gauged, seed=36)
    kept = [
        r
        for r, d in zip(rows, depth, strict=True)
        if 120.0 <= r.y_mm <= 250.0 and (d > 0.02 or abs(r.x_mm) > 210.0)
    ]
    check = check_readings(carved_seat, kept)
    middle = [s for r, s in zip(kept, check.state, strict=True) if abs(r.x_mm) <= 50.0]
    assert set(middle) == {"questioned"}


def test_a_row_without_uncut_wood_is_told_by_setting_the_bar_down_anew(carve):
    """A hollow that runs to the sides: the deck tells the bar's height, a second setting that rows sit alike."""
    seat = carve(width_mm=400.0)
    sheet = gauge_sheet(seat, 25.0, Gauge(60.0, 5.0, "across", (-199.0, 199.0)))
    rng = np.random.default_rng(37)

    def reading(expected):
        return expected - 1.0 * (expected > 68.0) + rng.normal(0.0, 0.2)

    rows = [replace(r, reading_mm=reading(r.expected_mm)) for r in parse_readings(sheet_csv(sheet))]
    once = check_readings(seat, rows)
    hollow = [s for r, s in zip(rows, once.state, strict=True) if 125.0 <= r.y_mm <= 250.0]
    assert set(hollow) == {"questioned"}
    assert all(not 125.0 <= one.y_mm <= 250.0 for one in once.cuts)
    assert SIT_ANEW in once.why
    asked = parse_readings(further_csv(once))
    more = [replace(r, source=1, reading_mm=reading(r.expected_mm)) for r in asked]
    again = check_readings(seat, with_more(rows, more))
    hollow = [
        s for r, s in zip(rows, again.state, strict=False) if 125.0 <= r.y_mm <= 250.0 and abs(r.x_mm) < 150.0
    ]
    assert np.mean([s == "take" for s in hollow]) > 0.8


BOWL = (50.0, 200.0)


def bowl(row):
    return 2.0 * max(0.0, 1.0 - ((row.x_mm - BOWL[0]) ** 2 + (row.y_mm - BOWL[1]) ** 2) / 30.0**2)


def test_a_small_bowl_is_never_dropped_and_confirmed_it_is_too_deep(carved_seat, gauged, make_rows):
    rows = make_rows(gauged, [bowl(c) for c in gauged.crossings], seed=38)
    once = check_readings(carved_seat, rows)
    middle = next(k for k, r in enumerate(rows) if (r.x_mm, r.y_mm) == BOWL)
    assert once.state[middle] in ("questioned", "too_deep")
    assert not once.finished
    asked = [r for r in rows if np.hypot(r.x_mm - BOWL[0], r.y_mm - BOWL[1]) < 30.0]
    for more in (
        with_more(rows, read(asked, bowl, 39)),
        tuple(replace(r, confirmed=r in asked) for r in rows),
    ):
        again = check_readings(carved_seat, more)
        assert again.state[middle] == "too_deep"
        assert -again.readings.to_take_mm[middle] == pytest.approx(2.0, abs=0.6)
        assert not again.finished


def test_a_slip_that_is_read_again_is_misread_and_the_seat_finished(carved_seat, gauged, make_rows):
    k = 150
    assert not gauged.crossings[k].uncut
    rows = list(make_rows(gauged, seed=40))
    right = rows[k]
    rows[k] = replace(right, reading_mm=right.reading_mm - 1.5)
    once = check_readings(carved_seat, rows)
    assert (once.state[k], once.why[k]) == ("questioned", AGAIN)
    assert not once.finished
    again = check_readings(carved_seat, with_more(rows, read([right], lambda r: 0.0, 41)))
    assert (again.state[k], again.state[-1]) == ("misread", "done")
    assert again.finished
    # Read the same once more it is wood that stands, whatever the neighbours say.
    stands = check_readings(carved_seat, with_more(rows, [rows[k]]))
    assert stands.state[k] == stands.state[-1] == "take"


def test_two_readings_of_which_neither_fits_are_both_questioned(carved_seat, gauged, make_rows):
    k = 150
    rows = list(make_rows(gauged, seed=42))
    right = rows[k]
    rows[k] = replace(right, reading_mm=right.reading_mm - 1.5)
    check = check_readings(carved_seat, with_more(rows, [replace(right, reading_mm=right.reading_mm + 1.6)]))
    assert (check.state[k], check.state[-1]) == ("questioned", "questioned")
    assert check.why[k] == CONTRADICTED
    assert not check.finished


def test_a_second_setting_that_nothing_tells_confirms_no_slip(carved_seat, gauged, make_rows):
    """A new setting without uncut wood could be as low as one likes: it must not agree with anything."""
    k = 150
    rows = list(make_rows(gauged, seed=43))
    right = rows[k]
    rows[k] = replace(right, reading_mm=right.reading_mm + 1.5)
    check = check_readings(carved_seat, with_more(rows, [replace(right, placing=99)]))
    assert not check.confirmed.any()
    assert check.state[k] in ("misread", "questioned")


@pytest.mark.parametrize("where", [(50.0, 50.0), (225.0, 200.0)])
def test_a_chip_in_uncut_wood_is_questioned_and_orders_nothing(carved_seat, gauged, make_rows, where):
    k = next(k for k, c in enumerate(gauged.crossings) if (c.x_mm, c.y_mm) == where)
    off = np.zeros(len(gauged.crossings))
    off[k] = 1.5
    check = check_readings(carved_seat, make_rows(gauged, off, seed=44))
    assert check.state[k] == "questioned"
    assert check.cuts == ()
    assert "take" not in check.state
    confirmed = [replace(r, confirmed=j == k) for j, r in enumerate(make_rows(gauged, off, seed=44))]
    assert check_readings(carved_seat, confirmed).state[k] == "too_deep"


def test_a_deck_scraped_at_one_place_does_not_move_the_bar(carved_seat, gauged, make_rows, places):
    x, y = places
    scraped = np.where((y <= 50.0) & (x > 60.0) & (x < 160.0), 0.3, 0.0)
    check = check_readings(carved_seat, make_rows(gauged, scraped, seed=45))
    assert check.cuts == ()
    assert np.abs(check.readings.bars.shift_mm()).max() < 0.5


def test_a_flat_blank_is_done_whatever_the_bar(make_rows):
    seat = flat_seat()
    sheet = gauge_sheet(seat, 50.0, Gauge(60.0, 5.0))
    check = check_readings(seat, make_rows(sheet, -1.0, seed=46))
    assert states(check)["take"] == 0
    assert check.cuts == ()


def test_a_bar_along_is_told_column_by_column(carved_seat, make_rows):
    sheet = gauge_sheet(carved_seat, 25.0, Gauge(60.0, 5.0, "along"))
    own = np.random.default_rng(47).normal(0.0, 0.5, 40)[[c.placing for c in sheet.crossings]]
    rows = make_rows(sheet, own, seed=48)
    check = check_readings(carved_seat, rows)
    assert "take" not in check.state
    assert {one["lie"] for one in bar_of(check)} == {"along"}
    # Without the column uncut wood says so itself.
    bare = check_readings(carved_seat, [replace(r, placing=None) for r in rows])
    assert "lay along the seat" in " ".join(bare.readings.notes)
    assert "take" not in bare.state


def bar_of(check):
    from seatmesh.gauge.bar.bar_report import bar_report

    return bar_report(check.readings.bars)


def test_the_five_columns_are_enough(carved_seat, gauged, make_rows):
    rows = [replace(r, placing=None, datum_mm=None, mirror=None) for r in make_rows(gauged, -1.0, seed=49)]
    check = check_readings(carved_seat, rows)
    assert check.cuts == ()
    assert "taken to lie across the seat" in " ".join(check.readings.notes)


def test_done_is_said_where_19_of_20_would_be():
    """One-sided 95 % of the normal law."""
    assert pytest.approx(norm.ppf(0.95), abs=1e-3) == WITHIN

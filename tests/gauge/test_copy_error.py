"""The stated error of a copied seat, and how the bar is put right by uncut wood; the carvings are no splines."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from seatmesh.errors import FileRefusedError
from seatmesh.gauge.bar.gauge_sheet import gauge_sheet
from seatmesh.gauge.bar.rod_gauge import Gauge
from seatmesh.gauge.copy import copy_error
from seatmesh.gauge.copy.copy_error import NORMAL_90, _deepest, _typical
from seatmesh.gauge.copy.copy_seat import copy_seat
from seatmesh.gauge.copy.copy_words import bar_notes, error_facts, error_words
from seatmesh.surface import flat_seat
from seatmesh.wood.blank import Blank

ROLL_MM = 20.0


@pytest.fixture(scope="module")
def read(carved_seat):
    """Rows of a flat sheet read over the usual carved seat by a bar that adds something at each crossing."""
    crossings = gauge_sheet(flat_seat(carved_seat.blank), 25.0, Gauge(60.0, 5.0)).crossings

    def rows(add, seed=1, keep=lambda x, y: True):
        from seatmesh.gauge.readings.readings_file import Row

        rng = np.random.default_rng(seed)
        return tuple(
            Row(
                k + 2, c.point, c.x_mm, c.y_mm, c.expected_mm,
                c.datum_mm + float(carved_seat.depth_mm(c.x_mm, c.y_mm)) + add(c.x_mm, c.y_mm) + rng.normal(0.0, 0.2),
                c.datum_mm,
            )
            for k, c in enumerate(crossings) if keep(c.x_mm, c.y_mm)
        )  # fmt: skip

    return rows


def copied(rows, seat, **how):
    return copy_seat(rows, seat.blank, front_roll_mm=ROLL_MM, lie="across", **how)


def off_mean(made, seat):
    """Mean error over the bottom of the hollow."""
    x, y = np.meshgrid(np.arange(-200.0, 201.0, 5.0), np.arange(60.0, 400.0, 5.0))
    bottom = seat.depth_mm(x, y) > 9.0
    return float(np.mean((made.seat.depth_mm(x, y) - seat.depth_mm(x, y))[bottom]))


BARS = {
    "1 mm low": lambda x, y: -1.0,
    "1 mm high": lambda x, y: 1.0,
    "0.3 degrees": lambda x, y: np.tan(np.radians(0.3)) * x,
    "0.8 mm of sag": lambda x, y: -0.8 * (1.0 - (x / 225.0) ** 2),
    "rows off by turns": lambda x, y: 0.5 * np.sin(1.7 * y),
}


@pytest.mark.parametrize("bar", BARS)
def test_a_wrong_bar_is_put_right_and_the_interval_holds(carved_seat, read, bar):
    made = copied(read(BARS[bar]), carved_seat)
    off = off_mean(made, carved_seat)
    assert abs(off) < 0.3
    assert abs(off) < made.error.bottom_half_width_mm
    x, y, half = made.error.x_mm, made.error.y_mm, made.error.half_width_mm
    held = np.abs(made.seat.depth_mm(x, y) - carved_seat.depth_mm(x, y)) <= half
    assert np.mean(held) > 0.85
    assert made.error.deepest_mm[0] < float(carved_seat.depth_mm(x, y).max()) < made.error.deepest_mm[1]


def test_the_bars_are_told_with_their_errors(carved_seat, read):
    def add(x, y):
        return -1.0 + 0.004 * x - 0.6 * (1.0 - (x / 200.0) ** 2) + (1.5 if y == 150.0 else 0.0)

    bars = copied(read(add), carved_seat).bars
    row = np.flatnonzero(bars.placings.at_mm == 150.0)[0]
    others = np.arange(len(bars.height_mm)) != row
    assert np.median(bars.height_mm[others]) == pytest.approx(-1.0, abs=0.2)
    assert bars.height_mm[row] == pytest.approx(0.5, abs=3.0 * bars.height_error_mm[row])
    assert 0.03 < bars.height_error_mm[row] < 0.4
    # A rise of 0.004 is 0.229 degrees.
    assert np.median(bars.tilt_deg) == pytest.approx(0.229, abs=0.04)
    assert bars.sag_mm == pytest.approx(0.6, abs=3.0 * bars.sag_error_mm)
    assert bars.told_by[bars.placings.at_mm == 25.0] >= 15
    words = " ".join(bar_notes(bars, "mm"))
    assert "row 150 mm from the rear edge: the bar sat" in words
    assert "high against the others" in words
    assert "too little throughout" in words
    assert "lower in its middle" in words


def test_less_uncut_wood_makes_the_interval_wider_and_is_asked_for(carved_seat, read):
    whole = copied(read(BARS["0.8 mm of sag"]), carved_seat)
    # Neither the deck nor what lies beyond the hollow's widest part is read.
    few = copied(read(BARS["0.8 mm of sag"], keep=lambda x, y: y > 55.0 and abs(x) < 222.0), carved_seat)
    assert few.error.bottom_half_width_mm > 1.5 * whole.error.bottom_half_width_mm
    assert abs(off_mean(few, carved_seat)) < few.error.bottom_half_width_mm
    assert few.bars.sag_error_mm > 1.6 * whole.bars.sag_error_mm


def test_no_uncut_wood_is_refused_with_what_to_read(carved_seat, read):
    inner = read(lambda x, y: 0.0, keep=lambda x, y: float(carved_seat.depth_mm(x, y)) > 2.0)
    with pytest.raises(FileRefusedError, match=r"uncut wood.*read the deck"):
        copied(inner, carved_seat)


def test_a_roll_that_is_not_stated_is_left_out_and_no_bar(carved_seat, read):
    """The roll of 20 mm is 4.2 mm deep 5 mm from the front edge, all along the row."""
    made = copy_seat(read(BARS["rows off by turns"]), carved_seat.blank, lie="across")
    assert any("readings along the front edge are left out" in note for note in made.notes)
    assert not any("row 425" in note and "sat" in note for note in made.notes)
    assert made.misread == ()
    stated = copied(read(BARS["rows off by turns"]), carved_seat)
    assert stated.used > made.used
    assert not any("front edge are left out" in note for note in stated.notes)


def test_a_deck_that_is_not_flat_is_refused(carved_seat, read):
    """The hollow starts 50 mm from the rear edge; a blank with a deck of 120 mm is another one."""
    other = replace(carved_seat, blank=replace(carved_seat.blank, deck_mm=120.0))
    with pytest.raises(FileRefusedError, match=r"readings on the deck .* off flat.*deck_mm"):
        copied(read(lambda x, y: 0.0), other)


def test_the_words_and_the_json_say_the_same(carved_seat, read):
    made = copied(read(BARS["1 mm low"]), carved_seat, sides="symmetric")
    facts, words = error_facts(made.error, made.bars), error_words(made.error, "mm", True)
    interval = facts["interval_90"]
    assert words.startswith("The mean depth of the two sides")
    assert f"known to {interval['depth_half_width_mm']:.2f} mm either way (90 %)" in words
    assert len(interval["parts"]) == 3
    assert {one["lie"] for one in facts["bar"]} == {"across"}
    assert {one["row"] for one in facts["bar"]} == {25.0 * k for k in range(1, 18)}
    assert interval["deepest_mm"][0] < interval["deepest_mm"][1]
    place = max(interval["places"], key=lambda one: one["depth_mm"])
    assert place["depth_mm"] == pytest.approx(
        float(made.seat.depth_mm(place["x_mm"], place["y_mm"])), abs=1e-3
    )
    assert '"' in error_words(made.error, "in", False)


def test_noise_widens_the_interval_in_proportion(carved_seat, read):
    quiet = copied(read(lambda x, y: 0.0, seed=2), carved_seat)
    rng = np.random.default_rng(9)
    loud = tuple(
        replace(row, reading_mm=row.reading_mm + rng.normal(0.0, 0.6)) for row in read(lambda x, y: 0.0, 2)
    )
    assert 1.5 < copied(loud, carved_seat).error.typical_mm / quiet.error.typical_mm < 3.5


def test_a_reading_that_nothing_bears_out_is_named_and_one_read_twice_is_kept(carved_seat, read):
    rows = list(read(lambda x, y: 0.0))
    k = next(i for i, row in enumerate(rows) if (row.x_mm, row.y_mm) == (75.0, 200.0))
    rows[k] = replace(rows[k], reading_mm=rows[k].reading_mm + 3.0)
    once = copied(rows, carved_seat)
    assert rows[k].point in once.misread
    assert any("read again with the bar set down anew" in note for note in once.notes)
    again = replace(rows[k], line=900, source=1, reading_mm=rows[k].reading_mm + 0.2)
    assert rows[k].point not in copied((*rows, again), carved_seat).misread
    rows[k] = replace(rows[k], confirmed=True)
    assert rows[k].point not in copied(rows, carved_seat).misread


def test_a_bar_along_is_found_without_being_stated(by_feel):
    crossings = gauge_sheet(flat_seat(Blank()), 25.0, Gauge(60.0, 5.0, lie="along")).crossings
    x, y = (np.array([getattr(c, name) for c in crossings]) for name in ("x_mm", "y_mm"))
    rng = np.random.default_rng(3)
    one = by_feel.carving(rng)
    rows = by_feel.readings(rng, (x, y), one, "plain", by_feel.Bars(), "along")
    assert not copy_seat(rows, one.blank).bars.placings.across.any()


def test_of_one_place_the_greatest_depths_interval_is_the_normal_one(monkeypatch):
    """Quantiles of 5 and 95 % of a normal depth, 1.6449 deviations, times 1.2 for bars that are less told; by draws.

    A tenth of a million of them tell either quantile to 0.6 %.
    """
    monkeypatch.setattr(copy_error, "DRAWS", 100_000)
    low, high = _deepest(np.array([12.0]), np.array([[0.25]]))
    assert 12.0 - low == pytest.approx(1.2 * 1.6449 * 0.5, rel=0.012)
    assert high - 12.0 == pytest.approx(1.2 * 1.6449 * 0.5, rel=0.012)


def test_of_many_places_the_luck_of_the_deepest_is_taken_off(monkeypatch):
    """Of 50 equal depths the greatest of the copy overshoots by the mean of the greatest of 50 normal ones, 2.249
    deviations (tables of order statistics), and half of draws overshoot by more than their median, 2.204."""
    monkeypatch.setattr(copy_error, "DRAWS", 20_000)
    low, high = _deepest(np.full(50, 12.0), 0.04 * np.eye(50))
    median = norm.ppf(0.5 ** (1.0 / 50))
    assert median == pytest.approx(2.204, abs=1e-3)
    ends = [norm.ppf(share ** (1.0 / 50)) for share in (0.95, 0.05)]
    assert low == pytest.approx(12.0 - 0.2 * (median + 1.2 * (ends[0] - median)), abs=0.01)
    assert high == pytest.approx(12.0 - 0.2 * (median + 1.2 * (ends[1] - median)), abs=0.01)


def test_one_half_width_for_all_places_holds_nine_in_ten():
    """Of places known to 0.1 and to 1 mm by halves: by the normal law, solved for by bisection."""
    half = NORMAL_90 * np.repeat([0.1, 1.0], 50)
    width = _typical(half)
    held = 0.5 * (2.0 * norm.cdf(width / 0.1) - 1.0) + 0.5 * (2.0 * norm.cdf(width) - 1.0)
    assert held == pytest.approx(0.9, abs=1e-6)


def test_parts_are_thirds_of_the_places_from_the_deck_forward():
    y = np.repeat(np.arange(60.0, 360.0, 10.0), 3)
    half = NORMAL_90 * np.where(y < 160.0, 0.1, np.where(y < 260.0, 0.2, 0.4))
    assert [one.half_width_mm for one in copy_error._thirds(y, half)] == pytest.approx(
        [NORMAL_90 * one for one in (0.1, 0.2, 0.4)], rel=1e-3
    )

"""How the bar sat, from readings whose bar is known."""

import numpy as np
import pytest

from seatmesh.gauge.bar.how_bars_sat import REACH_MM, seated_bars
from seatmesh.gauge.bar.placings import Placings, placings_of


@pytest.fixture(scope="module")
def rim(carved_seat, gauged, make_rows, places):
    """Crossings of the bare grid: rows of the hollow have but one of them on either rim."""
    bare = np.array([c.x_mm % 25.0 == 0.0 and c.y_mm % 25.0 == 0.0 for c in gauged.crossings])
    x, y = (one[bare] for one in places)
    rows = [row for row, kept in zip(make_rows(gauged), bare, strict=True) if kept]
    placings = placings_of(rows, carved_seat.blank.depth_mm, "across")
    return placings, carved_seat.depth_mm(x, y) <= 0.02, x, y


def seated(rim, off, **changes):
    placings, uncut, x, _ = rim
    return seated_bars(placings, off, changes.get("uncut", uncut), changes.get("same", np.arange(len(x))))


@pytest.mark.parametrize("amount", [-1.0, 0.6, 4.0])
def test_a_bar_that_sits_low_everywhere_is_told_from_uncut_wood_alone(rim, amount):
    _, uncut, x, _ = rim
    # 1 mm of wood is left in the hollow too: that must not be taken for the bar.
    bars = seated(rim, amount - np.where(uncut, 0.0, 1.0))
    assert bars.shift_mm() == pytest.approx(np.full(len(x), amount), abs=0.01)
    assert bars.part(0)[0] == pytest.approx(amount, abs=0.01)


def test_tilt_and_sag_are_told(rim):
    _, _, x, _ = rim
    slope = np.tan(np.radians(0.3))
    tilted = seated(rim, slope * x)
    assert tilted.part(1)[0] == pytest.approx(slope * REACH_MM, rel=0.01)
    assert tilted.shift_mm() == pytest.approx(slope * x, abs=0.02)
    # 0.8 mm in the middle of 400 mm; the curvature is 8 x 0.8 / 400^2 per mm.
    hung = seated(rim, -0.8 + 0.5 * (8 * 0.8 / 400.0**2) * x**2)
    assert hung.part(2)[0] == pytest.approx(0.8, rel=0.02)


def test_each_row_has_its_own_bar(rim):
    placings, _, _, y = rim
    off = np.where(y == 150.0, -1.5, 0.0)
    height, error = seated(rim, off).part(0)
    here = placings.at_mm == 150.0
    assert height[here] == pytest.approx(-1.5, abs=0.05)
    assert height[~here] == pytest.approx(0.0, abs=0.05)
    assert np.all(error > 0.02)


def test_the_error_holds_the_truth(rim):
    """Pulls of 40 sets of readings: mean square 1 if the error is right; it allows for correlated noise."""
    placings, _, x, _ = rim
    pulls = []
    for seed in range(40):
        rng = np.random.default_rng([7, seed])
        truth = rng.normal(0.0, 0.5, placings.count)[placings.of] + rng.normal(0.0, 0.002) * x
        bars = seated(rim, truth + rng.normal(0.0, 0.25, len(x)))
        pulls.append((bars.shift_mm() - truth) / np.sqrt(np.diag(bars.covariance_mm2())))
    assert 0.7 < np.mean(np.square(pulls)) < 1.15


def test_a_row_tells_no_more_than_its_uncut_wood(rim):
    _, uncut, x, y = rim
    one_end = uncut & ~((y == 200.0) & (x > 0.0))
    bars = seated(rim, np.zeros(len(x)), uncut=one_end)
    error = np.sqrt(np.diag(bars.covariance_mm2()))
    row = y == 200.0
    assert error[row & (x == -225.0)] < 0.3
    assert error[row & (x == 200.0)] > 1.9
    nothing = seated(rim, np.zeros(len(x)), uncut=uncut & ~row)
    assert np.sqrt(np.diag(nothing.covariance_mm2()))[row].min() > 1.5
    # Rims that lie near the rests tell nothing of sag.
    rims = seated(rim, np.zeros(len(x)), uncut=uncut & (np.abs(x) > 210.0))
    middle = row & (x == 0.0)
    assert np.sqrt(np.diag(rims.covariance_mm2()))[middle] > 0.6


def test_a_chip_under_the_rod_is_not_the_bar(rim):
    _, _, x, y = rim
    chip = 2.0 * ((y == 50.0) & (x == 100.0))
    bars = seated(rim, chip)
    assert bars.shift_mm() == pytest.approx(np.zeros(len(x)), abs=0.06)
    assert bars.weight[(y == 50.0) & (x == 100.0)] < 0.01
    # With one other reading in the row nothing tells chip from tilt: then that row is in doubt, not the wood.
    alone = (y == 150.0) & (x == 225.0)
    unsure = np.sqrt(np.diag(seated(rim, 1.5 * alone).covariance_mm2()))
    assert unsure[(y == 150.0) & (x == 200.0)] > 0.8


def test_reading_again_tells_of_a_row_without_uncut_wood_where_it_agrees(rim):
    placings, uncut, x, y = rim
    row = np.flatnonzero(y == 200.0)
    again = row[[0, 3, -1]]
    both = np.append(np.arange(len(x)), again)
    twice = Placings(
        np.append(placings.of, np.full(3, placings.count)),
        placings.along_mm[both],
        np.append(placings.at_mm, 200.0),
        np.append(placings.across, True),
        True,
        placings.middle_mm,
    )
    bare = uncut[both] & ~(y[both] == 200.0)

    def error(off):
        bars = seated_bars(twice, off, bare, both)
        return np.sqrt(np.diag(bars.covariance_mm2()))[row]

    assert error(np.zeros(len(both))).max() < 0.3
    low = np.zeros(len(both))
    low[-3:] = -1.5
    assert error(low).min() > 1.0


def test_nothing_read_on_uncut_wood_tells_nothing(rim):
    placings, _, x, _ = rim
    bars = seated(rim, np.zeros(len(x)), uncut=np.zeros(len(x), dtype=bool))
    assert bars.told_by.tolist() == [0] * placings.count
    assert np.sqrt(np.diag(bars.covariance_mm2())).min() > 2.0

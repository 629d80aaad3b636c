"""What a copy takes for carved to begin with, and which bars for odd: both sides of each limit."""

from types import SimpleNamespace

import numpy as np
import pytest

from seatmesh.gauge.copy.cut_wood import _odd_bars, first_guess, rolled_over


def bars(ends, rolls=None):
    """Bars across with five readings each, `ends` (p, 2) what they read at either end; rows of readings in order."""
    count = len(ends)
    along = np.tile([-200.0, -180.0, 0.0, 180.0, 200.0], count)
    off = np.concatenate([[left, left, 0.0, right, right] for left, right in ends])
    placings = SimpleNamespace(
        count=count,
        of=np.repeat(np.arange(count), 5),
        along_mm=along,
        at_mm=50.0 * np.arange(count),
        across=np.ones(count, dtype=bool),
    )
    rolls = np.zeros(5 * count, dtype=bool) if rolls is None else np.repeat(rolls, 5)
    return SimpleNamespace(placings=placings, off_mm=off, rolls=rolls)


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_an_end_of_a_bar_is_odd_from_eight_tenths_off_those_beside(sign):
    for off, odd in ((0.79, False), (0.81, True)):
        parts = bars([(0.0, 0.0), (0.0, 0.0), (sign * off, 0.0), (0.0, 0.0), (0.0, 0.0)])
        shift, which = _odd_bars(parts, parts.off_mm)
        assert which.tolist() == [False, False, odd, False, False]
        # What is odd at one end falls off evenly to the other.
        assert shift[10:15] == pytest.approx(odd * sign * off * np.array([1.0, 0.95, 0.5, 0.05, 0.0]))


def test_bars_beside_a_carved_rim_are_not_judged():
    """From 1.2 mm on wood is taken for carved: there the ends around tell nothing of a bar."""
    for around, odd in ((1.19, True), (1.21, False)):
        parts = bars([(around, 0.0), (around, 0.0), (around + 2.0, 0.0), (around, 0.0), (around, 0.0)])
        assert _odd_bars(parts, parts.off_mm)[1].tolist() == [False, False, odd, False, False]


def test_the_front_edge_is_rolled_where_both_ends_read_eight_tenths_deeper():
    for left, right, rolled in ((0.81, 0.82, True), (0.79, 2.0, False), (2.0, 0.79, False)):
        parts = bars([(0.0, 0.0), (0.0, 0.0), (left, right)], np.array([False, False, True]))
        assert rolled_over(parts).tolist() == [False] * 10 + [rolled] * 5


def guessed(deck, read):
    off = np.append(deck, read)
    n = len(off)
    ahead = np.append(np.zeros(len(deck), dtype=bool), True)
    placings = SimpleNamespace(
        count=1,
        of=np.zeros(n, dtype=int),
        along_mm=np.arange(float(n)),
        at_mm=np.zeros(1),
        across=np.ones(1, bool),
    )
    no = np.zeros(n, dtype=bool)
    common = np.column_stack([np.ones(n), np.zeros((n, 3))])
    return first_guess(
        SimpleNamespace(ahead=ahead, rim=no, rolls=no, common=common, off_mm=off, placings=placings)
    )[0][-1]


def test_wood_is_carved_to_begin_with_from_1_2_mm_below_the_deck_on():
    for read, cut in ((1.19, False), (1.21, True)):
        assert guessed(np.zeros(12), read) == cut


@pytest.mark.parametrize(("deep", "power"), [(2.0, 4), (-2.0, 1)])
def test_deck_that_reads_otherwise_counts_less_and_little_where_it_is_deeper(deep, power):
    """A third of the deck lies 2 mm off: the level is where pulls balance, each less by 0.6 / off or its 4th power."""
    level = 0.0
    for _ in range(200):
        level = 0.5 * (level + 0.5 * (deep - level) * (0.6 / abs(deep - level)) ** power)
    assert 0.005 < abs(level) < 0.6
    deck = np.array([0.0] * 8 + [deep] * 4)
    for off, cut in ((-0.0005, False), (0.0005, True)):
        assert guessed(deck, 1.2 + level + off) == cut

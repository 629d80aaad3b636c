"""Adjustments against the wood: what floor, deck and top face keep, by arithmetic on a flat-bottomed seat."""

import numpy as np
import pytest

from seatmesh import Blank, InputError, Seat
from seatmesh.adjustment import Adjustment
from seatmesh.design.log.fitting_log import Entry
from seatmesh.design.log.log_bounds import bound_notes, check_places, kept_of
from seatmesh.spline import BicubicSpline, clamped_knots

KNOTS = clamped_knots(-240.0, 240.0, 4), clamped_knots(50.0, 430.0, 4)
LEVEL = Seat(Blank(), hollow=BicubicSpline(*KNOTS, np.full((7, 7), 20.0)))
"""20 mm deep all over ahead of the deck, where 25 are allowed."""


def entry(amount, x=60.0, y=200.0, radius=40.0, side="one"):
    return Entry(Adjustment(x, y, radius, amount, side), "deepen" if amount > 0 else "raise")


def test_what_the_floor_allows_is_made_whole():
    kept = kept_of(LEVEL, entry(4.0))
    assert kept.done_mm == pytest.approx(4.0, rel=1e-3)
    assert kept.by == ()
    assert bound_notes(LEVEL, [entry(4.0)]) == []


def test_the_floor_keeps_the_rest():
    kept = kept_of(LEVEL, entry(8.0))
    assert kept.done_mm == pytest.approx(5.0)
    assert kept.kept_mm == pytest.approx(3.0, rel=2e-3)
    assert kept.by == ("floor",)
    (note,) = bound_notes(LEVEL, [entry(8.0)])
    assert (
        note == "adjustment 1 (deepen): of the 8 mm asked for 5 mm at most are made; the floor keeps the rest"
    )


def test_a_second_one_finds_what_the_first_left():
    first, second = entry(3.0), entry(3.0)
    (note,) = bound_notes(LEVEL, [first, second])
    assert note.startswith("adjustment 2")
    # Both take 3 s, s the share at a place; where 6 s reaches the 5 mm that there are, the second has made 2.5.
    assert "2.49 mm at most" in note


def test_deck_and_top_face_keep_theirs():
    assert kept_of(LEVEL, entry(4.0, y=50.0)).by == ("deck",)
    assert kept_of(LEVEL, entry(-22.0)).by == ("top face",)
    assert kept_of(LEVEL, entry(-22.0)).done_mm == pytest.approx(-20.0)


@pytest.mark.parametrize(
    ("one", "word"),
    [
        (entry(2.0, x=300.0), "outside the blank, by 20 mm; the nearest place on the blank is (240, 200) mm"),
        (
            entry(2.0, y=5.0),
            "all of it lies on the deck of deck_mm 50, which stays flat; give a y_mm above 11",
        ),
    ],
)
def test_those_beside_the_wood_are_refused(one, word):
    with pytest.raises(InputError) as refusal:
        check_places([entry(2.0), one], Blank(), "order")
    assert word in str(refusal.value)
    assert "[[adjustment]] 2" in str(refusal.value)

"""Where wood still to take is known, and how it is handed out; which patch tells left from right."""

from types import SimpleNamespace

import numpy as np
import pytest

from seatmesh.gauge.check import left_right
from seatmesh.gauge.check.further.next_cuts import Field, field_of, next_cuts
from seatmesh.gauge.check.left_right import left_against_right
from seatmesh.surface import Seat
from seatmesh.wood.blank import Blank

BLANK = Blank(outline="straight-sided")


class Deep(Seat):
    """Carved as deep as stated everywhere."""

    def depth_mm(self, x, y):
        return np.full(np.broadcast(x, y).shape, self.deep)


def field(deep=9.0, fair=-1.0, error=0.2, spacing=25.0, places=((0.0,), (200.0,)), most=9.0, blank=BLANK):
    """A fair surface `fair` mm off the seat everywhere, with its readings at places."""
    seat = Deep(blank)
    object.__setattr__(seat, "deep", deep)
    at = tuple(np.array(one) for one in places)
    surface = SimpleNamespace(
        places=SimpleNamespace(x_mm=at[0], y_mm=at[1]),
        at=lambda x, y: np.full(len(x), fair),
        error_mm=lambda x, y: np.full(len(x), error),
    )
    take, bears = np.ones(len(at[0]), dtype=bool), np.full(len(at[0]), most)
    return field_of(seat, surface, spacing, at, take, bears, (1.0, 4.0))


def test_a_surface_is_cut_by_within_four_fifths_of_a_space_of_a_reading():
    """Cells are 5 mm wide: those 15 and 20 mm off a reading lie on either side of 0.8 spaces of 18.6 to 25.2 mm."""
    for spacing, farthest in ((18.6, 10.0), (18.9, 15.0), (24.8, 15.0), (25.2, 20.0)):
        made = field(spacing=spacing)
        known = np.isfinite(made.to_take_mm[made.y_mm == 200.0][0])
        assert np.abs(made.x_mm[known]).max() == farthest


def test_cells_reach_both_edges_of_the_blank():
    """A blank of whole cells ends on a cell, at the front edge too."""
    made = field(blank=Blank(outline="straight-sided", width_mm=480.0, depth_mm=430.0))
    assert (made.x_mm[0], made.x_mm[-1], made.y_mm[0], made.y_mm[-1]) == (-240.0, 240.0, 0.0, 430.0)


@pytest.mark.parametrize(("deep", "carved"), [(0.049, False), (0.051, True)])
def test_a_seat_is_carved_from_a_twentieth_of_a_millimetre_on(deep, carved):
    assert field(deep).carved.all() == carved


def test_how_sure_a_cut_is_counts_in_errors_of_the_surface():
    for off, likely, sure in (
        (0.99, False, False),
        (1.01, True, False),
        (3.99, True, False),
        (4.01, True, True),
    ):
        made = field(fair=-0.2 * off)
        at = np.isfinite(made.to_take_mm)
        assert made.likely[at].all() == likely
        assert made.sure[at].all() == sure
    assert field(fair=0.0, error=0.0).likely.sum() == 0, "an exact surface on the seat is not off"


def test_no_more_is_taken_than_the_seat_is_deep_or_a_reading_bears_out():
    made = field(deep=0.8, fair=-1.0, most=0.6)
    assert np.nanmax(made.to_take_mm) == pytest.approx(0.8)
    assert np.nanmax(made.at_most_mm) == pytest.approx(0.6)


def test_twelve_cuts_are_handed_out_at_once():
    """Fourteen patches 20 mm square with wood between; those that come first are the deepest."""
    take = np.zeros((4, 14 * 6))
    for k in range(14):
        take[:, 6 * k : 6 * k + 4] = 1.0 + 0.1 * k
    yes = np.ones(take.shape, dtype=bool)
    cuts = next_cuts(
        Field(5.0 * np.arange(take.shape[1]), 5.0 * np.arange(4), take, take, yes, yes, yes), 0.5
    )
    assert [one.amount_mm for one in cuts] == pytest.approx([2.3 - 0.1 * k for k in range(12)])


def told_by(difference, x, y, noise=0.05):
    n = len(x)
    depth = np.concatenate([difference, np.zeros(n)])
    pair = np.concatenate([np.arange(n) + n, np.arange(n)])
    at = np.concatenate([-x, x]), np.concatenate([y, y])
    return left_against_right(np.arange(2 * n), at, depth, pair, np.full(2 * n, np.nan), noise)


def test_three_pairs_make_a_patch_and_two_do_not():
    """Pairs far apart but for two, or three, close together: a patch of fewer than three says nothing of its own."""
    far_x, far_y = np.array([30.0, 230.0, 30.0, 230.0]), np.array([60.0, 60.0, 420.0, 420.0])
    for close in (2, 3):
        x = np.concatenate([far_x, np.full(close, 130.0)])
        y = np.concatenate([far_y, 240.0 + np.arange(close)])
        sizes = left_right._patches(tuple(x.tolist()), tuple(y.tolist()))[1].sum(axis=1)
        assert sizes.min() >= 3.0
        assert (sizes.max() == close) == (close == 3)


def test_patches_are_60_and_100_mm_wide_and_30_mm_apart():
    x, y = np.array([0.0, 0.0, 0.0, 90.0]), np.array([0.0, 0.0, 0.0, 60.0])
    middles, inside = left_right._patches(tuple(x.tolist()), tuple(y.tolist()))
    assert {one[2] for one in middles} == {60.0, 100.0}
    assert {one[0] for one in middles} == {0.0, 30.0, 60.0, 90.0}
    assert {one[1] for one in middles} == {0.0, 30.0, 60.0}
    for (a, b, radius), row in zip(middles, inside, strict=True):
        assert row.tolist() == (np.hypot(x - a, y - b) <= radius).tolist()
    assert any(one[:2] == (60.0, 0.0) and one[2] == 60.0 for one in middles), "its edge counts"


def test_a_difference_is_told_by_fifteen_pairs_that_stand_out_nearly_as_much():
    """Twenty pairs close together differ by 1 mm, fourteen or fifteen others, far off, by 1.1 mm."""
    for others, told in ((14, 1.0), (15, 1.1)):
        x = np.concatenate([np.full(20, 60.0), np.full(others, 60.0)])
        y = np.concatenate([np.full(20, 90.0), np.full(others, 390.0)])
        off = np.concatenate([np.full(20, 1.0), np.full(others, 1.1)])
        assert told_by(off, x, y).left_minus_right_mm == pytest.approx(told)


def test_nearly_as_much_is_seven_tenths():
    """A hundred pairs differ by 1 mm, n others by 1.2: they stand out by 1.2 sqrt(n / 100) of that."""
    for others, told in ((33, 1.0), (35, 1.2)):
        assert (1.2 * np.sqrt(others / 100.0) >= 0.7) == (told == 1.2)
        x = np.full(100 + others, 60.0)
        y = np.concatenate([np.full(100, 90.0), np.full(others, 390.0)])
        off = np.concatenate([np.full(100, 1.0), np.full(others, 1.2)])
        assert told_by(off, x, y).left_minus_right_mm == pytest.approx(told)

"""Where a seat is deepest: a bowl's own middle, wherever it lies, and a paraboloid's in closed form."""

from dataclasses import replace

import numpy as np
import pytest

from seatmesh.adjustment import Adjustment
from seatmesh.fit.hollow import deepest, deepest_place
from seatmesh.spline import BicubicSpline, clamped_knots, greville
from seatmesh.surface import flat_seat


@pytest.mark.parametrize("middle", [(-61.36, 203.46), (83.74, 151.28), (-201.04, 322.6), (3.34, 98.82)])
def test_an_adjusted_seat_is_deepest_in_the_middle_of_the_bowl(middle):
    """A bowl's bottom is its middle; it is level there, so that a hundredth of a millimetre to the side is as deep."""
    seat = replace(flat_seat(), adjustments=(Adjustment(*middle, 25.0, 4.0),))
    x, y, depth = deepest_place(seat)
    assert (x, y) == pytest.approx(middle, abs=0.0101)
    assert depth == pytest.approx(4.0, abs=1e-5)


def test_of_two_that_mirror_each_other_the_right_one_is_told():
    seat = replace(flat_seat(), adjustments=(Adjustment(-70.0, 180.0, 40.0, 3.0, side="both"),))
    assert deepest_place(seat) == pytest.approx((70.0, 180.0, 3.0), abs=1e-6)


@pytest.mark.parametrize("top", [(61.37, 203.44), (88.88, 141.13), (240.0, 430.0)])
def test_a_spline_is_greatest_where_its_closed_form_is(top):
    """A bicubic spline holds every quadratic: its coefficients are the blossom at the knots (de Boor 1978).

    Of x^2 that is the mean of the products of pairs of the three inner knots.
    """
    knots = clamped_knots(-240.0, 240.0, 20), clamped_knots(50.0, 430.0, 17)
    squares = []
    for one, at in zip(knots, top, strict=True):
        a, b, c = one[1:-3], one[2:-2], one[3:-1]
        squares.append((a * b + b * c + c * a) / 3.0 - 2.0 * at * greville(one) + at**2)
    hollow = BicubicSpline(*knots, 20.0 - 1e-3 * squares[0][:, None] - 5e-4 * squares[1])
    assert float(hollow(np.array(0.0), np.array(100.0))) == pytest.approx(
        20.0 - 1e-3 * top[0] ** 2 - 5e-4 * (100.0 - top[1]) ** 2
    )
    x, y, value = deepest(hollow)
    assert (x, y) == pytest.approx(top, abs=0.0101)
    assert value == pytest.approx(20.0, abs=1e-6)

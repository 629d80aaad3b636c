"""Tool reach against surfaces of known curvature."""

import numpy as np
import pytest

from seatmesh import Blank, Seat
from seatmesh.fit.reach import Tool, concave_radius_mm, reach_of
from seatmesh.spline import BicubicSpline, clamped_knots, design_matrix


def bowl(radius_x, radius_y, depth=15.0):
    """A seat whose depth is depth - x^2 / 2 rx - (y - 240)^2 / 2 ry, exactly in the spline's space."""
    knots_x, knots_y = clamped_knots(-240.0, 240.0, 40), clamped_knots(50.0, 430.0, 32)
    x, y = np.linspace(-240, 240, 120), np.linspace(50, 430, 120)
    wanted = depth - x[:, None] ** 2 / (2 * radius_x) - (y[None, :] - 240.0) ** 2 / (2 * radius_y)
    bx, by = design_matrix(x, knots_x).toarray(), design_matrix(y, knots_y).toarray()
    c = np.linalg.lstsq(bx, wanted, rcond=None)[0]
    c = np.linalg.lstsq(by, c.T, rcond=None)[0].T
    return Seat(Blank(), hollow=BicubicSpline(knots_x, knots_y, c))


def test_radius_at_the_bottom_of_a_bowl_is_the_tighter_one():
    at = np.zeros(1), np.array([240.0])
    assert concave_radius_mm(bowl(180.0, 400.0), *at)[0, 0] == pytest.approx(180.0, rel=1e-3)
    assert concave_radius_mm(bowl(500.0, 250.0), *at)[0, 0] == pytest.approx(250.0, rel=1e-3)


def test_a_ridge_is_not_concave_across_and_wood_left_has_no_radius():
    at = np.zeros(1), np.array([240.0])
    assert concave_radius_mm(bowl(-300.0, 300.0), *at)[0, 0] == pytest.approx(300.0, rel=1e-3)
    assert np.isinf(concave_radius_mm(bowl(180.0, 400.0), np.array([230.0]), np.array([60.0])))


def test_a_small_tool_goes_everywhere_and_a_flat_one_nowhere():
    small, large, flat = reach_of(
        bowl(180.0, 400.0), [Tool("small disc", 100.0), Tool("scraper", 250.0), Tool("plane", 1e5)]
    )
    assert small.share == 1.0
    assert large.share < 0.2
    assert flat.share < 0.05
    assert small.tightest_mm[0] == pytest.approx(180.0, rel=5e-3)


def test_an_uncarved_seat_asks_for_no_tool():
    assert reach_of(Seat(), [Tool("small disc", 100.0)]) == ()

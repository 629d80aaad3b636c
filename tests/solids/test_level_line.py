from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from seatmesh.solids.plan.hollows_edge import LEAST_SLOPE, traced
from seatmesh.solids.plan.level_line import onto_line

Floats = NDArray[np.float64]


def circle(x: Floats, y: Floats) -> Floats:
    """Round (0, 60), 40 mm: it meets the centre line twice."""
    return 1600.0 - x**2 - (y - 60.0) ** 2


def test_points_within_reach_arrive_and_the_others_stay() -> None:
    at = np.array([[41.0, 60.0], [30.0, 60.0], [0.0, 60.0]])
    moved, arrived = onto_line(at, circle, np.array([2.0, 2.0, 2.0]))
    assert arrived.tolist() == [True, False, False]
    np.testing.assert_allclose(moved[0], [40.0, 60.0], atol=1e-9)
    np.testing.assert_array_equal(moved[1:], at[1:])


def test_a_circle_is_traced_all_round() -> None:
    (line,) = traced(circle, np.array([-60.0, 0.0]), np.array([60.0, 120.0]))
    np.testing.assert_array_equal(line[0], line[-1])
    np.testing.assert_allclose(np.hypot(line[:, 0], line[:, 1] - 60.0), 40.0, atol=1e-6)
    assert np.linalg.norm(np.diff(line, axis=0), axis=1).sum() == pytest.approx(80.0 * np.pi, rel=1e-3)


def test_an_open_line_is_drawn_on_beyond_both_ends_and_a_flat_one_is_none() -> None:
    low, high = np.array([0.0, 0.0]), np.array([100.0, 120.0])
    (line,) = traced(lambda x, y: y - 50.0 + 0.0 * x, low, high)
    assert line[:, 0].min() < -6.0
    assert line[:, 0].max() > 106.0
    np.testing.assert_allclose(line[:, 1], 50.0, atol=1e-6)
    assert not list(traced(lambda x, y: 0.9 * LEAST_SLOPE * (y - 50.0) + 0.0 * x, low, high))
    assert len(list(traced(lambda x, y: 1.1 * LEAST_SLOPE * (y - 50.0) + 0.0 * x, low, high))) == 1

"""The points at which a looser fit is bounded: as near to one another as is said, alike on both sides."""

from types import SimpleNamespace

import numpy as np
import pytest

from seatmesh import Blank
from seatmesh.fit.bounded.cost_of_bounds import _points


@pytest.mark.parametrize(("width", "depth"), [(480.0, 430.0), (480.2, 430.2), (500.0, 440.0)])
def test_points_are_no_farther_apart_than_3_mm_and_reach_the_edges(width, depth):
    x, y = _points(SimpleNamespace(seat=SimpleNamespace(blank=Blank(width_mm=width, depth_mm=depth))))
    assert (x[0], x[-1], y[0], y[-1]) == (-width / 2, width / 2, 50.0, depth)
    for points in (x, y):
        steps = np.diff(points)
        assert steps.max() <= 3.0 + 1e-9
        assert steps == pytest.approx(steps[0])
        assert len(points) <= np.ptp(points) / 3.0 + 3.0, "as few as that takes"
    assert np.array_equal(x, -x[::-1])

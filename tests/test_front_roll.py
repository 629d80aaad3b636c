"""The front roll: against quadrature of its curvature, and smooth where it begins (closed forms)."""

import numpy as np
import pytest
from scipy.integrate import quad

from seatmesh.front_roll import (
    LEAD_SHARE,
    ROLL_TURN,
    front_roll_depth,
    roll_fall,
    roll_length_mm,
    roll_radius_mm,
    roll_slope,
)


def slope_by_curvature(along, radius):
    """Add up a curvature that grows evenly to that of the arc: the sine of the slope's angle is its integral."""
    lead = LEAD_SHARE * radius
    sine = quad(lambda u: min(u / lead, 1.0) / radius, 0.0, along, points=[min(lead, along)])[0]
    return np.tan(np.arcsin(sine))


@pytest.mark.parametrize("radius", [6.0, 20.0, 75.0])
def test_slope_and_fall_are_what_the_curvature_adds_up_to(radius):
    for share in (0.1, 0.3, 0.5, 0.8, 1.1):
        along = share * radius
        assert roll_slope(np.array(along), radius) == pytest.approx(
            slope_by_curvature(along, radius), rel=1e-9
        )
        fall = quad(slope_by_curvature, 0.0, along, args=(radius,), points=[min(LEAD_SHARE * radius, along)])[
            0
        ]
        assert roll_fall(np.array(along), radius) == pytest.approx(fall, rel=1e-8)


def test_at_the_front_edge_it_has_fallen_by_half_its_radius_and_bends_as_wished():
    length = roll_length_mm(20.0)
    assert roll_slope(np.array(length), 20.0) == pytest.approx(np.tan(ROLL_TURN), rel=1e-12)
    assert roll_radius_mm(length) == pytest.approx(20.0, rel=1e-12)
    assert np.degrees(ROLL_TURN) == pytest.approx(59.304, abs=0.002)
    assert front_roll_depth(np.zeros(()), 20.0) == pytest.approx(10.0, rel=1e-12)
    y = np.array([2.0, 2.01, 2.02])
    depth = front_roll_depth(y, 20.0)
    by, twice = (depth[2] - depth[0]) / 0.02, (depth[2] - 2.0 * depth[1] + depth[0]) / 1e-4
    assert twice / (1.0 + by**2) ** 1.5 == pytest.approx(1.0 / 20.0, rel=1e-4)


def test_it_begins_without_a_jump_of_curvature():
    """A roll that begins as an arc would jump by 1/20 per mm here."""
    from_edge = roll_length_mm(20.0) - np.linspace(-0.5, 1.0, 151)
    bends = np.diff(front_roll_depth(from_edge, 20.0), 2) / 0.01**2
    assert np.abs(np.diff(bends)).max() < 0.01 / 20.0 / (LEAD_SHARE * 20.0) * 1.05
    assert bends[:40].max() == 0.0


def test_no_radius_is_no_roll():
    assert np.all(front_roll_depth(np.linspace(-1.0, 30.0, 9), 0.0) == 0.0)
    assert np.all(roll_slope(np.linspace(-1.0, 30.0, 9), 0.0) == 0.0)

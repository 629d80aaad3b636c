"""The rim: as far inside the outline as wished and no nearer, fair, round at the rear, open at the front."""

import numpy as np
import pytest
import shapely

from seatmesh import Blank
from seatmesh.fit.wished.rim import CORNER_MM, rim_of
from seatmesh.wood.outline.shapes import OUTLINES


@pytest.mark.parametrize("outline", OUTLINES)
@pytest.mark.parametrize("rim_mm", [15.0, 25.0, 60.0])
def test_the_rim_keeps_its_distance_from_sides_and_rear(outline, rim_mm):
    blank = Blank(outline=outline)
    x, y = rim_of(blank, rim_mm).line_mm()
    # The front is open: there the rim may run out over the edge.
    behind = y < 0.6 * blank.depth_mm
    ring = shapely.LinearRing(blank.polygon_mm())
    away = shapely.distance(ring, shapely.points(x[behind], y[behind]))
    assert away.min() > rim_mm - 1.5
    assert y.min() >= max(blank.deck_mm, rim_mm) - 0.2
    assert y.max() == pytest.approx(blank.depth_mm, abs=1.0)
    assert x[0] == 0.0


def test_along_straight_sides_it_is_as_far_inside_as_wished():
    rim = rim_of(Blank(outline="straight-sided"), 30.0)
    assert rim.half_width_at(np.array([150.0, 250.0, 350.0])) == pytest.approx(240.0 - 30.0, abs=0.05)


def test_rear_corners_are_round():
    """Inside a corner the distance is that from an arc of `CORNER_MM`; on the sides that from the lines."""
    rim = rim_of(Blank(outline="straight-sided"), 30.0)
    diagonal = CORNER_MM * (1.0 - np.sqrt(0.5))
    assert rim.inside_mm(np.array(210.0 - diagonal), np.array(50.0 + diagonal)) == pytest.approx(
        0.0, abs=0.05
    )
    assert rim.inside_mm(np.array(0.0), np.array(70.0)) == pytest.approx(20.0, abs=1e-9)
    assert rim.inside_mm(np.array(200.0), np.array(250.0)) == pytest.approx(10.0, abs=0.05)
    assert rim.inside_mm(np.array(-215.0), np.array(250.0)) == pytest.approx(-5.0, abs=0.05)


def test_it_is_fair_where_the_outline_turns_a_corner():
    """No turn of the side's curvature is sharper than an arc of 50 mm, though the corner's arc is met by a line."""
    rim = rim_of(Blank(outline="rounded", corner_radius_mm=60.0), 25.0)
    y = np.arange(60.0, 425.0, 2.0)
    half = rim.half_width_at(y)
    by, twice = np.gradient(half, 2.0), np.gradient(np.gradient(half, 2.0), 2.0)
    assert np.abs(twice / (1.0 + by**2) ** 1.5).max() < 1.0 / 50.0


def test_without_a_deck_the_hollow_begins_at_the_rim():
    rim = rim_of(Blank(deck_mm=0.0), 25.0)
    assert rim.start_mm() == 25.0
    assert rim.inside_mm(np.array(0.0), np.array(25.0)) == pytest.approx(0.0)


def test_a_deck_along_the_outline_bounds_it_too():
    blank = Blank(deck_line="offset", deck_mm=45.0)
    x, y = rim_of(blank, 25.0).line_mm()
    assert blank.ahead_of_deck_mm(x, y).min() > -0.2
    assert np.abs(blank.ahead_of_deck_mm(x, y)[y < 0.4 * blank.depth_mm]).max() < 0.3


@pytest.mark.parametrize("outline", OUTLINES)
def test_without_a_deck_it_keeps_inside_the_wood_all_the_way_back(outline):
    """The rear of a round outline is narrower than half of its width: the rim turns in with it."""
    blank = Blank(outline=outline, deck_mm=0.0)
    rim = rim_of(blank, 25.0)
    y = np.arange(25.0, 0.6 * blank.depth_mm, 3.0)
    assert blank.inside_mm(rim.half_width_at(y), y).min() > 23.0


def test_a_narrow_waist_narrows_the_rim_too():
    right = [
        (0.0, 0.0),
        (240.0, 0.0),
        (240.0, 120.0),
        (90.0, 200.0),
        (240.0, 280.0),
        (240.0, 430.0),
        (0.0, 430.0),
    ]
    blank = Blank(own_outline_mm=tuple(right))
    assert rim_of(blank, 25.0).half_width_at(np.array(200.0)) < 90.0 - 24.0

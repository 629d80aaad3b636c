"""Deck lines and gutters by plane geometry, and distances from a rim by GEOS."""

import numpy as np
import pytest
import shapely

from seatmesh.wood.blank import Blank
from seatmesh.wood.deck import WELL_AHEAD_MM, ahead_of_arc, ahead_of_rim, gutter_depth, rear_rim, rim_band
from seatmesh.wood.deck_line import bow, line_ahead


@pytest.mark.parametrize("bow_mm", [25.0, -18.0])
def test_a_bowed_deck_line_is_the_circle_through_its_three_points(bow_mm):
    """It crosses the centre line at 60 mm and the sides, 200 mm off, that much farther forward."""
    points = np.array([[-200.0, 60.0 + bow_mm], [0.0, 60.0], [200.0, 60.0 + bow_mm]])
    # The circle through three points by linear equations: x^2 + y^2 + a x + b y + c = 0.
    a, b, c = np.linalg.solve(np.column_stack([points, np.ones(3)]), -(points**2).sum(axis=1))
    middle, radius = np.array([-a / 2.0, -b / 2.0]), np.sqrt(a**2 / 4.0 + b**2 / 4.0 - c)
    blank = Blank(width_mm=400.0, deck_mm=60.0, deck_line="bowed", deck_bow_mm=bow_mm)
    assert bow(blank) == pytest.approx((radius, middle[1]))
    rng = np.random.default_rng(1)
    x, y = rng.uniform(-200.0, 200.0, 50), rng.uniform(0.0, 300.0, 50)
    beyond = radius - np.hypot(x - middle[0], y - middle[1])
    expected = beyond if bow_mm > 0.0 else -beyond
    assert ahead_of_arc(x, y, 60.0, bow_mm, 200.0) == pytest.approx(expected, abs=1e-9)
    for ahead in (0.0, 8.0, 30.0):
        line = line_ahead(blank, ahead)
        assert line[0] == pytest.approx([0.0, 60.0 + ahead])
        own = radius - ahead if bow_mm > 0.0 else radius + ahead
        assert np.hypot(*(line - middle).T) == pytest.approx(np.full(len(line), own), abs=1e-6)
        # Its chords lie no farther than 0.008 mm off the arc: half a chord h leaves own - sqrt(own^2 - h^2).
        half = 0.5 * np.linalg.norm(np.diff(line, axis=0), axis=1).max()
        assert 0.004 < own - np.sqrt(own**2 - half**2) < 0.008


def test_the_rear_part_of_a_rim_ends_where_it_crosses_its_reach():
    right = np.array([[0.0, 0.0], [150.0, 0.0], [200.0, 100.0], [200.0, 300.0], [0.0, 400.0]])
    polygon = np.vstack([right, right[-2:0:-1] * [-1.0, 1.0]])
    rim = rear_rim(polygon, 260.0)
    assert rim[-1] == pytest.approx([200.0, 260.0])
    assert rim[0] == pytest.approx([-200.0, 260.0])
    assert rear_rim(polygon, 40.0)[-1] == pytest.approx([170.0, 40.0])
    assert rear_rim(polygon, 330.0)[-1] == pytest.approx([140.0, 330.0])
    whole = rear_rim(polygon, 500.0)
    assert (whole[0], whole[-1]) == (pytest.approx([0.0, 400.0]), pytest.approx([0.0, 400.0]))
    assert np.linalg.norm(np.diff(rim, axis=0), axis=1).max() < 301.0, "none is left out"


@pytest.mark.parametrize("deck_mm", [20.0, 60.0])
def test_distances_beyond_a_band_along_a_rim_are_those_of_geos(deck_mm):
    blank = Blank(outline="waisted")
    rim = rear_rim(blank.polygon_mm(), 215.0)
    band = rim_band(rim, deck_mm)
    rng = np.random.default_rng(2)
    x, y = rng.uniform(-260.0, 260.0, 4000), rng.uniform(-30.0, 460.0, 4000)
    distance = shapely.distance(shapely.points(x, y), shapely.LineString(rim)) - deck_mm
    assert WELL_AHEAD_MM == 30.0, "more than the widest gutter that an order may ask for"
    assert ahead_of_rim(x, y, band) == pytest.approx(np.minimum(distance, 30.0), abs=1e-9)


def test_a_gutter_is_the_arc_of_a_gouge():
    """8 mm wide and 3 mm deep: the circle through both edges and the bottom has a radius of (4^2 + 3^2) / 6."""
    ahead = np.linspace(0.0, 8.0, 33)
    radius = 25.0 / 6.0
    cut = np.sqrt(radius**2 - (ahead - 4.0) ** 2) - (radius - 3.0)
    assert gutter_depth(ahead, 8.0, 3.0) == pytest.approx(np.maximum(cut, 0.0), abs=1e-9)
    assert gutter_depth(np.array([-0.5, 8.5, 20.0]), 8.0, 3.0).tolist() == [0.0, 0.0, 0.0]
    assert float(gutter_depth(np.array([4.0]), 8.0, 3.0)[0]) == pytest.approx(3.0)


@pytest.mark.parametrize(
    ("width", "depth", "step", "start"), [(480.0, 430.0, 8.0, 0.0), (471.0, 433.0, 6.0, 50.0)]
)
def test_a_grid_runs_from_edge_to_edge_in_as_few_steps_as_its_width_takes(width, depth, step, start):
    x, y = Blank(width_mm=width, depth_mm=depth).grid_mm(step, start)
    x, y = x[0], y[:, 0]
    assert (x[0], x[-1], y[0], y[-1]) == (-width / 2, width / 2, start, depth)
    assert 0.0 in x
    assert np.array_equal(x, -x[::-1])
    for line, room in ((x[x >= 0.0], width / 2), (y, depth - start)):
        assert np.diff(line) == pytest.approx(room / (len(line) - 1))
        assert room / (len(line) - 1) <= step < room / (len(line) - 2)


def test_the_wood_under_a_carving_is_what_bevel_and_carving_leave_of_the_blank():
    """Of 45 mm: 10 mm carved; 20 mm inside the outline a bevel 40 mm wide and 12 mm high has taken 6."""
    blank = Blank(outline="straight-sided", under_bevel_width_mm=40.0, under_bevel_height_mm=12.0)
    assert blank.wood_under_mm([0.0, 220.0, 239.9], 200.0, 10.0) == pytest.approx([35.0, 29.0, 23.03])

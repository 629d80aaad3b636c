"""Lines through an outline, against shapely's intersections."""

import numpy as np
import pytest
import shapely

from seatmesh.wood.outline.chords import ACROSS, ALONG, chords_mm, unbroken_half_mm
from seatmesh.wood.outline.shapes import OUTLINES, outline_polygon

FAR = 2000.0


def by_shapely(polygon, at, runs):
    ends = [(-FAR, at), (FAR, at)] if runs == ACROSS else [(at, -FAR), (at, FAR)]
    bounds = shapely.intersection(shapely.LineString(ends), shapely.Polygon(polygon)).bounds
    return bounds[runs], bounds[2 + runs]


@pytest.mark.parametrize("runs", [ACROSS, ALONG])
@pytest.mark.parametrize("name", OUTLINES)
def test_lines_enter_and_leave_where_shapely_says(name, runs):
    polygon = outline_polygon(name, 440.0, 410.0, 60.0)
    at = np.random.default_rng(5).uniform(*(np.sort(polygon[:, 1 - runs])[[0, -1]] + [0.5, -0.5]), 40)
    found = np.column_stack(chords_mm(polygon, at, runs))
    np.testing.assert_allclose(found, [by_shapely(polygon, one, runs) for one in at], atol=1e-9)


def test_a_notch_in_the_side_breaks_the_wood():
    notched = np.array(
        [[-200, 0], [200, 0], [200, 180], [90, 200], [200, 220], [200, 400], [-200, 400]], float
    )
    y = np.array([0.0, 100.0, 200.0, 210.0, 400.0])
    np.testing.assert_allclose(unbroken_half_mm(notched, y), [200, 200, 90, 145, 200], atol=0.01)
    assert chords_mm(notched, np.array([200.0]), ACROSS)[1][0] == pytest.approx(90.0)

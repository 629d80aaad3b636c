"""Distances by the raster are those of GEOS, the second opinion."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from seatmesh.wood import near_chain as module
from seatmesh.wood.near_chain import near_chain
from seatmesh.wood.outline.shapes import OUTLINES, outline_polygon


@pytest.mark.parametrize("outline", OUTLINES)
def test_distances_are_those_of_a_geometry_library(outline: str, monkeypatch: pytest.MonkeyPatch) -> None:
    polygon = outline_polygon(outline, 480.0, 430.0, 60.0)
    # The first point once more, and one twice: a chain may stand still.
    chain = np.vstack([polygon, polygon[:1], polygon[:1]])
    raster = near_chain(chain, np.array([-260.0, -20.0]), np.array([260.0, 450.0]))
    at = np.random.default_rng(1).uniform([-260.0, -20.0], [260.0, 450.0], (5000, 2))
    true = shapely.distance(shapely.points(at), shapely.LinearRing(polygon))
    np.testing.assert_allclose(raster.distance_mm(*at.T), true, rtol=0.0, atol=1e-9)
    monkeypatch.setattr(module, "MOST_PAIRS", 100)
    np.testing.assert_allclose(raster.distance_mm(*at[:50].T), true[:50], rtol=0.0, atol=1e-9)


def test_no_places_have_no_distances() -> None:
    raster = near_chain(np.array([[0.0, 0.0], [9.0, 0.0]]), np.array([-5.0, -5.0]), np.array([20.0, 20.0]))
    assert raster.distance_mm(np.zeros(0), np.zeros(0)).shape == (0,)
    assert raster.distance_mm(np.array([4.0]), np.array([3.0])).tolist() == [3.0]

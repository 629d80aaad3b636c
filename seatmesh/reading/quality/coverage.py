"""How much of the carved face a scan has seen, and the widest hole that had to be bridged."""

from __future__ import annotations

import numpy as np
import shapely
from scipy.spatial import cKDTree

from seatmesh.reading.surface_points import EDGE_MM, Face
from seatmesh.wood.blank import Blank

NEAR_SPACINGS, LEAST_NEAR_MM, MOST_NEAR_MM = 1.5, 3.0, 9.0
"""A place counts as seen where a point lies within so many distances between points, and within these bounds: the last
is three quarters of a span of the spline."""
STEP_MM = 3.0


def near_mm(spacing_mm: float) -> float:
    """Return how near to a place a point has to lie for the place to be seen."""
    return float(np.clip(NEAR_SPACINGS * spacing_mm, LEAST_NEAR_MM, MOST_NEAR_MM))


def coverage(
    face: Face, blank: Blank, openings: shapely.Geometry | None = None
) -> tuple[float, float, tuple[float, float]]:
    """Return the share of the face ahead of the deck line that was seen, and the widest hole: diameter and middle, mm.

    The diameter is that of the largest circle, its middle on the face, that no point lies in; a sound scan has one of
    about twice the distance between its points. Where joints open there is no face to be seen.
    """
    wood = shapely.Polygon(blank.polygon_mm()).buffer(-EDGE_MM - blank.round_over_mm)
    left, _, right, front = wood.bounds
    x, y = np.meshgrid(
        np.arange(left, right, STEP_MM), np.arange(blank.hollow_start_mm + STEP_MM, front, STEP_MM)
    )
    own = shapely.contains_xy(wood, x, y) & (blank.ahead_of_deck_mm(x, y) > 0.5 * STEP_MM)
    if openings is not None:
        own &= ~shapely.intersects_xy(openings, x, y)
    if len(face.seen_mm) == 0 or not own.any():
        return 0.0, float(2.0 * np.hypot(blank.width_mm, blank.depth_mm)), (0.0, 0.5 * blank.depth_mm)
    plan = np.column_stack([x[own], y[own]])
    away = np.asarray(cKDTree(face.seen_mm).query(plan)[0])
    widest = int(np.argmax(away))
    middle = (float(plan[widest, 0]), float(plan[widest, 1]))
    return float(np.mean(away <= near_mm(face.spacing_mm))), float(2.0 * away[widest]), middle

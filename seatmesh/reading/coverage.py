"""How much of the carved face a scan has seen, and the widest hole that had to be bridged."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from seatmesh.reading.surface_points import EDGE_MM, Face
from seatmesh.wood.blank import Blank

Floats = NDArray[np.float64]

NEAR_MM = 9.0
"""A place counts as seen where a point lies within this: three quarters of a span of the spline."""
STEP_MM = 3.0


def coverage(face: Face, blank: Blank) -> tuple[float, float]:
    """Return the share of the face ahead of the deck line that was seen, and the widest hole's diameter, mm.

    The diameter is that of the largest circle, its middle on the face, that no point lies in; a sound scan has one of
    about twice the distance between its points.
    """
    wood = shapely.Polygon(blank.polygon_mm()).buffer(-EDGE_MM - blank.round_over_mm)
    left, _, right, front = wood.bounds
    x, y = np.meshgrid(
        np.arange(left, right, STEP_MM), np.arange(blank.hollow_start_mm + STEP_MM, front, STEP_MM)
    )
    own = shapely.contains_xy(wood, x, y) & (blank.ahead_of_deck_mm(x, y) > 0.5 * STEP_MM)
    if len(face.seen_mm) == 0 or not own.any():
        return 0.0, float(2.0 * np.hypot(blank.width_mm, blank.depth_mm))
    away = np.asarray(cKDTree(face.seen_mm).query(np.column_stack([x[own], y[own]]))[0])
    return float(np.mean(away <= NEAR_MM)), float(2.0 * away.max())

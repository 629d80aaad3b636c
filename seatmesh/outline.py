"""Plan outlines of a seat, each symmetric about the centre line."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import shapely
from numpy.typing import NDArray

Floats = NDArray[np.float64]

ARC_STEP_MM = 2.0
"""Longest chord along a rounded corner."""

REAR_TAPER = 0.86
"""Width at the rear edge over the width at the front edge of an outline that tapers to the rear."""


def outline_polygon(name: str, width_mm: float, depth_mm: float, corner_radius_mm: float) -> Floats:
    """Return the outline `name`, shape (n, 2), counter-clockwise seen from above.

    It starts on the centre line at the rear edge; the left half is the mirror of the right one, to the bit.
    """
    right = OUTLINES[name](width_mm, depth_mm, corner_radius_mm)
    left = right[-2:0:-1] * np.array([-1.0, 1.0])
    return np.vstack([right, left])


def contains(polygon_mm: Floats, x_mm: Floats, y_mm: Floats) -> NDArray[np.bool_]:
    """Tell which points lie inside the polygon or on its edge; `x_mm` and `y_mm` broadcast."""
    x, y = np.broadcast_arrays(x_mm, y_mm)
    ring = shapely.Polygon(polygon_mm)
    shapely.prepare(ring)
    return np.asarray(shapely.intersects_xy(ring, x, y), dtype=bool)


def area_mm2(polygon_mm: Floats) -> float:
    """Return the area inside the polygon."""
    return float(shapely.Polygon(polygon_mm).area)


def _straight_sided(width: float, depth: float, _radius: float) -> Floats:
    return np.array([[0.0, 0.0], [width / 2, 0.0], [width / 2, depth], [0.0, depth]])


def _rounded(width: float, depth: float, radius: float) -> Floats:
    return _round_corners(_straight_sided(width, depth, radius), radius)


def _tapered_to_the_rear(width: float, depth: float, radius: float) -> Floats:
    half = width / 2
    points = _round_corners(
        np.array([[0.0, 0.0], [half * REAR_TAPER, 0.0], [half, depth], [0.0, depth]]), radius
    )
    # Rounding takes off the very corner where the outline is widest.
    points[:, 0] *= half / points[:, 0].max()
    return points


def _round_corners(corners: Floats, radius: float) -> Floats:
    """Round the inner corners of the right half of an outline with arcs of one radius."""
    points = [corners[0]]
    for before, corner, after in zip(corners[:-2], corners[1:-1], corners[2:], strict=True):
        points.extend(_arc(before, corner, after, radius))
    return np.vstack([*points, corners[-1]])


def _arc(before: Floats, corner: Floats, after: Floats, radius: float) -> Floats:
    towards_before = (before - corner) / np.linalg.norm(before - corner)
    towards_after = (after - corner) / np.linalg.norm(after - corner)
    opening = np.arccos(np.clip(towards_before @ towards_after, -1.0, 1.0))
    reach = radius / np.tan(opening / 2)
    bisector = (towards_before + towards_after) / np.linalg.norm(towards_before + towards_after)
    centre = corner + bisector * radius / np.sin(opening / 2)
    first, last = corner + towards_before * reach - centre, corner + towards_after * reach - centre
    turn = np.pi - opening
    steps = max(2, int(np.ceil(turn * radius / ARC_STEP_MM)))
    angle = np.arctan2(first[1], first[0]) + np.linspace(0.0, turn, steps + 1)
    arc = centre + radius * np.column_stack([np.cos(angle), np.sin(angle)])
    arc[-1] = centre + last
    return np.asarray(arc)


OUTLINES: dict[str, Callable[[float, float, float], Floats]] = {
    "straight-sided": _straight_sided,
    "rounded": _rounded,
    "tapered to the rear": _tapered_to_the_rear,
}

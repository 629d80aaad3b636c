"""Plan outlines of a seat in plain words, each symmetric about the centre line and as wide as ordered."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import shapely
from numpy.typing import NDArray

from seatmesh.arrays import Floats

ARC_STEP_MM = 2.0
"""Longest chord along a rounded corner."""

TAPER = 0.86
"""Width at the narrow end over the width at the wide end of an outline that tapers."""

WAIST = 0.88
"""Width at the waist over the greatest width of a waisted outline."""

SAME_MM = 1e-9
TAPERED_CORNER_SHARE = 0.42
"""Greatest share of the lesser of width and depth that the radius of a tapered outline may have: what its narrow end
and its acute corners leave room for."""

CORNER_SHARE = 0.45
"""Greatest share of width and depth that a corner's radius may have, so that sides keep a straight part."""


def outline_polygon(name: str, width_mm: float, depth_mm: float, corner_radius_mm: float) -> Floats:
    """Return the outline `name`, shape (n, 2), counter-clockwise seen from above.

    It starts on the centre line at the rear edge; the left half is the mirror of the right one, to the bit.
    """
    return mirrored(OUTLINES[name](width_mm, depth_mm, corner_radius_mm))


def mirrored(right_mm: Floats) -> Floats:
    """Return the whole outline of a right half, shape (n, 2), that runs from rear to front end of the centre line."""
    # A corner without a radius, or arcs that meet, would leave the same point twice.
    apart = np.linalg.norm(np.diff(right_mm, axis=0), axis=1) > SAME_MM
    inner = right_mm[1:-1][apart[:-1] & (np.linalg.norm(right_mm[1:-1] - right_mm[-1], axis=1) > SAME_MM)]
    right = np.vstack([right_mm[:1], inner, right_mm[-1:]])
    left = right[-2:0:-1] * np.array([-1.0, 1.0])
    return np.vstack([right, left])


def greatest_corner_radius_mm(name: str, width_mm: float, depth_mm: float) -> float:
    """Return the greatest corner radius that an outline of this size has room for."""
    return (TAPERED_CORNER_SHARE if "taper" in name else 0.5) * min(width_mm, depth_mm)


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


def _tapered(width: float, depth: float, radius: float, rear: float, front: float) -> Floats:
    half = width / 2
    corners = np.array([[0.0, 0.0], [half * rear, 0.0], [half * front, depth], [0.0, depth]])
    return _as_wide_as(half, _round_corners(corners, radius))


def _tapered_to_the_rear(width: float, depth: float, radius: float) -> Floats:
    return _tapered(width, depth, radius, TAPER, 1.0)


def _tapered_to_the_front(width: float, depth: float, radius: float) -> Floats:
    return _tapered(width, depth, radius, 1.0, TAPER)


def _d_shaped(width: float, depth: float, radius: float) -> Floats:
    """Straight rear edge with rounded corners, straight sides, and half an ellipse in front."""
    half = width / 2
    radius = min(radius, CORNER_SHARE * depth)
    bow = min(half, depth - radius)
    rear = _round_corners(np.array([[0.0, 0.0], [half, 0.0], [half, depth]]), radius)[:-1]
    steps = int(np.ceil(0.5 * np.pi * max(half, bow) / ARC_STEP_MM))
    turn = np.linspace(0.0, 0.5 * np.pi, steps + 1)
    front = np.column_stack([half * np.cos(turn), depth - bow + bow * np.sin(turn)])
    front[-1] = 0.0, depth
    # Where the rear corner runs straight into the ellipse, both hold the point between them.
    return np.vstack([rear, front if front[0, 1] > rear[-1, 1] + 1e-9 else front[1:]])


def _waisted(width: float, depth: float, radius: float) -> Floats:
    """Join rounded corners by sides that a wave draws in between them and that meet the corners straight."""
    half = width / 2
    start = min(radius, CORNER_SHARE * depth)
    whole = _round_corners(_straight_sided(width, depth, radius), start)
    along = np.linspace(start, depth - start, int(np.ceil((depth - 2.0 * start) / ARC_STEP_MM)) + 1)[1:-1]
    drawn_in = (
        half * (1.0 - WAIST) * 0.5 * (1.0 - np.cos(2.0 * np.pi * (along - start) / (depth - 2.0 * start)))
    )
    side = np.column_stack([half - drawn_in, along])
    rear = whole[:, 1] <= start + 1e-9
    return np.vstack([whole[rear], side, whole[~rear]])


def _as_wide_as(half: float, points: Floats) -> Floats:
    """Stretch an outline whose widest corner was rounded off to its greatest half-width, exactly."""
    points[:, 0] *= half / points[:, 0].max()
    points[np.argmax(points[:, 0]), 0] = half
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
    "rounded": _rounded,
    "straight-sided": _straight_sided,
    "D-shaped": _d_shaped,
    "waisted": _waisted,
    "tapered to the front": _tapered_to_the_front,
    "tapered to the rear": _tapered_to_the_rear,
}

"""Lines in the plan at a distance ahead of a blank's deck line, as chains of points."""

from __future__ import annotations

import math

import numpy as np
import shapely

from seatmesh.arrays import Floats
from seatmesh.wood.blank import Blank

CHORD_MM = 0.008
"""How far the chords of a curved line may lie off it."""

STEP_MM = 1.5
BEYOND_MM = 20.0
ROUND_SEGMENTS = 64


def line_ahead(blank: Blank, ahead_mm: float) -> Floats:
    """Return the right half of the line so far ahead of the deck line, shape (n, 2); 0 is the deck line itself.

    It starts on the centre line and runs on beyond the outline; none, of shape (0, 2), where there is no such line.
    """
    if not blank.deck_is_curved:
        return across(blank, blank.deck_mm + ahead_mm)
    if blank.deck_line == "bowed":
        return _bowed(blank, ahead_mm)
    return _offset(blank, ahead_mm)


def across(blank: Blank, y_mm: float) -> Floats:
    """Return a straight line across the right half of a blank, shape (2, 2)."""
    return np.array([[0.0, y_mm], [0.5 * blank.width_mm + BEYOND_MM, y_mm]])


def bow(blank: Blank) -> tuple[float, float]:
    """Return radius of a bowed deck line and y of the arc's middle, which lies on the centre line, mm."""
    half, rise = 0.5 * blank.width_mm, blank.deck_bow_mm
    radius = (half**2 + rise**2) / (2.0 * abs(rise))
    return radius, blank.deck_mm + math.copysign(radius, rise)


def _bowed(blank: Blank, ahead_mm: float) -> Floats:
    (radius, middle), half = bow(blank), 0.5 * blank.width_mm
    sign = math.copysign(1.0, blank.deck_bow_mm)
    own = radius - sign * ahead_mm
    end = math.asin(min(1.0, (half + BEYOND_MM) / own))
    steps = math.ceil(end / (2.0 * math.acos(1.0 - min(CHORD_MM / own, 0.5)))) + 1
    turn = np.linspace(0.0, end, steps + 1)
    return np.column_stack([own * np.sin(turn), middle - sign * own * np.cos(turn)])


def _offset(blank: Blank, ahead_mm: float) -> Floats:
    """Return the right half of the line along the outline: the rim's buffer, laid onto the distance itself."""
    outline = shapely.Polygon(blank.polygon_mm())
    band = shapely.buffer(
        shapely.LineString(blank.rim_mm()), blank.deck_mm + ahead_mm, quad_segs=ROUND_SEGMENTS
    )
    # The buffer also runs round the outside, and from end to end of the rim beyond the outline.
    edge = shapely.intersection(band.boundary, shapely.buffer(outline, 1.0))
    right = shapely.intersection(edge, shapely.box(0.0, -1e4, 1e4, 1e4))
    pieces = shapely.get_parts(shapely.line_merge(right))
    if len(pieces) == 0:
        return np.zeros((0, 2))
    line = shapely.segmentize(max(pieces, key=shapely.length), STEP_MM)
    points = shapely.get_coordinates(line)
    points = points if points[0, 0] <= points[-1, 0] else points[::-1]
    laid = _onto(blank, points, ahead_mm)
    laid[np.abs(points[:, 0]) < 1e-9, 0] = 0.0
    return np.asarray(shapely.get_coordinates(shapely.simplify(shapely.LineString(laid), CHORD_MM)))


def _onto(blank: Blank, points: Floats, ahead_mm: float) -> Floats:
    step = 1e-3
    for _ in range(3):
        x, y = points.T
        slope = np.column_stack([
            blank.ahead_of_deck_mm(x + step, y) - blank.ahead_of_deck_mm(x - step, y),
            blank.ahead_of_deck_mm(x, y + step) - blank.ahead_of_deck_mm(x, y - step),
        ]) / (2.0 * step)  # fmt: skip
        steep = np.maximum(np.einsum("ij,ij->i", slope, slope), 0.25)
        points = points - ((blank.ahead_of_deck_mm(x, y) - ahead_mm) / steep)[:, None] * slope
    return points

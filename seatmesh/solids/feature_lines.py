"""Lines in the plan where a seat's surface turns a corner: deck line, far lip of the gutter, start of the front roll."""

from __future__ import annotations

import math

import numpy as np
import shapely
from numpy.typing import NDArray

from seatmesh.blank import Blank
from seatmesh.surface import ROLL_TURN, Seat

Floats = NDArray[np.float64]

CHORD_MM = 0.008
"""How far the chords of a curved line may lie off it."""

STEP_MM = 1.5
LEAST_APART_MM = 0.2
"""A line that parts from the outline by no more is left to refinement: edges along it would be as short."""

BEYOND_MM = 20.0
ROUND_SEGMENTS = 64


def roll_start_mm(seat: Seat) -> float:
    """Return the y at which the front roll begins."""
    return float(seat.blank.depth_mm - seat.front_roll_mm * math.sin(ROLL_TURN))


def deck_lines(blank: Blank, ring_mm: Floats) -> tuple[Floats, ...]:
    """Return the deck line inside a half ring as chains of points, each of shape (n, 2)."""
    return _inside(_at_distance(blank, 0.0), ring_mm)


def feature_lines(seat: Seat, ring_mm: Floats) -> tuple[Floats, ...]:
    """Return all lines inside a half ring, cut where they meet, each of shape (n, 2) and no loop.

    `ring_mm` is the right half of the outline or of a ring inside it, from rear to front end of the centre line. Lines
    end on it, on the centre line or on one another. The hollow's edge is none of them: see `featured_plan`.
    """
    blank = seat.blank
    lines = [*deck_lines(blank, ring_mm)]
    if blank.gutter_depth_mm > 0.0:
        lines += _inside(_at_distance(blank, blank.gutter_width_mm), ring_mm)
    if seat.front_roll_mm > 0.0:
        lines += _inside(_across(blank, roll_start_mm(seat)), ring_mm)
    if not lines:
        return ()
    noded = shapely.line_merge(shapely.union_all([shapely.LineString(line) for line in lines]))
    return tuple(shapely.get_coordinates(piece) for piece in shapely.get_parts(noded))


def _across(blank: Blank, y_mm: float) -> Floats:
    return np.array([[0.0, y_mm], [0.5 * blank.width_mm + BEYOND_MM, y_mm]])


def _at_distance(blank: Blank, ahead_mm: float) -> Floats:
    """Return the line so far ahead of the deck line, shape (n, 2), running on beyond the outline."""
    if not blank.deck_is_curved:
        return _across(blank, blank.deck_mm + ahead_mm)
    if blank.deck_line == "bowed":
        return _bowed(blank, ahead_mm)
    return _offset(blank, ahead_mm)


def _bowed(blank: Blank, ahead_mm: float) -> Floats:
    half, bow = 0.5 * blank.width_mm, blank.deck_bow_mm
    radius, sign = (half**2 + bow**2) / (2.0 * abs(bow)), math.copysign(1.0, bow)
    own = radius - sign * ahead_mm
    end = math.asin(min(1.0, (half + BEYOND_MM) / own))
    steps = math.ceil(end / (2.0 * math.acos(1.0 - min(CHORD_MM / own, 0.5)))) + 1
    turn = np.linspace(0.0, end, steps + 1)
    middle = blank.deck_mm + sign * radius
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


def _inside(line: Floats, ring_mm: Floats) -> tuple[Floats, ...]:
    """Return the pieces of a line inside a half ring that part from it, their ends on it or on the centre line."""
    if len(line) < 2:
        return ()
    region, edge = shapely.Polygon(ring_mm), shapely.LineString(ring_mm)
    pieces = shapely.get_parts(shapely.intersection(shapely.LineString(line), region))
    kept = []
    for piece in pieces[shapely.length(pieces) > 0.0]:
        points = shapely.get_coordinates(piece)
        if shapely.distance(shapely.points(points), edge).max() > LEAST_APART_MM or (
            len(points) == 2 and shapely.distance(piece.centroid, edge) > LEAST_APART_MM
        ):
            kept.append(points if points[0, 0] <= points[-1, 0] else points[::-1])
    return tuple(kept)

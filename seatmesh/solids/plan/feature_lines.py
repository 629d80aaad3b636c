"""Lines in the plan where a seat's surface turns a corner: deck line, gutter lip, start of the front roll."""

from __future__ import annotations

import shapely

from seatmesh.arrays import Floats
from seatmesh.surface import Seat
from seatmesh.wood.blank import Blank
from seatmesh.wood.deck_line import across, line_ahead

LEAST_APART_MM = 0.2
"""A line that parts from the outline by no more is left to refinement: edges along it would be as short."""


def deck_lines(blank: Blank, ring_mm: Floats) -> tuple[Floats, ...]:
    """Return the deck line inside a half ring as chains of points, each of shape (n, 2)."""
    return _inside(line_ahead(blank, 0.0), ring_mm)


def feature_lines(seat: Seat, ring_mm: Floats) -> tuple[Floats, ...]:
    """Return all lines inside a half ring, cut where they meet, each of shape (n, 2) and no loop.

    `ring_mm` is the right half of the outline or of a ring inside it, from rear to front end of the centre line. Lines
    end on it, on the centre line or on one another. The hollow's edge is none of them: see `featured_plan`.
    """
    blank = seat.blank
    lines = [*deck_lines(blank, ring_mm)]
    if blank.gutter_depth_mm > 0.0:
        lines += _inside(line_ahead(blank, blank.gutter_width_mm), ring_mm)
    if seat.front_roll_mm > 0.0:
        lines += _inside(across(blank, seat.roll_start_mm), ring_mm)
    if not lines:
        return ()
    noded = shapely.line_merge(shapely.union_all([shapely.LineString(line) for line in lines]))
    return tuple(shapely.get_coordinates(piece) for piece in shapely.get_parts(noded))


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

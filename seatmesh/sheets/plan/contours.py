"""Contour lines of a seat: where its surface lies a chosen depth below the blank's top face."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely
from contourpy import LineType, contour_generator

from seatmesh.arrays import Floats
from seatmesh.solids.plan.level_line import onto_line
from seatmesh.surface import Seat

GRID_MM = 3.0
OVER_MM = 6.0
"""How far beyond the outline lines are looked for, so that they end on it."""
LEAST_LENGTH_MM = 6.0
"""A shorter line is a speck that nobody carves to."""
CHORD_MM = 0.02
"""How far the surface under the middle of a chord may lie from the line's depth."""
TRUE_MM = 0.03
"""A point of a line farther from its depth than this is left out: it lies on a crease."""


@dataclass(frozen=True)
class Contour:
    """One line of a depth; `points_mm` has shape (n, 2), and a closed line ends where it starts."""

    depth_mm: float
    points_mm: Floats

    @property
    def closed(self) -> bool:
        """Whether it comes back to its start."""
        return bool(np.array_equal(self.points_mm[0], self.points_mm[-1]))


def contours(seat: Seat, depths_mm: tuple[float, ...]) -> tuple[Contour, ...]:
    """Return the lines of a seat's surface at depths, the gutter left out, cut at the outline and at the gutter.

    Every point, and the middle of every chord, lies on a surface within 0.05 mm of the line's depth.
    """
    bare = replace(seat, blank=replace(seat.blank, gutter_depth_mm=0.0))
    x, y = _axes(seat)
    depth = _masked(bare, seat, x, y)
    room = _room(seat)
    out = []
    generator = contour_generator(x, y, depth, line_type=LineType.Separate)
    for level in depths_mm:
        for rough in generator.lines(level):
            out += [Contour(level, part) for part in _cut(_refined(bare, level, np.asarray(rough)), room)]
    return tuple(out)


def step_depths(seat: Seat, step_mm: float) -> tuple[float, ...]:
    """Return the depths of whole steps that the hollow reaches."""
    greatest = greatest_mm(seat)
    return tuple(step_mm * number for number in range(1, int(np.floor(greatest / step_mm - 1e-6)) + 1))


def greatest_mm(seat: Seat) -> float:
    """Return the greatest depth inside the outline on a grid of 3 mm."""
    x, y = _axes(seat)
    inside = shapely.contains_xy(shapely.Polygon(seat.blank.polygon_mm()), *np.meshgrid(x, y))
    return float(np.where(inside, seat.depth_mm(x[None, :], y[:, None]), 0.0).max())


def _axes(seat: Seat) -> tuple[Floats, Floats]:
    half = 0.5 * seat.blank.width_mm + OVER_MM
    across = np.arange(0.5 * GRID_MM, half + GRID_MM, GRID_MM)
    return np.concatenate([-across[::-1], across]), np.arange(
        -OVER_MM, seat.blank.depth_mm + OVER_MM, GRID_MM
    )


def _masked(bare: Seat, seat: Seat, x: Floats, y: Floats) -> np.ma.MaskedArray:
    """Return the depth on a grid, without the gutter's strip, where the surface is the gutter's own."""
    depth = bare.depth_mm(x[None, :], y[:, None])
    if seat.blank.gutter_depth_mm <= 0.0:
        return np.ma.MaskedArray(depth)
    ahead = seat.blank.ahead_of_deck_mm(x[None, :], y[:, None])
    return np.ma.MaskedArray(depth, mask=(ahead < seat.blank.gutter_width_mm) & (ahead > -GRID_MM))


def _room(seat: Seat) -> shapely.Geometry:
    """Return the plan inside the outline."""
    return shapely.Polygon(seat.blank.polygon_mm())


def _refined(bare: Seat, level: float, points: Floats) -> Floats:
    """Move points onto the line along the surface's slope, and halve chords under which the surface strays."""
    points = _onto(bare, level, points)
    for _ in range(4):
        if len(points) < 2:
            return points
        middle = 0.5 * (points[1:] + points[:-1])
        strays = np.abs(bare.depth_mm(*middle.T) - level) > CHORD_MM
        if not strays.any():
            return points
        points = np.insert(points, np.flatnonzero(strays) + 1, _held(bare, level, middle[strays]), axis=0)
    return points


def _onto(bare: Seat, level: float, points: Floats) -> Floats:
    closed = np.array_equal(points[0], points[-1])
    moved = _held(bare, level, points)
    kept = moved[np.abs(bare.depth_mm(*moved.T) - level) <= TRUE_MM]
    if closed and len(kept) and not np.array_equal(kept[0], kept[-1]):
        kept = np.vstack([kept, kept[:1]])
    return kept


def _held(bare: Seat, level: float, points: Floats) -> Floats:
    def gap(x: Floats, y: Floats) -> Floats:
        return bare.depth_mm(x, y) - level

    return onto_line(points, gap, np.full(len(points), GRID_MM))[0]


def _cut(points: Floats, room: shapely.Geometry) -> list[Floats]:
    """Cut a line at the outline; return what is long enough to be followed."""
    if len(points) < 2:
        return []
    inside = shapely.intersection(shapely.LineString(points), room)
    parts = shapely.get_parts(shapely.line_merge(inside) if inside.geom_type == "MultiLineString" else inside)
    return [
        np.asarray(one.coords)
        for one in parts
        if one.geom_type == "LineString" and one.length >= LEAST_LENGTH_MM
    ]

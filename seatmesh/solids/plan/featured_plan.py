"""The plan of the right half while it is refined: its points stay on the lines they lie on, the hollow's edge too."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from seatmesh.adjustment import total_depth_mm
from seatmesh.arrays import Bools, Floats, Ints
from seatmesh.solids.plan.level_line import Level, lay_in, onto_line, without_flips
from seatmesh.solids.plan.triangulate import halve_edges, shortest_edges
from seatmesh.surface import Seat

Heights = Callable[[Floats, Floats], Floats]
ActiveFaces = Callable[[Floats, Ints], Bools]

REACH_SHARE = 0.25
"""How far the middle of an edge along the hollow's edge may move to lie on it again, in lengths of its halves."""


def edge_levels(seat: Seat) -> tuple[Level, ...]:
    """Return functions of (x, y) that are zero where the carving of the hollow begins, on the right half of the plan.

    In a gutter that is where the hollow is as deep as the gutter. The first is for the sitter's right, the second for
    the left, left out where it is the same. Nothing is returned for a seat without a hollow.
    """
    hollow, blank = seat.hollow, seat.blank
    if hollow is None:
        return ()

    def right(x: Floats, y: Floats) -> Floats:
        # Wood taken beyond the hollow has no crisp edge; wood left moves the hollow's edge inward.
        own = hollow(x, y) + np.minimum(total_depth_mm(seat.adjustments, x, y), 0.0)
        return np.asarray(own - blank.gutter_mm(x, y) if blank.gutter_depth_mm > 0.0 else own)

    def left(x: Floats, y: Floats) -> Floats:
        return right(-x, y)

    even = np.array_equal(hollow.coefficients, hollow.coefficients[::-1]) and all(
        one.side == "both" or one.x_mm == 0.0 for one in seat.adjustments
    )
    return (right,) if even else (right, left)


@dataclass(frozen=True)
class FeaturedPlan:
    """Points of the right half, and the lines that they have to keep to.

    Attributes
    ----------
    points
        Shape (n, 5 + k): x, y, z on the right, z on the left, 1 where the point lies on a line that it may not
        leave, and for each of `levels` 1 where it lies on its zero line.
    levels
        Functions whose zero lines are kept as edges.
    heights
        Function of x and y that returns z on the right and on the left in a last axis of two.
    on_lines
        Tells which points, shape (n, 2), lie on the ring or another line that they may not leave.
    """

    points: Floats
    levels: tuple[Level, ...]
    heights: Heights
    on_lines: Callable[[Floats], Bools]

    def halved(self, faces: Ints, marked: Bools) -> tuple[FeaturedPlan, Ints, Ints]:
        """Halve the marked edges, and more, as `halve_edges`; middles of edges along a zero line move onto it."""
        points, faces, source = halve_edges(self.points, faces, marked)
        old = len(self.points)
        points[old:, 4] = self.on_lines(points[old:, :2])
        for column, level in enumerate(self.levels, start=5):
            points = self._on_line_again(points, faces, old, column, level)
        points[old:, 2:4] = self.heights(points[old:, 0], points[old:, 1])
        return FeaturedPlan(points, self.levels, self.heights, self.on_lines), faces, source

    def _on_line_again(self, points: Floats, faces: Ints, old: int, column: int, level: Level) -> Floats:
        new = old + np.flatnonzero(points[old:, column] == 1.0)
        points[old:, column] = 0.0
        if len(new) == 0:
            return points
        held = points[new, 4] == 1.0
        held |= np.any(points[new, 5:] == 1.0, axis=1)
        reach = np.where(held, 1e-9, REACH_SHARE * shortest_edges(points, faces)[new])
        to, arrived = onto_line(points[new, :2], level, reach)
        moved = points.copy()
        moved[new, :2] = np.where(held[:, None], points[new, :2], to)
        kept = without_flips(points, moved, faces)
        moved[~kept, :2] = points[~kept, :2]
        moved[new, column] = arrived & kept[new]
        return moved


def featured_plan(
    points: Floats,
    faces: Ints,
    levels: tuple[Level, ...],
    active: ActiveFaces,
    heights: Heights,
    on_lines: Callable[[Floats], Bools],
) -> tuple[FeaturedPlan, Ints]:
    """Lay the zero line of each level into a plan, where faces are active; points of shape (n, 2)."""
    lies = np.zeros((len(points), 0), dtype=bool)
    for level in levels:
        fixed = on_lines(points) | lies.any(axis=1)
        points, faces, on = lay_in(points, faces, level, fixed, active(points, faces))
        lies = np.vstack([lies, np.zeros((len(points) - len(lies), lies.shape[1]), dtype=bool)])
        lies = np.column_stack([lies, on])
    table = np.column_stack(
        [points, heights(points[:, 0], points[:, 1]), on_lines(points), lies.astype(float)]
    )
    return FeaturedPlan(table, levels, heights, on_lines), faces

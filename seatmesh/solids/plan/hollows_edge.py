"""Where the carving of the hollow begins: lines in the plan of the right half, traced on a grid."""

from __future__ import annotations

from collections.abc import Iterator

import contourpy
import numpy as np

from seatmesh.adjustment import total_depth_mm
from seatmesh.arrays import Floats
from seatmesh.solids.plan.level_line import Level, onto_line
from seatmesh.surface import Seat

GRID_MM = 2.0
BESIDE = 3
"""Cells of the grid beyond each side of the rectangle."""

ON_MM = 1.5 * GRID_MM
LEAST_SLOPE = 2e-3
"""Where the hollow begins less steeply nobody sees an edge, and its line is not sure."""


def is_even(seat: Seat) -> bool:
    """Tell whether the left side of a seat mirrors the right one."""
    hollow = seat.hollow
    return (hollow is None or np.array_equal(hollow.coefficients, hollow.coefficients[::-1])) and all(
        one.side == "both" or one.x_mm == 0.0 for one in seat.adjustments
    )


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

    return (right,) if is_even(seat) else (right, left)


def traced(level: Level, low: Floats, high: Floats) -> Iterator[Floats]:
    """Yield the lines on which a level is zero, each of shape (n, 2), in a rectangle and beside it.

    `low` and `high` are its corners. Closed lines end in the point they begin with. Where a level is flat there are
    none.
    """
    # The rectangle's sides are lines of the grid: beyond the blank a level goes on without a slope and bends there.
    count = np.maximum(1, np.ceil((high - low) / GRID_MM).astype(int))
    x, y = (
        low[i] + (high[i] - low[i]) / count[i] * np.arange(-BESIDE, count[i] + BESIDE + 1) for i in (0, 1)
    )
    heights = level(x[None, :], y[:, None])
    for found in contourpy.contour_generator(x, y, heights).lines(0.0):
        line = _halved(np.asarray(found))
        at, arrived = onto_line(line, level, np.full(len(line), 0.5 * GRID_MM))
        arrived &= _slope(level, at) > LEAST_SLOPE
        runs = np.split(np.arange(len(at)), np.flatnonzero(np.diff(arrived)) + 1)
        for run in runs:
            if arrived[run[0]] and len(run) > 2:
                yield _drawn_on(at[run])


def _halved(line: Floats) -> Floats:
    """Return a line with a point halfway between each two."""
    fine = np.empty((2 * len(line) - 1, 2))
    fine[::2], fine[1::2] = line, 0.5 * (line[1:] + line[:-1])
    return fine


def _drawn_on(line: Floats) -> Floats:
    """Return an open line drawn on straight at both ends: near the blank's edges lines may end short of it."""
    if np.array_equal(line[0], line[-1]):
        return line
    ways = [a / np.linalg.norm(a) for a in (line[0] - line[1], line[-1] - line[-2])]
    return np.vstack([line[0] + ON_MM * ways[0], line, line[-1] + ON_MM * ways[1]])


def _slope(level: Level, at: Floats) -> Floats:
    x, y = at.T
    step = 1e-3
    rise = [level(x + dx, y + dy) - level(x - dx, y - dy) for dx, dy in ((step, 0.0), (0.0, step))]
    return np.asarray(np.hypot(*rise) / (2.0 * step))

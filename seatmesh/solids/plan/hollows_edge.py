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
    """Yield the lines on which a level is zero, each of shape (n, 2), in the rectangle from `low` to `high`.

    Closed ones end in the point they begin with. They are left out where the level is too flat.
    """
    count = np.maximum(2, np.ceil((high - low) / GRID_MM).astype(int) + 1)
    x, y = (np.linspace(low[i], high[i], count[i]) for i in (0, 1))
    heights = level(x[None, :], y[:, None])
    for line in contourpy.contour_generator(x, y, heights).lines(0.0):
        at, arrived = onto_line(line, level, np.full(len(line), 0.5 * GRID_MM))
        arrived &= _slope(level, at) > LEAST_SLOPE
        runs = np.split(np.arange(len(at)), np.flatnonzero(np.diff(arrived)) + 1)
        for run in runs:
            if arrived[run[0]] and len(run) > 2:
                yield at[run]


def _slope(level: Level, at: Floats) -> Floats:
    x, y = at.T
    step = 1e-3
    rise = [level(x + dx, y + dy) - level(x - dx, y - dy) for dx, dy in ((step, 0.0), (0.0, step))]
    return np.asarray(np.hypot(*rise) / (2.0 * step))

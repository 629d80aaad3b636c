"""Where the hollow of a seat ends, and how broad its blank is: whether hips have room."""

from __future__ import annotations

import numpy as np

from seatmesh.arrays import Bools, Floats
from seatmesh.seating.grid import Grid
from seatmesh.surface import Seat

RIM_DEPTH_MM = 0.5
"""Depth from which wood counts as hollow: less is hardly felt with a finger; common practice."""
HALF_INSIDE = 0.5
"""Share of a cell inside the outline from which it counts as wood."""


def has_hollow(seat: Seat) -> bool:
    """Tell whether anything but the front roll is carved."""
    return seat.hollow is not None or bool(seat.adjustments)


def outside_hollow(seat: Seat, grid: Grid) -> Bools:
    """Return which cells of the grid lie outside the hollow, shape (ny, nx); nowhere where there is none.

    Ahead of its last row the front roll counts as hollow: it gives way likewise.
    """
    if not has_hollow(seat):
        return np.zeros(grid.wood.shape, dtype=bool)
    return np.asarray(seat.depth_mm(grid.x_mm[None, :], grid.y_mm[:, None]) <= RIM_DEPTH_MM)


def blank_width_mm(grid: Grid, y_mm: Floats) -> Floats:
    """Return the width of the blank at distances from its rear edge, mm, of the shape that they have."""
    widths = (grid.wood >= HALF_INSIDE).sum(axis=1) * grid.cell_mm[0]
    return np.asarray(np.interp(y_mm, grid.y_mm, widths))

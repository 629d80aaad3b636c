"""The cells of a grid on which bodies may meet wood: all of them, or the right half where both sides are alike."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from seatmesh.arrays import Floats, Ints
from seatmesh.seating.grid import Grid

COARSE_MM = 32.0
"""About how far apart those cells lie on which a balance begins."""


@dataclass(frozen=True, eq=False)
class WoodCells:
    """Those cells of a grid that hold wood; arrays (n,).

    Attributes
    ----------
    grid
        What they are cells of.
    even
        Whether these are the cells of the right half alone, each standing for its mirror image too.
    at
        Their places in the grid, counted row by row.
    x_mm, y_mm
        Their centres in the frame of the blank.
    area_mm2
        Their wood, and that of their mirror images where those are left out.
    coarse
        Which of them, evenly spread, stand for all.
    coarse_mm2
        The area that each of those stands for.
    """

    grid: Grid
    even: bool
    at: Ints
    x_mm: Floats
    y_mm: Floats
    area_mm2: Floats
    coarse: Ints
    coarse_mm2: Floats

    @property
    def aside_mm(self) -> Floats:
        """How far to the right the force on each cell acts: on the centre line where it stands for its image too."""
        return np.zeros_like(self.x_mm) if self.even else self.x_mm

    def spread(self, values: Floats) -> Floats:
        """Return values of these cells (..., n) over the whole grid (..., ny, nx), 0 elsewhere."""
        rows, columns = self.grid.wood.shape
        whole = np.zeros((*values.shape[:-1], rows * columns))
        whole[..., self.at] = values
        whole = whole.reshape((*values.shape[:-1], rows, columns))
        if self.even:
            half = columns // 2
            whole[..., :half] = whole[..., : -half - 1 : -1]
        return whole


@lru_cache(maxsize=32)
def cells_of(grid: Grid, *, even: bool) -> WoodCells:
    """Return the cells of a grid that hold wood."""
    columns = len(grid.x_mm)
    kept = grid.wood > 0.0
    first = columns // 2 if even else 0
    kept[:, :first] = False
    at = np.flatnonzero(kept.ravel())
    row, column = np.divmod(at, columns)
    area = grid.cell_area_mm2 * grid.wood.ravel()[at]
    if even:
        area = np.where(grid.x_mm[column] > 0.0, 2.0, 1.0) * area
    step = [max(1, round(COARSE_MM / size)) for size in grid.cell_mm]
    coarse = np.flatnonzero(((column - first) % step[0] == step[0] // 2) & (row % step[1] == step[1] // 2))
    stands_for = area[coarse] * (area.sum() / max(area[coarse].sum(), 1e-9))
    arrays = (at, grid.x_mm[column], grid.y_mm[row], area, coarse, stands_for)
    for array in arrays:
        array.setflags(write=False)
    return WoodCells(grid, even, *arrays)

"""What of a scan lies uppermost and what lowest over each cell of a plan: nothing else is its top face or underside."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from seatmesh.arrays import Floats, Ints

SHEET_MM = 6.0
"""Points of a cell within this of its highest lie on one face with it."""
PIT_MM = 10.0
"""No step of a seat is as high."""


@dataclass(frozen=True)
class Layers:
    """A point of the uppermost and one of the lowest face over each cell that holds any.

    Attributes
    ----------
    top
        Shape (k, 3): of the uppermost face the point of middle height in each cell, or the mean of the middle two.
        Cells in a pit as narrow as themselves are left out: what was seen there lies below the face, or is a hole.
    under, apart_mm
        Shapes (m, 3) and (m,): the same of the lowest face, and how far highest and lowest point lie apart.
    """

    top: Floats
    under: Floats
    apart_mm: Floats


def cells(plan: Floats, cell_mm: float) -> Ints:
    """Return the cell of each place, shape (n, 2), counted from 0."""
    cell = np.floor(plan / cell_mm).astype(np.int64)
    return np.asarray(cell - cell.min(axis=0))


def layers(local: Floats, cell_mm: float) -> Layers:
    """Return the faces of points in a frame whose z is up, shape (n, 3), over cells of its plan."""
    if len(local) == 0:
        return Layers(local, local, np.zeros(0))
    cell = cells(local[:, :2], cell_mm)
    key = cell[:, 0] * (cell[:, 1].max() + 1) + cell[:, 1]
    order = np.lexsort((local[:, 2], key))
    key, z = key[order], local[order, 2]
    first = np.flatnonzero(np.diff(key, prepend=-1))
    last = np.append(first[1:], len(key)) - 1
    number = np.cumsum(np.diff(key, prepend=-1) != 0) - 1
    high = np.bincount(number, weights=z >= z[last][number] - SHEET_MM).astype(np.int64)
    low = np.bincount(number, weights=z <= z[first][number] + SHEET_MM).astype(np.int64)
    seen = ~_in_pit(cell[order[last]], z[last])
    top = 0.5 * (local[order[last - (high - 1) // 2]] + local[order[last - high // 2]])
    under = 0.5 * (local[order[first + (low - 1) // 2]] + local[order[first + low // 2]])
    return Layers(top[seen], under, z[last] - z[first])


def _in_pit(cell: Ints, height: Floats) -> NDArray[np.bool_]:
    """Tell which cells lie far below the highest of those that touch them."""
    raster = np.full(cell.max(axis=0) + 1, -np.inf)
    raster[cell[:, 0], cell[:, 1]] = height
    around = ndimage.maximum_filter(raster, 3, mode="constant", cval=-np.inf)
    return np.asarray(height < around[cell[:, 0], cell[:, 1]] - PIT_MM)

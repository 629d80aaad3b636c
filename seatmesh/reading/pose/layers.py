"""What of a scan lies uppermost and what lowest over each cell of a plan: nothing else is its top face or underside."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SHEET_MM = 3.0
"""Points of a cell within this of its highest lie on one face with it."""


@dataclass(frozen=True)
class Layers:
    """A point of the uppermost and one of the lowest face over each cell that holds any.

    Attributes
    ----------
    top, under
        Shape (k, 3): of each face the cell's point of middle height.
    apart_mm
        Shape (k,): how far highest and lowest point lie apart.
    """

    top: Floats
    under: Floats
    apart_mm: Floats


def cells(plan: Floats, cell_mm: float) -> Ints:
    """Return a number for the cell of each place, shape (n,)."""
    cell = np.floor(plan / cell_mm).astype(np.int64)
    cell -= cell.min(axis=0)
    return np.asarray(cell[:, 0] * (cell[:, 1].max() + 1) + cell[:, 1])


def layers(local: Floats, cell_mm: float) -> Layers:
    """Return the faces of points in a frame whose z is up, shape (n, 3), over cells of its plan."""
    if len(local) == 0:
        return Layers(local, local, np.zeros(0))
    key = cells(local[:, :2], cell_mm)
    order = np.lexsort((local[:, 2], key))
    key, z = key[order], local[order, 2]
    first = np.flatnonzero(np.diff(key, prepend=-1))
    last = np.append(first[1:], len(key)) - 1
    cell = np.cumsum(np.diff(key, prepend=-1) != 0) - 1
    high = np.bincount(cell, weights=z >= z[last][cell] - SHEET_MM).astype(np.int64)
    low = np.bincount(cell, weights=z <= z[first][cell] + SHEET_MM).astype(np.int64)
    return Layers(
        local[order[last - (high - 1) // 2]], local[order[first + (low - 1) // 2]], z[last] - z[first]
    )

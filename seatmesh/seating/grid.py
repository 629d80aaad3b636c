"""The grid of cells on which pressure is reckoned, laid over a blank."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.wood.blank import Blank
from seatmesh.wood.outline.shapes import contains

SPACING_MM = 4.0
"""Largest size of a cell."""
EDGE_SAMPLES = 8
"""Points across a cell with which an outline that runs through it is weighed."""


@dataclass(frozen=True, eq=False)
class Grid:
    """Equal cells over the rectangle of a blank.

    Attributes
    ----------
    x_mm, y_mm
        Centres of columns and rows, shapes (nx,) and (ny,).
    wood
        Shape (ny, nx), the share of each cell inside the outline.
    """

    x_mm: Floats
    y_mm: Floats
    wood: Floats

    @property
    def cell_mm(self) -> tuple[float, float]:
        """Width and depth of a cell."""
        return float(self.x_mm[1] - self.x_mm[0]), float(self.y_mm[1] - self.y_mm[0])

    @property
    def cell_area_mm2(self) -> float:
        """Area of a whole cell."""
        across, along = self.cell_mm
        return across * along


@lru_cache(maxsize=64)
def grid_of(blank: Blank, spacing_mm: float = SPACING_MM) -> Grid:
    """Return the grid of a blank; columns lie symmetrically about the centre line, to the bit."""
    x = _centres(blank.width_mm, spacing_mm) - 0.5 * blank.width_mm
    x = 0.5 * (x - x[::-1])
    y = _centres(blank.depth_mm, spacing_mm)
    wood = _wood(blank, x, y)
    for array in (x, y, wood):
        array.setflags(write=False)
    return Grid(x, y, wood)


def _centres(extent: float, spacing: float) -> Floats:
    cells = int(np.ceil(extent / spacing - 1e-9))
    return np.asarray((np.arange(cells) + 0.5) * (extent / cells))


def _wood(blank: Blank, x: Floats, y: Floats) -> Floats:
    polygon = blank.polygon_mm()
    dx, dy = x[1] - x[0], y[1] - y[0]
    corners = contains(
        polygon,
        np.append(x - dx / 2, x[-1] + dx / 2)[None, :],
        np.append(y - dy / 2, y[-1] + dy / 2)[:, None],
    ).astype(float)
    share = 0.25 * (corners[:-1, :-1] + corners[1:, :-1] + corners[:-1, 1:] + corners[1:, 1:])
    rows, columns = np.nonzero((share > 0.0) & (share < 1.0))
    inner = (np.arange(EDGE_SAMPLES) + 0.5) / EDGE_SAMPLES - 0.5
    fine_x = x[columns][:, None, None] + dx * inner[None, None, :]
    fine_y = y[rows][:, None, None] + dy * inner[None, :, None]
    share[rows, columns] = contains(polygon, fine_x, fine_y).mean(axis=(1, 2))
    # Left and right are weighed alike, whatever the rounding of the outline's points.
    return np.asarray(0.5 * (share + share[:, ::-1]))

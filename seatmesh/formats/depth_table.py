"""Depths at the points of a grid, as a table to carve and check by."""

from __future__ import annotations

import math

import numpy as np
import shapely

from seatmesh.arrays import Floats
from seatmesh.errors import ValueRefusedError
from seatmesh.files.csv_table import csv_text
from seatmesh.surface import Seat

FINEST_SPACING_MM, COARSEST_SPACING_MM = 1.0, 200.0
ON_THE_EDGE_MM = 1e-6
"""Points on the edge of the outline count as inside, rounding or not."""


def depths_csv(seat: Seat, spacing_mm: float = 20.0) -> str:
    """Return columns ``x_mm,y_mm,depth_mm`` at the grid points inside the outline, to 0.01 mm.

    The grid starts on the centre line and the rear edge. Rows run from the rear edge forward, from the
    sitter's left to the right; lines end in LF.

    Raises
    ------
    ValueRefusedError
        The spacing is not a number from 1 to 200 mm.

    Examples
    --------
    >>> from seatmesh import Adjustment, Seat, depths_csv
    >>> table = depths_csv(Seat(adjustments=(Adjustment(0.0, 200.0, 120.0, 10.0),)), spacing_mm=20.0)
    >>> table.splitlines()[0], "0.00,200.00,10.00" in table
    ('x_mm,y_mm,depth_mm', True)
    """
    if not (math.isfinite(spacing_mm) and FINEST_SPACING_MM <= spacing_mm <= COARSEST_SPACING_MM):
        raise ValueRefusedError(
            "spacing_mm",
            spacing_mm,
            f"allowed is {FINEST_SPACING_MM:g} to {COARSEST_SPACING_MM:g} mm",
            "give the distance between grid points, such as 20",
        )
    polygon = seat.blank.polygon_mm()
    x, y = (spacing_mm * _steps(polygon[:, axis], spacing_mm) for axis in (0, 1))
    points = shapely.points(*np.meshgrid(x, y))
    inside = shapely.dwithin(shapely.Polygon(polygon), points, ON_THE_EDGE_MM)
    depth = seat.depth_mm(x[None, :], y[:, None])
    row, column = np.nonzero(inside)
    table = np.column_stack([x[column], y[row], depth[row, column]])
    rows = ((f"{a:.2f}", f"{b:.2f}", f"{c:.2f}") for a, b, c in table.tolist())
    return csv_text(("x_mm", "y_mm", "depth_mm"), rows)


def _steps(along_mm: Floats, spacing_mm: float) -> Floats:
    """Return the whole numbers of spacings between the ends of the outline along one axis."""
    first = math.ceil((along_mm.min() - ON_THE_EDGE_MM) / spacing_mm)
    last = math.floor((along_mm.max() + ON_THE_EDGE_MM) / spacing_mm)
    return np.arange(first, last + 1, dtype=float)

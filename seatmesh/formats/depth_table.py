"""Depths at the points of a grid, as a table to carve and check by."""

from __future__ import annotations

import math

import numpy as np
import shapely

from seatmesh.arrays import Floats
from seatmesh.errors import ValueRefusedError
from seatmesh.files.csv_table import csv_text
from seatmesh.surface import Seat
from seatmesh.units import MM_PER_INCH, column, table_figure

COLUMNS = ("x_mm", "y_mm", "depth_mm")
USUAL_SPACING_MM = 20.0
FINEST_SPACING_MM, COARSEST_SPACING_MM = 1.0, 200.0
ON_THE_EDGE_MM = 1e-6
"""Points on the edge of the outline count as inside, rounding or not."""


def depths_csv(seat: Seat, spacing_mm: float | None = None) -> str:
    """Return columns ``x_mm,y_mm,depth_mm`` at the grid points inside the outline, to 0.01 mm.

    Of a seat that speaks inches they are ``x_in,y_in,depth_in``, to 0.001 inch, no depth more than the true one. No
    spacing is 20 mm, or 1 inch.

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
    units = seat.units
    if spacing_mm is None:
        spacing_mm = USUAL_SPACING_MM if units == "mm" else MM_PER_INCH
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
    rows_in, columns_in = np.nonzero(inside)
    table = np.column_stack([x[columns_in], y[rows_in], depth[rows_in, columns_in]])
    rows = (
        (table_figure(a, units), table_figure(b, units), table_figure(c, units, deeper=True))
        for a, b, c in table.tolist()
    )
    return csv_text([column(name, units) for name in COLUMNS], rows)


def _steps(along_mm: Floats, spacing_mm: float) -> Floats:
    """Return the whole numbers of spacings between the ends of the outline along one axis."""
    first = math.ceil((along_mm.min() - ON_THE_EDGE_MM) / spacing_mm)
    last = math.floor((along_mm.max() + ON_THE_EDGE_MM) / spacing_mm)
    return np.arange(first, last + 1, dtype=float)

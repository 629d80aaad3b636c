"""A pressure map made ready to draw: its edge runs smoothly between the cells of the grid."""

from __future__ import annotations

import numpy as np
from scipy.interpolate import RegularGridInterpolator

from seatmesh.arrays import Floats
from seatmesh.mesh import Mesh
from seatmesh.seating.sitting import Sitting

FALL_KPA_PER_MM = 0.2
"""What drawing takes off for each mm that skin and seat are apart: about what pressing together by 1 mm adds."""
FARTHEST_MM = 20.0
ON_TOP_MM = 0.5


def drawn_pressure(sitting: Sitting) -> Floats:
    """Return the pressure in kPa, running on below 0 where body and seat are apart, shape of the sitting's grid.

    Pressure alone stops at 0 in the middle of a cell, and its edge would be drawn as steps.
    """
    pressure = np.asarray(sitting.pressure_kpa, dtype=float)
    surface = -sitting.seat.depth_mm(sitting.x_mm[None, :], sitting.y_mm[:, None])
    apart = np.clip(sitting.skin_mm - surface, 0.0, FARTHEST_MM)
    return np.where(pressure > 0.0, pressure, -FALL_KPA_PER_MM * apart)


def top_pressure_kpa(mesh: Mesh, sitting: Sitting) -> Floats:
    """Return the pressure at each vertex of a full-size solid, shape (n,), kPa; 0 where nothing is sat on.

    Taken from the map as it is drawn, on the carved surface alone: walls and underside have none.
    """
    x, y, z = mesh.vertices_mm.T
    rows, columns = sitting.y_mm, sitting.x_mm
    held = np.clip(y, rows[0], rows[-1]), np.clip(x, columns[0], columns[-1])
    drawn = np.asarray(RegularGridInterpolator((rows, columns), drawn_pressure(sitting))(held))
    on_top = np.abs(z + sitting.seat.depth_mm(x, y)) < ON_TOP_MM
    return np.where(on_top, np.maximum(drawn, 0.0), 0.0)

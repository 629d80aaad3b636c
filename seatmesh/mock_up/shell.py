"""A thin shell of the carved face, for trying a shape at full size over sand or foam."""

from __future__ import annotations

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.errors import ValueRefusedError
from seatmesh.mesh import Mesh
from seatmesh.mock_up.booleans import as_manifold, as_mesh, height_block
from seatmesh.solids.carved import solid
from seatmesh.surface import Seat
from seatmesh.units import real_number

LEAST_SHELL_MM = 0.4
GRID_MM = 2.0
RINGS, SPOKES = 5, 16
"""Points of a disc at which a ball is rolled under the surface."""


def shell(seat: Seat, thickness_mm: float, *, tolerance_mm: float = 0.1) -> Mesh:
    """Return the carved face as a closed shell in the frame of the blank, mm.

    Its upper side is that of `solid`; its lower side lies `thickness_mm` away at every place, measured square to the
    surface, not straight down.

    Raises
    ------
    ValueRefusedError
        The thickness is below `LEAST_SHELL_MM` or leaves no hollow side: it must be less than the least floor.
    """
    points = solid(seat, tolerance_mm)
    deepest = float(seat.depth_mm(points.vertices_mm[:, 0], points.vertices_mm[:, 1]).max())
    most = 0.5 * (seat.blank.thickness_mm - deepest)
    if not LEAST_SHELL_MM <= real_number("thickness_mm", thickness_mm) <= most:
        raise ValueRefusedError(
            "thickness_mm",
            thickness_mm,
            f"allowed is {LEAST_SHELL_MM:g} to {most:.1f} mm, half of the least wood under the hollow",
            "give a sheet's thickness, such as 3",
        )
    x, y = _lines(seat.blank.polygon_mm())
    below = height_block(x, y, _under(seat, x, y, thickness_mm), -2.0 * seat.blank.thickness_mm)
    return as_mesh(as_manifold(points) - below, "the shell")


def _lines(polygon: Floats) -> tuple[Floats, Floats]:
    """Return grid lines that reach beyond the outline."""
    low, high = polygon.min(axis=0) - 3.0 * GRID_MM, polygon.max(axis=0) + 3.0 * GRID_MM
    counts = np.ceil((high - low) / GRID_MM).astype(int) + 1
    return np.linspace(low[0], high[0], counts[0]), np.linspace(low[1], high[1], counts[1])


def _under(seat: Seat, x: Floats, y: Floats, thickness: float) -> Floats:
    """Return the height that a ball of this radius, its middle on the surface, reaches down to, shape (ny, nx)."""
    lowest = -seat.depth_mm(x[None, :], y[:, None]) - thickness
    for radius in thickness * np.sin(0.5 * np.pi * np.arange(1, RINGS + 1) / RINGS):
        drop = np.sqrt(max(thickness**2 - radius**2, 0.0))
        for angle in 2.0 * np.pi * np.arange(SPOKES) / SPOKES:
            dx, dy = radius * np.cos(angle), radius * np.sin(angle)
            beside = -seat.depth_mm(x[None, :] + dx, y[:, None] + dy)
            lowest = np.minimum(lowest, beside - drop)
    return np.asarray(lowest)

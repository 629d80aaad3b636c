"""A pressure map made ready to draw: finer than the grid it was reckoned on, ending at the zero line of the gap.

Pressure alone stops at 0 somewhere in a cell, and its edge would be drawn as teeth. Skin runs on smoothly beyond it and
the seat is known everywhere, so the gap between them tells the edge to a fraction of a cell. Pressure starts from there
about as the root of the overlap; what multiplies that root changes slowly from cell to cell, and is interpolated.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import RectBivariateSpline, RegularGridInterpolator
from scipy.ndimage import distance_transform_edt

from seatmesh.arrays import Bools, Floats
from seatmesh.mesh import Mesh
from seatmesh.seating.sitting import Sitting

FINER = 2
"""How many lines of the drawn grid there are to a cell."""
ONSET_MM = 0.15
"""Overlap below which pressure starts in proportion to it, not to its root; about that of the law."""
FARTHEST_MM = 60.0
"""Skin that lies higher than this above its lowest place is taken to lie there: it is far from touching."""
ON_TOP_MM = 0.5


@dataclass(frozen=True)
class DrawnPressure:
    """Pressure on lines `x_mm` (nx,) and `y_mm` (ny,) from edge to edge of the grid.

    Attributes
    ----------
    overlap_mm
        How far skin and seat pass through one another, negative where they are apart, shape (ny, nx).
    pressure_kpa
        Negative where they are apart, as if the gap were an overlap, so that 0 lies where the gap is 0.
    usual
        kPa to the root of an overlap in mm, at the edge.
    """

    x_mm: Floats
    y_mm: Floats
    overlap_mm: Floats
    pressure_kpa: Floats
    usual: float

    @property
    def height(self) -> Floats:
        """What lines of equal pressure are drawn through: it rises evenly where pressure starts steeply."""
        return self.height_of(self.pressure_kpa)

    def height_of(self, pressure_kpa: Floats) -> Floats:
        """Return the height at which a pressure is drawn."""
        return _overlap_of(pressure_kpa / self.usual)


def drawn_pressure(sitting: Sitting) -> DrawnPressure:
    """Return the pressure of a sitting, ready to draw."""
    x, y = _lines(sitting.x_mm), _lines(sitting.y_mm)
    skin = _spline(sitting.x_mm, sitting.y_mm, _held(sitting.skin_mm))(y, x)
    overlap = -sitting.seat.depth_mm(x[None, :], y[:, None]) - skin
    cells = -sitting.seat.depth_mm(sitting.x_mm[None, :], sitting.y_mm[:, None]) - sitting.skin_mm
    pressed = (sitting.pressure_kpa > 0.0) & (cells > 0.0)
    if not pressed.any():
        return DrawnPressure(x, y, overlap, np.minimum(_root(overlap), 0.0), 1.0)
    firmness = np.where(pressed, sitting.pressure_kpa, 0.0) / _root(np.where(pressed, cells, 1.0))
    spread = _spread(firmness, pressed)
    fine = np.maximum(_spline(sitting.x_mm, sitting.y_mm, spread)(y, x), 0.0)
    return DrawnPressure(x, y, overlap, fine * _root(overlap), float(np.median(firmness[pressed])))


def top_pressure_kpa(mesh: Mesh, sitting: Sitting) -> Floats:
    """Return the pressure at each vertex of a full-size solid, shape (n,), kPa; 0 where nothing is sat on.

    Taken from the map as it is drawn, on the carved surface alone: walls and underside have none.
    """
    x, y, z = mesh.vertices_mm.T
    drawn = drawn_pressure(sitting)
    rows, columns = drawn.y_mm, drawn.x_mm
    held = np.clip(y, rows[0], rows[-1]), np.clip(x, columns[0], columns[-1])
    pressure = np.asarray(RegularGridInterpolator((rows, columns), drawn.pressure_kpa)(held))
    on_top = np.abs(z + sitting.seat.depth_mm(x, y)) < ON_TOP_MM
    return np.where(on_top, np.maximum(pressure, 0.0), 0.0)


def _root(overlap: Floats) -> Floats:
    """Return about the root of overlaps in mm, in proportion to them near 0, odd."""
    return np.asarray(np.sign(overlap) * (np.sqrt(np.abs(overlap) + ONSET_MM) - np.sqrt(ONSET_MM)))


def _overlap_of(root: Floats) -> Floats:
    """Return the overlap of which `_root` is the root."""
    return np.asarray(root * (np.abs(root) + 2.0 * np.sqrt(ONSET_MM)))


def _lines(centres: Floats) -> Floats:
    """Return the lines of the drawn grid over cells, the outer sides of the first and the last cell included."""
    half = 0.5 * (centres[1] - centres[0])
    return np.linspace(centres[0] - half, centres[-1] + half, FINER * len(centres) + 1)


def _held(skin: Floats) -> Floats:
    lowest = float(skin.min(initial=0.0, where=np.isfinite(skin)))
    return np.minimum(skin, lowest + FARTHEST_MM)


def _spline(x_mm: Floats, y_mm: Floats, figures: Floats) -> RectBivariateSpline:
    """Return the bicubic spline through figures of cells, which runs on evenly to one cell beyond the last."""
    padded = np.pad(figures, 1, mode="reflect", reflect_type="odd")
    return RectBivariateSpline(_run_on(y_mm), _run_on(x_mm), padded)


def _run_on(centres: Floats) -> Floats:
    return np.asarray(np.pad(centres, 1, mode="reflect", reflect_type="odd"))


def _spread(firmness: Floats, pressed: Bools) -> Floats:
    """Return the firmness with that of the nearest pressed cell wherever nothing is pressed."""
    rows, columns = distance_transform_edt(~pressed, return_distances=False, return_indices=True)
    return np.asarray(firmness[rows, columns])

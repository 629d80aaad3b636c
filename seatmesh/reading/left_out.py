"""Patches of a scan that the seat read back does not follow: too narrow, too deep or no wood; named, not smoothed away."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from seatmesh.reading.surface_points import CELL_MM, Face

Floats = NDArray[np.float64]

LEAST_MM, SIGMAS = 0.4, 5.0
"""A point is off the seat where it lies farther than this, and farther than so many times the scatter."""
FEWEST = 6
"""Cells of 2 mm that make a patch; fewer are crumbs."""


@dataclass(frozen=True)
class Patch:
    """A patch of the face that lies off the seat as read.

    Attributes
    ----------
    x_mm, y_mm, across_mm
        Its middle, and its greatest extent.
    off_mm
        How far it lies below the seat as read, by its median; negative above.
    area_mm2
        Of its cells.
    """

    x_mm: float
    y_mm: float
    across_mm: float
    off_mm: float
    area_mm2: float

    def words(self) -> str:
        """Return what it is and where."""
        side = "right" if self.x_mm >= 0.0 else "left"
        way = "below" if self.off_mm > 0.0 else "above"
        return (
            f"a patch {self.across_mm:.0f} mm across, {abs(self.x_mm):.0f} mm to the {side} and {self.y_mm:.0f} mm from "
            f"the rear edge, lies {abs(self.off_mm):.1f} mm {way} the seat as read, which leaves it out: look there"
        )


def patches(face: Face, off_mm: Floats, scatter_mm: float) -> tuple[Patch, ...]:
    """Return the patches where the scan lies off the seat by `off_mm` (n,), positive below it, the largest first."""
    far = np.abs(off_mm) > max(LEAST_MM, SIGMAS * scatter_mm)
    if not far.any():
        return ()
    plan = np.column_stack([face.x_mm, face.y_mm])
    wide = max(CELL_MM, 1.5 * face.spacing_mm)
    cell = np.floor((plan - plan.min(axis=0)) / wide).astype(np.int64)
    marked = np.zeros(cell.max(axis=0) + 1, dtype=bool)
    marked[cell[far, 0], cell[far, 1]] = True
    heaps, count = ndimage.label(marked, structure=np.ones((3, 3)))
    heap = heaps[cell[:, 0], cell[:, 1]]
    found = []
    for number in range(1, count + 1):
        own = far & (heap == number)
        cells = int(np.count_nonzero(heaps == number))
        if cells < FEWEST:
            continue
        middle = plan[own].mean(axis=0)
        across = float(np.ptp(plan[own], axis=0).max() + wide)
        found.append(
            Patch(float(middle[0]), float(middle[1]), across, float(np.median(off_mm[own])), cells * wide**2)
        )
    return tuple(sorted(found, key=lambda one: -one.area_mm2))

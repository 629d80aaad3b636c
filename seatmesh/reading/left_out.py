"""Patches of a scan that the seat read back does not follow, being too narrow or no wood: named, not smoothed away."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from seatmesh.place_words import roughly
from seatmesh.reading.surface_points import SEEN_MM, Face
from seatmesh.surface import Seat

LEAST_MM, SIGMAS = 0.4, 5.0
"""A point is off the seat where it lies farther than this, and farther than so many times the scatter."""
LEAST_MM2 = 25.0
"""A smaller patch is a crumb."""
LINE_MM = 1.0
MOST_TOLD = 5


@dataclass(frozen=True)
class Patch:
    """A patch of the face that lies off the seat as read.

    Attributes
    ----------
    x_mm, y_mm, across_mm
        Its middle, and its greatest extent.
    off_mm
        How far it lies below the seat as read where that is most; negative above.
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
        way = "below" if self.off_mm > 0.0 else "above"
        return (
            f"a patch {self.across_mm:.0f} mm across, {roughly(self.x_mm, self.y_mm)}, lies up to "
            f"{abs(self.off_mm):.1f} mm {way} the seat as read, which leaves it out: look there"
        )


def patch_words(left_out: tuple[Patch, ...]) -> tuple[str, ...]:
    """Return a note for each of the largest patches, and how many more there are."""
    more = len(left_out) - MOST_TOLD
    words = tuple(patch.words() for patch in left_out[:MOST_TOLD])
    return words if more <= 0 else (*words, f"{more} more such patches, each smaller than these")


def patches(seat: Seat, face: Face, scatter_mm: float) -> tuple[Patch, ...]:
    """Return the patches where what was seen lies off a seat, the largest first.

    All that was seen is asked, not the points of the fit alone, of which there are few where a mesh is coarse.
    """
    plan, blank = face.seen_mm, seat.blank
    off = face.seen_depth_mm - seat.depth_mm(plan[:, 0], plan[:, 1])
    ahead = np.abs(blank.ahead_of_deck_mm(plan[:, 0], plan[:, 1]))
    # A crisp deck line, or a gutter's lip, may be cut by so much to either side.
    off[
        (ahead < LINE_MM) | (np.abs(ahead - blank.gutter_width_mm) < LINE_MM * (blank.gutter_depth_mm > 0.0))
    ] = 0.0
    far = np.abs(off) > max(LEAST_MM, SIGMAS * scatter_mm)
    if not far.any():
        return ()
    wide = max(SEEN_MM, 1.5 * face.spacing_mm)
    cell = np.floor((plan - plan.min(axis=0)) / wide).astype(np.int64)
    marked = np.zeros(cell.max(axis=0) + 1, dtype=bool)
    marked[cell[far, 0], cell[far, 1]] = True
    heaps, count = ndimage.label(marked, structure=np.ones((3, 3)))
    heap = np.where(far, heaps[cell[:, 0], cell[:, 1]], 0)
    found = []
    for number in range(1, count + 1):
        own = heap == number
        area = np.count_nonzero(heaps == number) * wide**2
        if area < LEAST_MM2:
            continue
        middle = plan[own].mean(axis=0)
        across = float(np.ptp(plan[own], axis=0).max() + wide)
        worst = float(off[own][np.argmax(np.abs(off[own]))])
        found.append(Patch(float(middle[0]), float(middle[1]), across, worst, float(area)))
    return tuple(sorted(found, key=lambda one: -one.area_mm2))

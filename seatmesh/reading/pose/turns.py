"""In which turns about the upright the hull of a scan's outline comes near the blank's: all, not the nearest alone."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from scipy.spatial import ConvexHull, QhullError

from seatmesh.arrays import Floats
from seatmesh.wood.blank import Blank

WAYS = 720
"""Directions in which the extents of both hulls are compared: twice a degree."""
NEAR_MM = 12.0
"""Hulls that differ by more, rms, are not of one blank; what is near is looked at closely."""
TOLD_DEG, TOLD_MM = 5.0, 0.3
"""Where a turn by so much makes less difference, the outline does not tell the turn."""


@dataclass(frozen=True)
class Turn:
    """A turn that lays a hull near the blank's: move by `turn` about the upright, counter-clockwise, then by `shift`.

    `off_mm` is the rms by which the hulls' extents differ.
    """

    turn: float
    shift: Floats
    off_mm: float

    def moved(self, plan: Floats) -> Floats:
        """Return places of the scan in the plan of the blank, shape (n, 2)."""
        return np.asarray(plan @ rotation(self.turn).T + self.shift)


@dataclass(frozen=True)
class Turns:
    """All turns that come near, the nearest first; `told` is False where the outline is as good as round.

    `least_off_mm` is the rms of the nearest, near or not; `middles` are the middles of the scan's hull and the blank's.
    """

    near: tuple[Turn, ...]
    told: bool
    least_off_mm: float
    middles: tuple[Floats, Floats] | None = None

    def toward(self, angle: float) -> Turn:
        """Return the turn by an angle that lays the middle of the scan's hull on that of the blank's."""
        if self.middles is None:
            return Turn(angle, np.zeros(2), self.least_off_mm)
        mine, drawn = self.middles
        return Turn(angle, drawn - rotation(angle) @ mine, self.least_off_mm)


def rotation(angle: float) -> Floats:
    """Return the matrix that turns places of a plan counter-clockwise."""
    return np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])


def turns_onto(plan: Floats, blank: Blank) -> Turns:
    """Return the turns in which the hull of places, shape (n, 2), comes near the hull of the blank's outline."""
    scan = hull_corners(plan)
    if scan is None:
        return Turns((), True, np.inf)
    mine = _Extents.of(scan)
    drawn = _Extents.of(np.asarray(shapely.get_coordinates(shapely.Polygon(blank.polygon_mm()).convex_hull)))
    # Without their shifts, |a - b|^2 over all directions is |a|^2 + |b|^2 - 2 a.b; all turns at once by FFT.
    product = np.fft.irfft(np.fft.rfft(drawn.centred) * np.conj(np.fft.rfft(mine.centred)), WAYS)
    squared = (np.sum(drawn.centred**2) + np.sum(mine.centred**2) - 2.0 * product) / WAYS
    off = np.sqrt(np.maximum(squared, 0.0))
    least = (off <= np.roll(off, 1)) & (off < np.roll(off, -1)) & (off < NEAR_MM)
    reach = int(TOLD_DEG / 360.0 * WAYS)
    lowest = int(np.argmin(off))
    told = bool(min(off[lowest - reach], off[(lowest + reach) % WAYS]) > off[lowest] + TOLD_MM)
    angles = [2.0 * np.pi * int(k) / WAYS for k in np.flatnonzero(least)]
    near = [
        Turn(angle, drawn.middle - rotation(angle) @ mine.middle, float(off[k]))
        for angle, k in zip(angles, np.flatnonzero(least), strict=True)
    ]
    return Turns(
        tuple(sorted(near, key=lambda one: one.off_mm)), told, float(off.min()), (mine.middle, drawn.middle)
    )


def hull_corners(plan: Floats) -> Floats | None:
    """Return the corners of the convex hull of places; None where they cover no area."""
    try:
        return np.asarray(plan[ConvexHull(plan).vertices])
    except (QhullError, ValueError):
        return None


@dataclass(frozen=True)
class _Extents:
    """How far a hull reaches in each of `WAYS` directions from its middle, and where that is."""

    centred: Floats
    middle: Floats

    @staticmethod
    def of(corners: Floats) -> _Extents:
        angle = 2.0 * np.pi * np.arange(WAYS) / WAYS
        way = np.column_stack([np.cos(angle), np.sin(angle)])
        reach = (corners @ way.T).max(axis=0)
        # A shift adds its own share to each direction: the first harmonic is the shift.
        middle = 2.0 / WAYS * (reach @ way)
        return _Extents(np.asarray(reach - way @ middle), np.asarray(middle))

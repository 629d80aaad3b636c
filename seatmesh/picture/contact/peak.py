"""Where a sitter presses hardest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.seating.figures import FELT_SHARE, averaged

ALIKE_SHARE = 1e-3
"""Pressures that differ by a smaller share are alike: a balance ends with some 1e-6 between left and right."""


@dataclass(frozen=True)
class PeakMark:
    """A place on the blank and the mean pressure over a square of 10 mm round it."""

    x_mm: float
    y_mm: float
    kpa: float


def peaks(x_mm: Floats, y_mm: Floats, pressure_kpa: Floats) -> tuple[PeakMark, ...]:
    """Return the hardest-pressed place and, if it cannot be felt apart, the hardest on the other side.

    `pressure_kpa` has shape (len(y_mm), len(x_mm)) on an even grid. Sides are those of the centre line; of
    two equal places the one on the sitter's right is first.
    """
    cell = float(x_mm[1] - x_mm[0]), float(y_mm[1] - y_mm[0])
    means = averaged(np.asarray(pressure_kpa, dtype=float), cell)
    sides = [_hardest(x_mm, y_mm, np.where(side, means, -1.0)) for side in (x_mm >= 0, x_mm < 0)]
    first, second = sorted(sides, key=lambda spot: -round(spot.kpa, 6))
    return (first, second) if second.kpa >= (1.0 - FELT_SHARE) * first.kpa else (first,)


def _hardest(x_mm: Floats, y_mm: Floats, means_kpa: Floats) -> PeakMark:
    """Return the hardest-pressed cell; of cells that are pressed alike the one nearest the centre line.

    A flat top then has its two marks at like places left and right.
    """
    alike = means_kpa >= means_kpa.max() * (1.0 - ALIKE_SHARE)
    off = np.where(alike, np.abs(x_mm)[None, :], np.inf)
    row, column = np.unravel_index(int(np.argmin(off)), off.shape)
    return PeakMark(float(x_mm[column]), float(y_mm[row]), float(means_kpa[row, column]))

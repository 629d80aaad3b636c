"""Where a sitter presses hardest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import correlate1d

Floats = NDArray[np.float64]

SQUARE_MM = 10.0
"""Side of the square that a peak is the mean of."""

FELT_SHARE = 0.10
"""Least share by which pressures must differ to be felt apart (Goossens, Teeuw, Snijders 2005)."""


@dataclass(frozen=True)
class Spot:
    """A place on the blank and the mean pressure over a square of 10 mm round it."""

    x_mm: float
    y_mm: float
    kpa: float


def peaks(x_mm: Floats, y_mm: Floats, pressure_kpa: Floats) -> tuple[Spot, ...]:
    """Return the hardest-pressed place and, if it cannot be felt apart, the hardest on the other side.

    `pressure_kpa` has shape (len(y_mm), len(x_mm)) on an even grid. Sides are those of the centre line; of
    two equal places the one on the sitter's right is first.
    """
    means = np.asarray(pressure_kpa, dtype=float)
    for axis, places_mm in enumerate((y_mm, x_mm)):
        means = correlate1d(means, _window(float(places_mm[1] - places_mm[0])), axis, mode="constant")
    sides = [_hardest(x_mm, y_mm, np.where(side, means, -1.0)) for side in (x_mm >= 0, x_mm < 0)]
    first, second = sorted(sides, key=lambda spot: -round(spot.kpa, 6))
    return (first, second) if second.kpa >= (1.0 - FELT_SHARE) * first.kpa else (first,)


def _window(cell_mm: float) -> Floats:
    """Return weights of the cells along one side of the square; the outermost by their share within it."""
    beyond = max(0.0, (SQUARE_MM / cell_mm - 1.0) / 2.0)
    whole = int(beyond)
    ends = [beyond - whole]
    weights = np.array(ends + [1.0] * (2 * whole + 1) + ends)
    return np.asarray(weights / weights.sum())


def _hardest(x_mm: Floats, y_mm: Floats, means_kpa: Floats) -> Spot:
    row, column = np.unravel_index(int(np.argmax(means_kpa)), means_kpa.shape)
    return Spot(float(x_mm[column]), float(y_mm[row]), float(means_kpa[row, column]))

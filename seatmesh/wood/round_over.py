"""The round along the top edge of a blank: how far it has fallen inside the outline."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from seatmesh.arrays import Floats


def mean_drop(inside_mm: ArrayLike, radius_mm: float, across_mm: float) -> Floats:
    """Return the mean of `round_over_drop` over strips `across_mm` wide about distances inside the outline, mm."""
    if radius_mm <= 0.0:
        return np.zeros(np.shape(inside_mm))
    middle, half = np.asarray(inside_mm, dtype=float), 0.5 * across_mm
    return np.asarray((_summed(middle + half, radius_mm) - _summed(middle - half, radius_mm)) / across_mm)


def _summed(inside_mm: Floats, radius_mm: float) -> Floats:
    """Return the integral of the drop from the outline inward, shape as given."""
    left = radius_mm - np.clip(inside_mm, 0.0, radius_mm)
    under_arc = 0.5 * (left * np.sqrt(radius_mm**2 - left**2) + radius_mm**2 * np.arcsin(left / radius_mm))
    return np.asarray(radius_mm * (radius_mm - left) - (0.25 * np.pi * radius_mm**2 - under_arc))


def round_over_drop(inside_mm: ArrayLike, radius_mm: float) -> Floats:
    """Return how far the round along the top edge has fallen at distances inside the outline, mm."""
    if radius_mm <= 0.0:
        return np.zeros(np.shape(inside_mm))
    left = np.clip(radius_mm - np.asarray(inside_mm), 0.0, radius_mm)
    return np.asarray(radius_mm - np.sqrt(radius_mm**2 - left**2))

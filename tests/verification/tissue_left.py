"""How much tissue is left under a sit bone, told from the peak pressure: left / free = 1 / (1 + a (peak / mu)^b).

A law of independent points finds the pressure right with too little approach (as Hertz's approach is twice the overlap
at the edge), so the tissue that is left is not to be read off its overlap.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from reference_case import Row
from scipy.optimize import least_squares

Floats = NDArray[np.float64]


def left_ratio(peak_over_mu: Floats, a: float, b: float) -> Floats:
    """Return the tissue left over the free thickness from the peak over 1 cm2 over the shear modulus."""
    return np.asarray(1.0 / (1.0 + a * peak_over_mu**b))


def left_misfit(rows: Sequence[Row], a: float, b: float) -> Floats:
    """Return the ratio by the formula over that of the rows, less 1."""
    peak = np.array([row["peak_kpa"] / row["mu_kpa"] for row in rows])
    left = np.array([row["tissue_left_mm"] / row["thickness_mm"] for row in rows])
    return np.asarray(left_ratio(peak, a, b) / left - 1.0)


def fit_left(rows: Sequence[Row]) -> tuple[float, float]:
    """Return a and b of least squared relative misfit."""

    def misfit(q: Floats) -> Floats:
        return left_misfit(rows, float(np.exp(q[0])), float(q[1]))

    found = least_squares(misfit, [0.0, 0.7])
    return float(np.exp(found.x[0])), float(found.x[1])

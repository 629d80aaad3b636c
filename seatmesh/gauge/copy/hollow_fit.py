"""A hollow through few readings: carved wood says how deep it is, uncut wood only that the hollow is no deeper.

    minimise  sum over carved (S - d)^2 + sum over uncut max(S - d, 0)^2 + fairness^4 bending energy,

which is convex: rounds of least squares over those uncut places where S is the deeper come to rest at its least.
Fairness is chosen by generalised cross-validation (Craven and Wahba 1979; from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seatmesh.fit.robust_spline import Layout, lay_out, least_squares
from seatmesh.spline import BicubicSpline

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

FAIRNESS_MM = (6.0, 9.0, 13.0, 18.0, 25.0, 34.0)
ROUNDS = 25


@dataclass(frozen=True)
class Extent:
    """The rectangle of a hollow: half of its width, its first and its last y, mm."""

    half_width_mm: float
    start_mm: float
    end_mm: float


def hollow_through(
    extent: Extent, x: Floats, y: Floats, depth: Floats, uncut: Bools, choices: Sequence[float] = FAIRNESS_MM
) -> BicubicSpline:
    """Return the hollow through readings of shape (n,); `uncut` are those on wood that may not be carved at all."""
    layout = lay_out(x, y, extent.half_width_mm, extent.start_mm, extent.end_mm)
    fits = [_one_sided(layout, depth, uncut, fairness) for fairness in choices]
    losses = [
        _foretelling(layout, depth, fit, active, fairness)
        for (fit, active), fairness in zip(fits, choices, strict=True)
    ]
    coefficients, _ = fits[int(np.argmin(losses))]
    shape = (len(layout.knots_x) - 4, len(layout.knots_y) - 4)
    return BicubicSpline(layout.knots_x, layout.knots_y, coefficients.reshape(shape))


def _foretelling(layout: Layout, depth: Floats, fit: Floats, active: Bools, fairness: float) -> float:
    """Return the score of generalised cross-validation over the readings that have a say."""
    off = (layout.basis @ fit - depth)[active]
    each = least_squares(layout, np.eye(len(depth)), active.astype(float), fairness)
    spent = float(np.sum(np.asarray(layout.basis.toarray())[active] * each.T[active]))
    left = 1.0 - spent / len(off)
    return float(np.mean(off**2)) / left**2 if left > 0.0 else np.inf


def _one_sided(layout: Layout, depth: Floats, uncut: Bools, fairness: float) -> tuple[Floats, Bools]:
    """Return the coefficients, and which readings had a say in the end."""
    active = np.ones(len(depth), dtype=bool)
    coefficients = np.zeros(layout.basis.shape[1])
    for _ in range(ROUNDS):
        coefficients = least_squares(layout, depth, active.astype(float), fairness)
        now = ~uncut | (layout.basis @ coefficients > depth)
        if np.array_equal(now, active):
            break
        active = now
    return coefficients, active

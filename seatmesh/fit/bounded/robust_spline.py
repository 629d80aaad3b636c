"""A bicubic spline through scattered, noisy depths of a hollow, of which flat wood only says that it is not deeper.

The hollow meets flat wood in a crisp line: depth = max(0, S). So a point on flat wood pulls S down to its own depth
where S is above 0 and says nothing where S is below, and the line stays as crisp as it was carved.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy.linalg as la
import scipy.sparse as sp

from seatmesh.arrays import Floats
from seatmesh.spline import SPAN_MM, BicubicSpline, bending_energy, clamped_knots, design_matrix

HUBER = 1.345
"""Residuals in standard deviations beyond which a point counts less: 95 % efficient on normal noise (Huber 1981,
*Robust Statistics*; from memory)."""
MOST_ROUNDS = 30
STEP_TOLERANCE, STEP_TOLERANCE_MM = 0.06, 0.005
"""A round that moves the surface by less than this share of the scatter, or by less than this, rms, is the last."""
FLAT_SIGMAS = 3.0
LEAST_SIGMA_MM = 0.02
"""No mesh and no scan of a seat is finer; without this a few exact points would silence all others."""
HELD_BACK = 0.3
HELD_OUT = 5
RIDGE = 1e-9
"""Share of the largest diagonal entry that keeps unknowns far from any point from being undetermined."""


@dataclass(frozen=True)
class SplineLayout:
    """Knots over the rectangle ahead of the deck line, and the basis at the points, shape (n, unknowns)."""

    knots_x: Floats
    knots_y: Floats
    basis: sp.csr_array
    energy: sp.csr_array
    area_mm2: float


@dataclass(frozen=True)
class RobustFit:
    """A spline, the noise of what it was fitted to, and which points it took in.

    Attributes
    ----------
    sigma_mm
        Standard deviation of the points about the surface, by their median.
    weight
        Shape (n,): 1 for a point that counts in full, 0 for an outlier.
    settled
        Whether the last round changed nothing.
    """

    spline: BicubicSpline
    sigma_mm: float
    weight: Floats
    settled: bool

    def spline_at(self, layout: SplineLayout) -> Floats:
        """Return the spline at the points of a layout."""
        return np.asarray(layout.basis @ self.spline.coefficients.ravel())


def lay_out(x: Floats, y: Floats, half_width: float, start: float, end: float) -> SplineLayout:
    """Lay out a spline over [-half_width, half_width] x [start, end] for points inside it."""
    knots_x = clamped_knots(-half_width, half_width, 2 * max(1, int(np.ceil(half_width / SPAN_MM))))
    knots_y = clamped_knots(start, end, max(1, int(np.ceil((end - start) / SPAN_MM))))
    basis = tensor_rows(design_matrix(x, knots_x), design_matrix(y, knots_y))
    energy = bending_energy(knots_x, knots_y)
    return SplineLayout(knots_x, knots_y, basis, energy, 2.0 * half_width * (end - start))


def tensor_rows(across: sp.csr_array, along: sp.csr_array) -> sp.csr_array:
    """Return the matrix of products of two bases, whose rows hold four entries each."""
    n, ny = len(across.indptr) - 1, along.shape[1]
    data = across.data.reshape(n, 4, 1) * along.data.reshape(n, 1, 4)
    column = across.indices.reshape(n, 4, 1).astype(np.int64) * ny + along.indices.reshape(n, 1, 4)
    starts = 16 * np.arange(n + 1)
    return sp.csr_array((data.ravel(), column.ravel(), starts), shape=(n, across.shape[1] * ny))


def robust_fit(
    layout: SplineLayout, depth: Floats, fairness_mm: float, rounds: int = MOST_ROUNDS
) -> RobustFit:
    """Fit max(0, S) to depths, shape (n,), with fairness_mm^4 times the bending energy, Huber's loss on the rest.

    By rounds of weighted least squares; a last few turn what is far off away altogether (Tukey's biweight).
    """
    weight = np.ones(len(depth))
    active = np.ones(len(depth), dtype=bool)
    sigma, settled, values = np.inf, False, np.zeros_like(depth)
    coefficients = np.zeros(layout.basis.shape[1])
    for done in range(rounds):
        # Where S lies just below flat wood it is held a little to where it was: else points that speak up in one round
        # and not in the next would keep it from coming to rest. Exact points need no holding.
        just_below = (values > -FLAT_SIGMAS * sigma) & (sigma > 2.0 * LEAST_SIGMA_MM)
        pull = np.where(active, weight, HELD_BACK * just_below)
        coefficients = least_squares(layout, np.where(active, depth, values), pull, fairness_mm)
        before, values = values, np.asarray(layout.basis @ coefficients)
        residual = np.maximum(values, 0.0) - depth
        if done <= rounds // 2:
            sigma = _spread(residual[active])
        flat = depth < FLAT_SIGMAS * sigma
        active = (values > 0.0) | ~flat
        weight = _weights(residual, sigma, done >= rounds // 3)
        step = np.maximum(values, 0.0) - np.maximum(before, 0.0)
        settled = done > rounds // 3 and float(np.sqrt(np.mean(step**2))) < max(
            STEP_TOLERANCE * sigma, STEP_TOLERANCE_MM
        )
        if settled:
            break
    shape = (len(layout.knots_x) - 4, len(layout.knots_y) - 4)
    return RobustFit(
        BicubicSpline(layout.knots_x, layout.knots_y, coefficients.reshape(shape)), sigma, weight, settled
    )


def best_fairness_mm(
    layout: SplineLayout, depth: Floats, first: RobustFit, choices: Sequence[float]
) -> float:
    """Return which fairness length foretells best the points that a fit does not see: every fifth is held out."""
    values = np.maximum(first.spline_at(layout), 0.0)
    counts = first.weight * ((values > 0.0) | (depth > FLAT_SIGMAS * first.sigma_mm))
    held = np.arange(len(depth)) % HELD_OUT == 0
    losses = []
    for fairness in choices:
        coefficients = least_squares(layout, depth, counts * ~held, fairness)
        off = np.abs(np.maximum((layout.basis @ coefficients)[held], 0.0) - depth[held])
        losses.append(float(np.sum(counts[held] * np.minimum(off, 3.0 * first.sigma_mm) ** 2)))
    return choices[int(np.argmin(losses))]


def least_squares(layout: SplineLayout, depth: Floats, weight: Floats, fairness_mm: float) -> Floats:
    """Return the coefficients of least weighted squared distance from depths (n,) plus fairness_mm^4 bending energy."""
    scaled = layout.basis.T @ sp.diags_array(weight * (layout.area_mm2 / len(depth)))
    matrix = sp.coo_array(scaled @ layout.basis + fairness_mm**4 * layout.energy)
    lower = matrix.row >= matrix.col
    row, column = matrix.row[lower], matrix.col[lower]
    band = np.zeros((int((row - column).max()) + 1, matrix.shape[0]))
    band[row - column, column] = matrix.data[lower]
    band[0] += RIDGE * band[0].max()
    return np.asarray(la.solveh_banded(band, scaled @ depth, lower=True, check_finite=False))


def _spread(residual: Floats) -> float:
    """Return the standard deviation by the median."""
    if len(residual) == 0:
        return LEAST_SIGMA_MM
    return max(LEAST_SIGMA_MM, 1.4826 * float(np.median(np.abs(residual))))


def _weights(residual: Floats, sigma: float, redescending: bool) -> Floats:
    away = np.abs(residual) / sigma
    huber = HUBER / np.maximum(away, HUBER)
    if not redescending:
        return huber
    # What stands more than a millimetre and ten deviations off is no scatter.
    limit = max(10.0 * sigma, 1.0)
    return np.asarray(huber * np.clip(1.0 - (residual / limit) ** 2, 0.0, None) ** 2)

"""What a hollow may be before anything is read: a spline, the likelier the less it bends.

Coefficients are normal with covariance bending^2 (Q + LEVEL M)^-1, with Q the bending energy and M the spline's own
square integral, which keeps planes from being free altogether. The best surface is then the one of least squares plus
bending energy, and the covariance that readings leave of it covers the true surface, averaged over places, as often as
it says, its own bias between crossings included (Wahba 1983, *J. R. Statist. Soc.* B 45; Nychka 1988, *J. Am. Statist.
Assoc.* 83; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.linalg as la
import scipy.sparse as sp
from numpy.typing import NDArray
from scipy import ndimage

from seatmesh.fit.robust_spline import tensor_rows
from seatmesh.spline import DEGREE, BicubicSpline, clamped_knots, design_matrix, square_integral

Floats = NDArray[np.float64]

SPAN_MM = 12.0
LEVEL = 1e-9
"""Per mm^4: small against the bending energy of any wave that a seat has room for, (2 pi / 960 mm)^4 = 2e-9."""

SMOOTHED_MM = 30.0
FLOOR, MOST_UNEVEN = 0.1, 16.0
"""Share of the mean bending that a hollow may have anywhere, and the most that its variance differs from the mean."""


@dataclass(frozen=True)
class HollowPrior:
    """A spline over the blank ahead of the deck line, with the factor of its bending energy.

    Attributes
    ----------
    knots_x, knots_y
        Of the spline.
    factor
        Banded Cholesky factor of Q + LEVEL M.
    """

    knots_x: Floats
    knots_y: Floats
    factor: Floats

    def basis(self, x_mm: Floats, y_mm: Floats) -> sp.csr_array:
        """Return the matrix from coefficients to depths at places, shape (n, coefficients); places beyond are held."""
        x = np.clip(x_mm, self.knots_x[0], self.knots_x[-1])
        y = np.clip(y_mm, self.knots_y[0], self.knots_y[-1])
        return tensor_rows(design_matrix(x, self.knots_x), design_matrix(y, self.knots_y))

    def spread(self, basis: sp.csr_array) -> Floats:
        """Return the covariance of all coefficients with the depths of a basis, shape (coefficients, n)."""
        return np.asarray(
            la.cho_solve_banded((self.factor, True), np.asarray(basis.toarray()).T, check_finite=False)
        )

    def spline(self, coefficients: Floats) -> BicubicSpline:
        """Return the spline of coefficients (nx ny,)."""
        shape = (len(self.knots_x) - 4, len(self.knots_y) - 4)
        return BicubicSpline(self.knots_x, self.knots_y, coefficients.reshape(shape))

    def uneven(self, spline: BicubicSpline, power: float) -> HollowPrior:
        """Return the prior of a hollow that bends more where a first one does.

        The variance of its bending goes from place to place as the first one's bending energy, smoothed over
        `SMOOTHED_MM`, to a power; it is 1 on average and changes by `MOST_UNEVEN` either way at most.
        """
        x, y, weight = _nodes(self.knots_x, self.knots_y)
        energy = sum(
            share * spline(x[None, :], y[:, None], *order) ** 2
            for share, order in ((1.0, (2, 0)), (2.0, (1, 1)), (1.0, (0, 2)))
        )
        step = (float(np.mean(np.diff(y))), float(np.mean(np.diff(x))))
        local = ndimage.gaussian_filter(energy, [SMOOTHED_MM / one for one in step], mode="nearest")
        local = local / local.mean() + FLOOR
        spread = np.clip(local**power, 1.0 / MOST_UNEVEN, MOST_UNEVEN)
        return _prior(self.knots_x, self.knots_y, weight * np.mean(spread) / spread)


def hollow_prior(half_width_mm: float, start_mm: float, end_mm: float) -> HollowPrior:
    """Return the prior of a hollow over [-half_width, half_width] x [start, end]."""
    knots_x = clamped_knots(-half_width_mm, half_width_mm, 2 * max(1, int(np.ceil(half_width_mm / SPAN_MM))))
    knots_y = clamped_knots(start_mm, end_mm, max(1, int(np.ceil((end_mm - start_mm) / SPAN_MM))))
    return _prior(knots_x, knots_y, _nodes(knots_x, knots_y)[2])


def _prior(knots_x: Floats, knots_y: Floats, weight: Floats) -> HollowPrior:
    """Return the prior whose bending energy is weighted at the nodes, shape (ny nodes, nx nodes)."""
    x, y, _ = _nodes(knots_x, knots_y)
    (x0, x1, x2), (y0, y1, y2) = (
        [np.asarray(design_matrix(at, knots, order).toarray()) for order in range(3)]
        for at, knots in ((x, knots_x), (y, knots_y))
    )
    energy = _weighted(x2, y0, weight) + 2.0 * _weighted(x1, y1, weight) + _weighted(x0, y2, weight)
    matrix = sp.coo_array(energy + LEVEL * square_integral(knots_x, knots_y))
    lower = matrix.row >= matrix.col
    row, column = matrix.row[lower], matrix.col[lower]
    band = np.zeros((int((row - column).max()) + 1, matrix.shape[0]))
    band[row - column, column] = matrix.data[lower]
    return HollowPrior(knots_x, knots_y, la.cholesky_banded(band, lower=True, check_finite=False))


def _weighted(across: Floats, along: Floats, weight: Floats) -> sp.csr_array:
    """Return the integral of weight times products of two functions, by their values at nodes."""
    rows = sp.csr_array(sp.kron(sp.csr_array(across), sp.csr_array(along)))
    return sp.csr_array(rows.T @ sp.diags_array(weight.T.ravel()) @ rows)


def _nodes(knots_x: Floats, knots_y: Floats) -> tuple[Floats, Floats, Floats]:
    """Return nodes of Gauss quadrature along both axes, and the weight of each pair, shape (ny, nx)."""
    nodes, weights = np.polynomial.legendre.leggauss(DEGREE + 1)
    along = []
    for knots in (knots_x, knots_y):
        breaks = np.unique(knots)
        half = 0.5 * np.diff(breaks)[:, None]
        along.append(
            ((0.5 * (breaks[1:] + breaks[:-1])[:, None] + half * nodes).ravel(), (half * weights).ravel())
        )
    (x, in_x), (y, in_y) = along
    return x, y, np.outer(in_y, in_x)

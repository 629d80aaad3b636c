"""Bicubic tensor-product B-splines: values, matrices and bending energy; arrays only."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import NamedTuple

import numpy as np
import scipy.sparse as sp
from numpy.typing import ArrayLike
from scipy.interpolate import NdBSpline

from seatmesh.arrays import Floats, Ints
from seatmesh.by_value import by_value, lock

DEGREE = 3
SPAN_MM = 12.0
"""Largest span between the knots of a hollow."""


@by_value
@dataclass(frozen=True, eq=False)
class BicubicSpline:
    """S(x, y) = sum over i, j of c[i, j] B_i(x) B_j(y), on a rectangle, with clamped knots.

    Attributes
    ----------
    knots_x, knots_y
        Non-decreasing knots with fourfold ends, shapes (nx + 4,) and (ny + 4,).
    coefficients
        Shape (nx, ny).

    All are kept as copies that cannot be written; splines of equal numbers are equal.

    Examples
    --------
    >>> import numpy as np
    >>> from seatmesh import BicubicSpline, Seat
    >>> x, y = (np.repeat(ends, 4) for ends in ([-250.0, 250.0], [0.0, 450.0]))
    >>> Seat(hollow=BicubicSpline(x, y, np.full((4, 4), 6.0))).depth_mm(0.0, 250.0).round(6)
    np.float64(6.0)
    """

    knots_x: Floats
    knots_y: Floats
    coefficients: Floats

    def __post_init__(self) -> None:
        lock(self, float, "knots_x", "knots_y", "coefficients")

    def __call__(self, x: ArrayLike, y: ArrayLike, dx: int = 0, dy: int = 0) -> Floats:
        """Evaluate, or a partial derivative of order (dx, dy); arguments broadcast and are held to the rectangle."""
        x_held = np.clip(np.asarray(x, dtype=float), self.knots_x[0], self.knots_x[-1])
        y_held = np.clip(np.asarray(y, dtype=float), self.knots_y[0], self.knots_y[-1])
        if _is_open_grid(x_held, y_held):
            along_x = _kept_basis(x_held.tobytes(), self.knots_x.tobytes(), dx)
            along_y = _kept_basis(y_held.tobytes(), self.knots_y.tobytes(), dy)
            return _summed(along_y, np.ascontiguousarray(_summed(along_x, self.coefficients).T))
        points = np.stack(np.broadcast_arrays(x_held, y_held), axis=-1)
        return np.asarray(self._at_points(points, nu=[dx, dy]))

    @cached_property
    def _at_points(self) -> NdBSpline:
        """SciPy's spline of the same numbers: to make one takes longer than to ask it for a few points."""
        return NdBSpline((self.knots_x, self.knots_y), self.coefficients, DEGREE)


def _is_open_grid(x: Floats, y: Floats) -> bool:
    return x.ndim == 2 and y.ndim == 2 and x.shape[0] == 1 and y.shape[1] == 1


def clamped_knots(start: float, end: float, spans: int) -> Floats:
    """Return knots of `spans` equal spans over [start, end], mirrored to the bit when start is -end."""
    inner = start + (end - start) * np.arange(spans + 1) / spans
    inner = 0.5 * (inner + (start + end - inner[::-1]))
    inner[0], inner[-1] = start, end
    return np.concatenate([np.full(DEGREE, start), inner, np.full(DEGREE, end)])


def greville(knots: Floats) -> Floats:
    """Return the knots' averages: coefficients of x itself as a spline, and places to interpolate at."""
    # A third of three times a knot may lie beside it by rounding.
    return np.clip((knots[1:-3] + knots[2:-2] + knots[3:-1]) / 3.0, knots[0], knots[-1])


class LocalBasis(NamedTuple):
    """At each of n points the four basis functions that are not 0 there: number of the first, (n,), values, (n, 4)."""

    first: Ints
    values: Floats


def local_basis(points: Floats, knots: Floats, derivative: int = 0) -> LocalBasis:
    """Return the basis functions, or their derivatives, at points (n,) between the ends of clamped knots.

    By the recurrence of Cox and de Boor, and that for derivatives; common practice.

    Raises
    ------
    ValueError
        For a point that lies beyond the ends, or is not a number.
    """
    count = len(knots) - DEGREE - 1
    if len(points) and not (points.min() >= knots[0] and points.max() <= knots[-1]):
        raise ValueError("points of a spline lie between the ends of its knots")
    span = np.clip(np.searchsorted(knots, points, side="right") - 1, DEGREE, count - 1)
    near = knots[span[:, None] + np.arange(1 - DEGREE, DEGREE + 1)].T
    off = near - points

    def width(k: int, r: int) -> Floats:
        """Return the length of the support that two neighbours of degree k share, from its r-th knot on."""
        return near[DEGREE + r] - near[DEGREE + r - k]  # type: ignore[no-any-return]

    values = [np.ones(len(points))]
    for k in range(1, DEGREE - derivative + 1):
        shares = [values[r] / width(k, r) for r in range(k)]
        rising = [np.zeros(1), *(-off[DEGREE + r - k] * shares[r] for r in range(k))]
        falling = [*(off[DEGREE + r] * shares[r] for r in range(k)), np.zeros(1)]
        values = [up + down for up, down in zip(rising, falling, strict=True)]
    for k in range(DEGREE - derivative + 1, DEGREE + 1):
        shares = [k * values[r] / width(k, r) for r in range(k)]
        values = [up - down for up, down in zip([np.zeros(1), *shares], [*shares, np.zeros(1)], strict=True)]
    return LocalBasis(span - DEGREE, np.stack(np.broadcast_arrays(*values), axis=-1))


@lru_cache(maxsize=64)
def _kept_basis(points: bytes, knots: bytes, derivative: int) -> LocalBasis:
    """Return `local_basis` of numbers told by their bytes: a job asks for the same rows and columns again and again."""
    basis = local_basis(np.frombuffer(points), np.frombuffer(knots), derivative)
    for array in basis:
        array.setflags(write=False)
    return basis


def _summed(basis: LocalBasis, coefficients: Floats) -> Floats:
    """Return the sums of coefficients (k, m) at points, shape (n, m)."""
    total = basis.values[:, :1] * coefficients[basis.first]
    for one in range(1, DEGREE + 1):
        total += basis.values[:, one : one + 1] * coefficients[basis.first + one]
    return np.asarray(total)


def design_matrix(points: Floats, knots: Floats, derivative: int = 0) -> sp.csr_array:
    """Return the matrix of basis functions (or their derivatives) at points, shape (len(points), n)."""
    first, values = local_basis(points, knots, derivative)
    columns = (first[:, None] + np.arange(DEGREE + 1)).ravel()
    ends = np.arange(0, values.size + 1, DEGREE + 1)
    return sp.csr_array((values.ravel(), columns, ends), shape=(len(points), len(knots) - DEGREE - 1))


def bending_energy(knots_x: Floats, knots_y: Floats) -> sp.csr_array:
    """Return Q with c.ravel() @ Q @ c.ravel() = integral of Sxx^2 + 2 Sxy^2 + Syy^2 over the rectangle.

    The thin-plate energy of a surface of small slope; exact, by Gauss quadrature span by span.
    """
    gx, gy = _gram(knots_x), _gram(knots_y)
    energy = sp.kron(gx[2], gy[0]) + 2.0 * sp.kron(gx[1], gy[1]) + sp.kron(gx[0], gy[2])
    return sp.csr_array(energy)


def turning_energy(knots_x: Floats, knots_y: Floats) -> sp.csr_array:
    """Return Q with c.ravel() @ Q @ c.ravel() = integral of Sxxx^2 + 3 Sxxy^2 + 3 Sxyy^2 + Syyy^2 over the rectangle.

    How much the bending of a surface of small slope changes from place to place; exact, by Gauss quadrature.
    """
    gx, gy = _gram(knots_x, 3), _gram(knots_y, 3)
    mixed = sp.kron(gx[2], gy[1]) + sp.kron(gx[1], gy[2])
    energy = sp.kron(gx[3], gy[0]) + 3.0 * mixed + sp.kron(gx[0], gy[3])
    return sp.csr_array(energy)


def square_integral(knots_x: Floats, knots_y: Floats) -> sp.csr_array:
    """Return M with c.ravel() @ M @ c.ravel() = integral of S^2 over the rectangle; exact."""
    return sp.csr_array(sp.kron(_gram(knots_x)[0], _gram(knots_y)[0]))


def _gram(knots: Floats, highest: int = 2) -> list[sp.csr_array]:
    nodes, weights = np.polynomial.legendre.leggauss(DEGREE + 1)
    breaks = np.unique(knots)
    half = 0.5 * np.diff(breaks)[:, None]
    points = (0.5 * (breaks[1:] + breaks[:-1])[:, None] + half * nodes).ravel()
    scale = sp.diags_array((half * weights).ravel())
    out = []
    for order in range(highest + 1):
        basis = design_matrix(points, knots, order)
        out.append(sp.csr_array(basis.T @ scale @ basis))
    return out

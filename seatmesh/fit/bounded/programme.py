"""The quadratic programme: the fairest symmetric spline near a target, its coefficients inside bounds."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import NamedTuple

import clarabel
import numpy as np
import scipy.sparse as sp
from numpy.typing import NDArray

from seatmesh.arrays import Floats, Ints
from seatmesh.fit.bounded.active_set import BandFactor, least_inside
from seatmesh.fit.bounded.bounds import Bounds, Refinement
from seatmesh.fit.bounded.springs import Springs
from seatmesh.fit.bounded.symmetric import Squares, rows_at
from seatmesh.solution import CONVERGED, Solution
from seatmesh.spline import (
    SPAN_MM,
    BicubicSpline,
    bending_energy,
    clamped_knots,
    turning_energy,
)

TURNING_SHARE = 1.15
"""Length below which the curvature should not vary, in lengths below which it should not be. A surface is fair where it
bends little and where its bending changes little from place to place (minimum variation: Moreton and Sequin 1992)."""
POINT_MM = 6.0
"""Largest distance of the points at which the target is compared."""
MOST_ROW_ROUNDS = 8
"""Solves spent on finding which refined bounds matter."""
ROW_TOLERANCE_MM = 1e-4
"""A refined bound overstepped by less is brought back after the solve."""
TAKEN_IN_MM = 1.0
"""Bounds about to matter are taken in with those that do."""
INTERIOR_TOLERANCES = (1e-12, 1e-8)
"""With the solver's own, the latter, coefficients may be 5e-4 mm off; not every programme gets to the former."""
MOST_ROWS_KEPT = 24
"""Sets of rows that a programme keeps."""
ROWS_LEFT = (
    f"the spline programme met further bounds after {MOST_ROW_ROUNDS} rounds; "
    "give bevel, joints and deck line more room"
)


@dataclass(frozen=True)
class Programme:
    """A spline over [-half_width, half_width] x [start, end] and the points, on its right half, where it is fitted.

    Attributes
    ----------
    knots_x, knots_y
        Clamped knots; those in x mirror each other.
    x_mm, y_mm
        Columns (x >= 0) and rows of the points.
    basis
        From symmetric unknowns to values at the points, shape (ny * nx, unknowns).
    energy, turning
        Bending energy of the symmetric unknowns, and how much the bending changes from place to place.
    mirror
        From symmetric unknowns to all coefficients, row by row of (nx, ny).
    """

    knots_x: Floats
    knots_y: Floats
    x_mm: Floats
    y_mm: Floats
    basis: sp.csr_array
    energy: sp.csr_array
    turning: sp.csr_array
    mirror: sp.csr_array

    @property
    def cell_mm2(self) -> float:
        """Area that each point stands for."""
        return float((self.x_mm[1] - self.x_mm[0]) * (self.y_mm[1] - self.y_mm[0]))

    def values_at(self, x_mm: Floats, y_mm: Floats) -> sp.csr_array:
        """Return the matrix from symmetric unknowns to values at columns and rows, row by row of (ny, nx)."""
        x, y = np.meshgrid(x_mm, y_mm)
        return self.rows_at(x.ravel(), y.ravel())

    def rows_at(self, x_mm: Floats, y_mm: Floats, dx: int = 0, dy: int = 0) -> sp.csr_array:
        """Return the matrix from symmetric unknowns to values, or derivatives, at points x, y, both of shape (n,)."""
        key = dx, dy, x_mm.tobytes(), y_mm.tobytes()
        if key not in self._rows:
            while len(self._rows) >= MOST_ROWS_KEPT:
                del self._rows[next(iter(self._rows))]
            self._rows[key] = rows_at((self.knots_x, self.knots_y), x_mm, y_mm, dx, dy)
        return self._rows[key]

    @cached_property
    def _rows(self) -> dict[object, sp.csr_array]:
        """Rows that were asked for lately: one depth after the other asks for the same."""
        return {}

    def fairness(self, length_mm: float) -> sp.csr_array:
        """Return the second derivative of what fairness costs, by the symmetric unknowns."""
        return self.squares.matrix(self._fair_entries(length_mm))

    def strays(self, weight: Floats, length_mm: float) -> sp.csr_array:
        """Return twice the sum of squares at the points, weighed (ny, nx), and with it what fairness costs."""
        entries = self.squares.of((2.0 * self.cell_mm2) * weight.reshape(len(self.y_mm), len(self.x_mm)))
        entries += self._fair_entries(length_mm)
        return self.squares.matrix(entries)

    def _fair_entries(self, length_mm: float) -> Floats:
        bent, turned = self._fair
        return np.asarray(length_mm**4 * bent + (TURNING_SHARE * length_mm) ** 6 * turned)

    @cached_property
    def squares(self) -> Squares:
        """Squares of the rows of `basis`, ready to be added up."""
        return Squares.over((self.knots_x, self.knots_y), self.x_mm, self.y_mm)

    @cached_property
    def _fair(self) -> tuple[Floats, Floats]:
        """Entries of `energy` and `turning`."""
        return self.squares.entries(self.energy), self.squares.entries(self.turning)

    @cached_property
    def across_first(self) -> Ints:
        """The symmetric unknowns in the order in which those that share a surface lie closest: row by row of y."""
        nx, ny = self.shape
        return _across_first((nx + 1) // 2, ny)

    @property
    def shape(self) -> tuple[int, int]:
        """How many coefficients there are along x and y."""
        return len(self.knots_x) - 4, len(self.knots_y) - 4


@lru_cache(maxsize=8)
def programme_over(half_width_mm: float, start_mm: float, end_mm: float) -> Programme:
    """Lay out a programme over a rectangle that the centre line halves."""
    knots_x = clamped_knots(-half_width_mm, half_width_mm, 2 * int(np.ceil(half_width_mm / SPAN_MM)))
    knots_y = clamped_knots(start_mm, end_mm, int(np.ceil((end_mm - start_mm) / SPAN_MM)))
    x = np.linspace(0.0, half_width_mm, int(np.ceil(half_width_mm / POINT_MM)) + 1)
    y = np.linspace(start_mm, end_mm, int(np.ceil((end_mm - start_mm) / POINT_MM)) + 1)
    mirror = _mirror(len(knots_x) - 4, len(knots_y) - 4)
    columns, rows = np.meshgrid(x, y)
    basis = rows_at((knots_x, knots_y), columns.ravel(), rows.ravel())
    energy = mirror.T @ bending_energy(knots_x, knots_y) @ mirror
    turning = mirror.T @ turning_energy(knots_x, knots_y) @ mirror
    return Programme(knots_x, knots_y, x, y, basis, sp.csr_array(energy), sp.csr_array(turning), mirror)


def _across_first(half: int, ny: int) -> Ints:
    return np.arange(half * ny).reshape(half, ny).T.ravel()


def _mirror(nx: int, ny: int) -> sp.csr_array:
    half = (nx + 1) // 2
    rows = np.arange(nx)
    columns = np.minimum(rows, nx - 1 - rows)
    across = sp.coo_array((np.ones(nx), (rows, columns)), shape=(nx, half))
    return sp.csr_array(sp.kron(across, sp.eye_array(ny)))


def stray_hessian(programme: Programme, weight: Floats, fairness_mm: float) -> sp.csr_array:
    """Return the second derivative, by the symmetric unknowns, of what `fit` minimises.

    The energy is that of both halves, the points lie on one: hence their factor.
    """
    return programme.strays(weight, fairness_mm)


def stray_slope(programme: Programme, wanted: Floats, weight: Floats) -> Floats:
    """Return the first derivative, by the symmetric unknowns, of what `fit` minimises where all of them are 0."""
    return np.asarray(-2.0 * (programme.basis.T @ (weight.ravel() * programme.cell_mm2 * wanted.ravel())))


def _quadratic(
    programme: Programme, wanted: Floats, weight: Floats, fairness_mm: float, springs: Springs | None
) -> tuple[sp.csr_array, Floats]:
    """Return the second and, where all symmetric unknowns are 0, the first derivative of what `fit` minimises."""
    hessian = stray_hessian(programme, weight, fairness_mm)
    linear = stray_slope(programme, wanted, weight)
    if springs is None:
        return hessian, linear
    return sp.csr_array(hessian + springs.energy()), linear + springs.slope()


def fit(
    programme: Programme,
    wanted: Floats,
    weight: Floats,
    fairness_mm: float,
    lower: Floats,
    upper: Floats,
    refined: Refinement | None = None,
    springs: Springs | None = None,
) -> Solution[BicubicSpline]:
    """Minimise weighted squared distance from `wanted`, plus what fairness costs, plus the energy of springs.

    `wanted` and `weight` have shape (ny, nx) over the programme's points, `lower` and `upper` bound the coefficients,
    shape (nx coefficients, ny coefficients), alike on both sides; `refined` bounds those that the spline has once its
    spans are cut. Of these, rows are taken in as they come to matter, since few do.
    """
    hessian, linear = _quadratic(programme, wanted, weight, fairness_mm, springs)
    bounds = Bounds(upper, refined)
    taken = _likely(programme, hessian, linear, bounds)
    iterations = 0
    for _ in range(MOST_ROW_ROUNDS):
        rows = _rows(programme, refined, taken, springs)
        answer = _solved(hessian, linear, lower, upper, rows)
        iterations += answer.iterations
        coefficients = (programme.mirror @ answer.x).reshape(programme.shape)
        if refined is None:
            break
        over = refined.over(coefficients)
        if not np.any((over > ROW_TOLERANCE_MM) & ~taken):
            break
        taken |= over > -TAKEN_IN_MM
    else:
        return Solution(
            _held(programme, bounds, coefficients, lower), ROWS_LEFT, iterations, float(over.max())
        )
    return Solution(
        _held(programme, bounds, coefficients, lower), answer.verdict, iterations, answer.residual
    )


def fairest(
    programme: Programme, wanted: Floats, weight: Floats, fairness_mm: float, springs: Springs | None = None
) -> BicubicSpline:
    """Return what `fit` minimises, without any bounds."""
    hessian, linear = _quadratic(programme, wanted, weight, fairness_mm, springs)
    free = programme.mirror @ _unbounded(programme, hessian, linear)
    return BicubicSpline(programme.knots_x, programme.knots_y, free.reshape(programme.shape))


def _unbounded(programme: Programme, hessian: sp.csr_array, linear: Floats) -> Floats:
    """Return the symmetric unknowns that a quadratic is least at: by Cholesky's factors of its band."""
    return BandFactor(hessian, programme.across_first).solve(-linear)


def _held(programme: Programme, bounds: Bounds, coefficients: Floats, lower: Floats) -> BicubicSpline:
    """Return the spline inside its bounds: those are what is promised, and an answer has a tolerance."""
    held = bounds.held(np.maximum(coefficients, lower))
    return BicubicSpline(programme.knots_x, programme.knots_y, held)


def _likely(programme: Programme, hessian: sp.csr_array, linear: Floats, bounds: Bounds) -> NDArray[np.bool_]:
    """Return which refined bounds the surface would meet if nothing but its own coefficients were bounded."""
    if bounds.refined is None:
        return np.zeros((0, 0), dtype=bool)
    free = programme.mirror @ _unbounded(programme, hessian, linear)
    return np.asarray(
        bounds.refined.over(np.minimum(free.reshape(programme.shape), bounds.upper)) > -TAKEN_IN_MM
    )


def _rows(
    programme: Programme, refined: Refinement | None, taken: NDArray[np.bool_], springs: Springs | None
) -> tuple[sp.csr_array, Floats] | None:
    """Return the rows of refined bounds taken in and of springs' bounds, by symmetric unknowns; None without any."""
    parts = [] if springs is None else [(springs.limited, springs.most)]
    if refined is not None and taken.any():
        right = taken.copy()
        right[: len(right) // 2] = False  # the left side is the mirror image of the right one
        matrix, most = refined.rows(right)
        parts.append((sp.csr_array(matrix @ programme.mirror), most))
    if not parts:
        return None
    return sp.csr_array(sp.vstack([matrix for matrix, _ in parts])), np.concatenate(
        [most for _, most in parts]
    )


class _Solved(NamedTuple):
    """Symmetric unknowns, what became of the programme, and what its solver left over."""

    x: Floats
    verdict: str
    iterations: int
    residual: float


def _solved(
    hessian: sp.csr_array,
    linear: Floats,
    lower: Floats,
    upper: Floats,
    rows: tuple[sp.csr_array, Floats] | None,
) -> _Solved:
    """Solve for the symmetric unknowns: by the active set, or where that does not end by an interior-point method."""
    half = (len(lower) + 1) // 2
    low, high = lower[:half].ravel(), upper[:half].ravel()
    size = len(low)
    parts = [sp.eye_array(size), -sp.eye_array(size), *([] if rows is None else [rows[0]])]
    most = np.concatenate([high, -low, *([] if rows is None else [rows[1]])])
    matrix = sp.csr_array(sp.vstack(parts, format="csr"))
    least = least_inside(hessian, linear, _across_first(half, lower.shape[1]), matrix, most)
    if least is not None:
        return _Solved(least.x, CONVERGED, least.pivots, least.over_mm)
    return _inside_out(hessian, linear, matrix, most)


def _inside_out(hessian: sp.csr_array, linear: Floats, matrix: sp.csr_array, most: Floats) -> _Solved:
    """Run the interior-point solver: closely, or as closely as it gets."""
    scale = float(np.max(np.abs(hessian.diagonal())))
    for tolerance in INTERIOR_TOLERANCES:
        settings = clarabel.DefaultSettings()
        settings.verbose = False
        settings.tol_gap_abs = settings.tol_gap_rel = settings.tol_feas = tolerance
        settings.direct_solve_method = "qdldl"  # for matrices as small as this twice as fast as the default
        cones = [clarabel.NonnegativeConeT(len(most))]
        quadratic, rows = sp.csc_matrix(sp.triu(hessian / scale)), sp.csc_matrix(matrix)
        answer = clarabel.DefaultSolver(quadratic, linear / scale, rows, most, cones, settings).solve()
        if str(answer.status) in {"Solved", "AlmostSolved"}:
            verdict = CONVERGED
            break
        verdict = f"the spline programme ended as '{answer.status}'; check wishes against bounds"
    return _Solved(np.asarray(answer.x), verdict, int(answer.iterations), float(answer.r_prim))

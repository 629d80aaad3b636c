"""The linear programme behind saving a deep cut: the least further wood that makes a fair seat of it.

Unknown is what is taken beyond the seat as drawn, a spline of the seat's own knots with coefficients u >= 0,

    minimise  the integral of it                                    (further wood)
    subject to  drawn + u at or below the wood at stated places     (wood cannot be put back)
                |u_xx|, |u_yy|, |u_xy| <= curvature                  (fair: so it is as fair as the seat, to that)
                coefficients of drawn + u within floor, joints and deck line

A spline's second derivatives never exceed the coefficients that they have in their own bases, so the curvature holds
everywhere and not only at points; so do the bounds (`seatmesh.fit.bounded.bounds`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import clarabel
import numpy as np
import scipy.sparse as sp
from numpy.typing import NDArray

from seatmesh.arrays import Floats
from seatmesh.fit.bounded.bounds import Bounds
from seatmesh.fit.bounded.programme import MOST_ROW_ROUNDS, ROW_TOLERANCE_MM, TAKEN_IN_MM
from seatmesh.fit.bounded.robust_spline import tensor_rows
from seatmesh.solution import Solution
from seatmesh.spline import DEGREE, BicubicSpline, design_matrix

MARGIN_MM = 2e-3
"""Kept below the stated places, for what an interior-point answer may miss."""


@dataclass(frozen=True)
class LeastWood:
    """minimise cost @ u subject to matrix @ u <= most and u >= 0.

    Attributes
    ----------
    drawn
        The seat's own hollow.
    spread
        From unknowns to all coefficients, row by row of (nx, ny).
    cost
        Wood per unknown, mm^3 per mm.
    matrix, most
        Inequalities: places, curvature, bounds, refined bounds taken in, in this order.
    bound_rows
        Index of the first inequality that is a bound.
    """

    drawn: BicubicSpline
    spread: sp.csr_array
    cost: Floats
    matrix: sp.csr_array
    most: Floats
    bound_rows: int

    def hollow(self, unknowns: Floats) -> BicubicSpline:
        """Return the hollow that unknowns make."""
        taken = (self.spread @ np.maximum(unknowns, 0.0)).reshape(self.drawn.coefficients.shape)
        return replace(self.drawn, coefficients=self.drawn.coefficients + taken)


def least_wood(
    drawn: BicubicSpline,
    spread: sp.csr_array,
    place_mm: tuple[Floats, Floats],
    below_mm: Floats,
    curvature: float,
    bounds: Bounds,
    taken: NDArray[np.bool_] | None,
) -> LeastWood:
    """Lay out the programme for places (n,) at which the hollow is to be at least `below_mm` deep.

    `taken` chooses the refined bounds that are put to it.
    """
    count = drawn.coefficients.size
    at = _at(drawn, *place_mm)
    # Only places that the drawn seat does not reach have a say: nothing is put back.
    lack = below_mm + MARGIN_MM - at @ drawn.coefficients.ravel()
    says = lack > 0.0
    turns = _curvatures(drawn) @ spread
    room = bounds.upper.ravel() - drawn.coefficients.ravel()
    parts = [-(at[says] @ spread), turns, -turns, sp.eye_array(count).tocsr() @ spread]
    limits = [-lack[says], np.full(2 * turns.shape[0], curvature), np.maximum(room, 0.0)]
    if bounds.refined is not None and taken is not None and taken.any():
        matrix, most = bounds.refined.rows(taken)
        parts.append(matrix @ spread)
        limits.append(np.maximum(most - matrix @ drawn.coefficients.ravel(), 0.0))
    return LeastWood(
        drawn=drawn,
        spread=spread,
        cost=spread.T @ _integrals(drawn).ravel(),
        matrix=sp.csr_array(sp.vstack(parts)),
        most=np.concatenate(limits),
        bound_rows=int(says.sum()) + 2 * turns.shape[0],
    )


def solved(programme: LeastWood) -> Solution[Floats]:
    """Solve a programme; its verdict is "converged" or says that there is no such seat."""
    size = len(programme.cost)
    scale = float(programme.cost.max())
    answer = _clarabel(
        programme.cost / scale,
        sp.vstack([programme.matrix, -sp.eye_array(size)]),
        np.concatenate([programme.most, np.zeros(size)]),
    )
    return Solution(np.asarray(answer.x), _verdict(answer), int(answer.iterations), float(answer.r_prim))


def least_overstep(programme: LeastWood) -> Solution[tuple[float, Floats]]:
    """Return by how much the bounds would have to give way, mm, for any such seat; and that seat's unknowns."""
    size = len(programme.cost)
    give = np.zeros((len(programme.most), 1))
    give[programme.bound_rows :] = -1.0
    matrix = sp.vstack([sp.hstack([programme.matrix, sp.csr_array(give)]), -sp.eye_array(size + 1)])
    # A trace of cost keeps the seat from taking wood for nothing.
    cost = np.append(1e-4 * programme.cost / programme.cost.max(), 1.0)
    answer = _clarabel(cost, matrix, np.concatenate([programme.most, np.zeros(size + 1)]))
    x = np.asarray(answer.x)
    return Solution((float(x[-1]), x[:-1]), _verdict(answer), int(answer.iterations), float(answer.r_prim))


def solved_within(
    drawn: BicubicSpline,
    spread: sp.csr_array,
    place_mm: tuple[Floats, Floats],
    below_mm: Floats,
    curvature: float,
    bounds: Bounds,
) -> tuple[LeastWood, Solution[Floats]]:
    """Solve the programme with the refined bounds that matter, which are found by solving without them."""
    taken = None
    if bounds.refined is not None:
        taken = bounds.refined.over(drawn.coefficients) > -TAKEN_IN_MM
    for _ in range(MOST_ROW_ROUNDS):
        programme = least_wood(drawn, spread, place_mm, below_mm, curvature, bounds, taken)
        solution = solved(programme)
        if bounds.refined is None or taken is None or not solution.converged:
            break
        over = bounds.refined.over(programme.hollow(solution.value).coefficients)
        if not np.any((over > ROW_TOLERANCE_MM) & ~taken):
            break
        taken = taken | (over > -TAKEN_IN_MM)
    return programme, solution


def as_cut(drawn: BicubicSpline) -> sp.csr_array:
    """Return the spread of a seat whose sides may differ: each coefficient for itself."""
    return sp.csr_array(sp.eye_array(drawn.coefficients.size))


def symmetric(drawn: BicubicSpline) -> sp.csr_array:
    """Return the spread of what is taken alike on both sides."""
    nx, ny = drawn.coefficients.shape
    rows = np.arange(nx)
    across = sp.coo_array((np.ones(nx), (rows, np.minimum(rows, nx - 1 - rows))), shape=(nx, (nx + 1) // 2))
    return sp.csr_array(sp.kron(across, sp.eye_array(ny)))


def _clarabel(cost: Floats, matrix: Any, most: Floats) -> Any:
    settings = clarabel.DefaultSettings()
    settings.verbose = False
    settings.direct_solve_method = "qdldl"
    size = len(cost)
    solver = clarabel.DefaultSolver(
        sp.csc_matrix((size, size)), cost, sp.csc_matrix(matrix), most,
        [clarabel.NonnegativeConeT(len(most))], settings,
    )  # fmt: skip
    return solver.solve()


def _verdict(answer: Any) -> str:
    if str(answer.status) in {"Solved", "AlmostSolved"}:
        return "converged"
    return f"no fair seat within the bounds (the programme ended as '{answer.status}')"


def _at(spline: BicubicSpline, x: Floats, y: Floats) -> sp.csr_array:
    """Return the matrix from coefficients to values at places, shape (n, coefficients)."""
    if not len(x):
        return sp.csr_array((0, spline.coefficients.size))
    along_x = design_matrix(np.clip(x, spline.knots_x[0], spline.knots_x[-1]), spline.knots_x)
    along_y = design_matrix(np.clip(y, spline.knots_y[0], spline.knots_y[-1]), spline.knots_y)
    return tensor_rows(along_x, along_y)


def _integrals(spline: BicubicSpline) -> Floats:
    """Return the integral of each basis function: a quarter of the stretch of its knots, along each axis."""
    x, y = (
        (knots[DEGREE + 1 :] - knots[: -DEGREE - 1]) / (DEGREE + 1)
        for knots in (spline.knots_x, spline.knots_y)
    )
    return np.outer(x, y)


def _curvatures(spline: BicubicSpline) -> sp.csr_array:
    """Return the matrix from coefficients to those of the second derivatives by xx, yy and xy, one below the other."""
    first_x, first_y = (_derivative(knots, DEGREE) for knots in (spline.knots_x, spline.knots_y))
    second_x = _derivative(spline.knots_x[1:-1], DEGREE - 1) @ first_x
    second_y = _derivative(spline.knots_y[1:-1], DEGREE - 1) @ first_y
    one_x, one_y = (sp.eye_array(n) for n in spline.coefficients.shape)
    return sp.csr_array(
        sp.vstack([sp.kron(second_x, one_y), sp.kron(one_x, second_y), sp.kron(first_x, first_y)])
    )


def _derivative(knots: Floats, degree: int) -> sp.csr_array:
    """Return the matrix from a B-spline's coefficients to its derivative's (de Boor 1978, from memory)."""
    n = len(knots) - degree - 1
    factor = degree / (knots[degree + 1 : degree + n] - knots[1:n])
    return sp.csr_array(sp.diags_array(np.array([-factor, factor]), offsets=[0, 1], shape=(n - 1, n)))

"""A quadratic programme by its active set: which bounds are met, and the unknowns that are least with those met.

Least is x'Hx / 2 + g'x with A x <= b, H positive definite and banded. With H = L L' the bounds that may matter are put
to their multipliers: their own programme is small, dense, and only asks them not to be negative. Bounds are taken in
some at a time, those first that are overstepped most: of many that are, few are met in the end. The multipliers are
found by least squares that stay positive (Lawson and Hanson 1974, from memory), some of them let in at once: each
step goes down, so it ends, also where bounds depend on one another, as beside joints. An answer is checked by the
Karush-Kuhn-Tucker conditions before it is given out; where it fails an interior-point method has to do it.
"""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

import numpy as np
import scipy.sparse as sp
from scipy.linalg.lapack import dpbtrf, dpotrf, dpotrs, dtbtrs

from seatmesh.arrays import Bools, Floats, Ints

MOST_ROUNDS = 40
"""Times that bounds which are overstepped are taken in."""
MOST_PIVOTS = 600
"""Programmes that end take less than a sixth of this."""
MOST_ROWS = 900
"""Bounds taken in: with more, the interior-point method is as fast."""
AT_ONCE = 100
"""Bounds taken in at a time."""
SIDE_BY_SIDE = 12
"""Rows whose first unknowns lie close are solved for at a time."""
LET_IN = 50
"""Multipliers let in at a time."""
OVERSTEPPED_MM = 1e-9
NEAR_MM = 0.02
"""When bounds are taken in after the first round, those so near are taken with them."""
SOFTENING = 1e-11
"""Share by which the multipliers' matrix is stiffened, for bounds that depend on one another."""
LEAST_FALL = 1e-300
"""Keeps from a division by nothing."""
RESIDUAL = 1e-9
"""Largest imbalance of slopes, over the largest slope, of an answer that is given out."""


class Least(NamedTuple):
    """Where a quadratic is least: unknowns, pivots, and by how much a bound is overstepped at most, mm."""

    x: Floats
    pivots: int
    over_mm: float


class BandFactor:
    """The Cholesky factor of a sparse matrix whose unknowns, taken in some order, lie close to those they meet."""

    def __init__(self, hessian: sp.csr_array, order: Ints) -> None:
        rank = np.empty_like(order)
        rank[order] = np.arange(len(order))
        hessian.sum_duplicates()
        entries = hessian.tocoo()
        row, column = rank[entries.row], rank[entries.col]
        below = row >= column
        offset, column = (row - column)[below], column[below]
        band = np.zeros((int(offset.max()) + 1, len(order)))
        band[offset, column] = entries.data[below]
        self.order = order
        self.factor, info = dpbtrf(band, lower=1, overwrite_ab=1)
        if info:
            raise np.linalg.LinAlgError("what fairness costs is not positive definite")

    def halfway(self, values: Floats) -> Floats:
        """Return L^-1 of columns (n, k) that stand in the order."""
        return np.asarray(dtbtrs(self.factor, np.asfortranarray(values), uplo="L", trans="N")[0])

    def halfway_rows(self, rows: sp.csr_array) -> Floats:
        """Return L^-1 of rows put upright, (n, k): nothing stands above the first unknown that a row meets."""
        first = np.array(
            [rows.indices[at:to].min(initial=len(self.order)) for at, to in pairwise(rows.indptr)]
        )
        out = np.zeros((len(self.order), len(first)))
        for some in np.array_split(np.argsort(first, kind="stable"), -(-len(first) // SIDE_BY_SIDE)):
            top = min(int(first[some[0]]), len(self.order) - 1)
            upright = np.asfortranarray(rows[some].toarray().T[top:])
            out[top:, some] = dtbtrs(self.factor[:, top:], upright, uplo="L", trans="N")[0]
        return out

    def back(self, values: Floats) -> Floats:
        """Return L'^-1 of a column (n,), in the order."""
        return np.asarray(dtbtrs(self.factor, values[:, None], uplo="L", trans="T")[0][:, 0])

    def solve(self, values: Floats) -> Floats:
        """Return H^-1 of values (n,), both as the unknowns are numbered."""
        out = np.empty(len(values))
        out[self.order] = self.back(self.halfway(values[self.order][:, None])[:, 0])
        return out


def least_inside(
    hessian: sp.csr_array, linear: Floats, order: Ints, matrix: sp.csr_array, most: Floats
) -> Least | None:
    """Return where x'Hx / 2 + g'x is least with `matrix` @ x <= `most`; None where pivoting does not get there.

    `order` is that of the unknowns in which H has a narrow band.
    """
    try:
        band = BandFactor(hessian, order)
    except np.linalg.LinAlgError:
        return None
    free = band.halfway(-linear[order][:, None])[:, 0]
    rows = sp.csr_array(matrix[:, order])
    x, left = band.back(free), np.ones(len(most), dtype=bool)
    taken, multiplier = np.zeros(0, dtype=np.int64), np.zeros(0)
    reach, pivots, near = np.zeros((len(x), 0)), 0, 0.0
    for _ in range(MOST_ROUNDS):
        slack = most - rows @ x
        if not np.any(slack[left] < -OVERSTEPPED_MM):
            break
        new = np.flatnonzero(left & (slack < near))
        if len(new) > AT_ONCE:
            new = np.sort(new[np.argsort(slack[new], kind="stable")[:AT_ONCE]])
        left[new], near = False, NEAR_MM
        taken = np.concatenate([taken, new])
        if len(taken) > MOST_ROWS:
            return None
        reach = np.hstack([reach, band.halfway_rows(rows[new])])
        before = np.concatenate([multiplier, np.zeros(len(new))])
        found = _multipliers(reach.T @ reach, most[taken] - reach.T @ free, before)
        if found is None:
            return None
        multiplier, pivots = found[0], pivots + found[1]
        x = band.back(free - reach @ multiplier)
    else:
        return None
    out = np.empty(len(x))
    out[order] = x
    over = float(np.max(matrix @ out - most, initial=0.0))
    force = matrix[taken].T @ multiplier
    off = float(np.max(np.abs(hessian @ out + linear + force)))
    # Stated so that what is not a number is refused, too.
    sound = over <= 10.0 * OVERSTEPPED_MM and off <= RESIDUAL * float(np.max(np.abs(linear)))
    return Least(out, pivots, over) if sound else None


def _multipliers(square: Floats, slack: Floats, before: Floats) -> tuple[Floats, int] | None:
    """Return the multipliers l >= 0 with slack + square @ l >= 0, one of the two 0 for each bound, and the pivots.

    `before` are such as were found for fewer bounds, to begin from.
    """
    square[np.diag_indices(len(slack))] *= 1.0 + SOFTENING
    now = before
    met, pivots = before > 0.0, 0
    while True:
        found = _not_negative(square, slack, now, met)
        if found is None:
            return None
        now, pivots = found[0], pivots + found[1]
        room = slack + square @ now
        wrong = np.flatnonzero(~met & (room < -0.1 * OVERSTEPPED_MM))
        if not len(wrong):
            return now, pivots
        if pivots > MOST_PIVOTS:
            return None
        met[wrong[np.argsort(room[wrong], kind="stable")[:LET_IN]]] = True


def _not_negative(square: Floats, slack: Floats, first: Floats, met: Bools) -> tuple[Floats, int] | None:
    """Return the multipliers of bounds that are `met`, and the pivots: those that would turn negative are let go.

    From `first` the way leads straight to where bounds are met, up to the first that turns; `met` tells which are left.
    """
    now, pivots = first, 1
    while met.any():
        at = np.flatnonzero(met)
        factor, info = dpotrf(square[np.ix_(at, at)], lower=1, overwrite_a=1)
        if info:
            return None
        there = np.zeros_like(slack)
        there[at] = dpotrs(factor, -slack[at], lower=1)[0]
        turned = met & (there <= 0.0)
        if not turned.any():
            return there, pivots
        share = now[turned] / np.maximum(now[turned] - there[turned], LEAST_FALL)
        least = share.min()
        now = np.maximum(now + least * (there - now), 0.0)
        met[np.flatnonzero(turned)[share <= least]] = False
        now[~met] = 0.0
        pivots += 1
    return np.zeros_like(slack), pivots

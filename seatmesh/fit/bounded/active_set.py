"""A quadratic programme by its active set: which bounds are met, and the unknowns that are least with those met.

Least is x'Hx / 2 + g'x with A x <= b, H positive definite and banded. With H = L L' the bounds that may matter are put
to their multipliers: their own programme is small, dense, and only asks them not to be negative. It is solved by
pivoting whole blocks (Judice and Pires 1994, from memory): all that are on the wrong side change sides at once. Where
hundreds of bounds hang together, as beside joints, that may not end; then nothing is returned, and an interior-point
method has to do it. An answer is checked by the Karush-Kuhn-Tucker conditions before it is given out.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import scipy.sparse as sp
from scipy.linalg.lapack import dpbtrf, dpotrf, dpotrs, dtbtrs

from seatmesh.arrays import Bools, Floats, Ints

MOST_ROUNDS = 15
"""Times that bounds which are overstepped after all are taken in."""
MOST_PIVOTS = 40
"""Programmes that end take less than this; those that do not are better left early."""
MOST_ROWS = 450
"""Bounds taken in: with more, the interior-point method is as fast."""
OVERSTEPPED_MM = 1e-9
NEAR_MM = 0.02
"""When bounds are taken in after the first round, those so near are taken with them."""
WHOLE_BLOCKS = 3
"""Pivots of whole blocks that may bring nothing before the last wrong one changes sides alone."""
SOFTENING = 1e-11
"""Share by which the multipliers' matrix is stiffened, for bounds that depend on one another."""
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
        left[new], near = False, NEAR_MM
        taken = np.concatenate([taken, new])
        if len(taken) > MOST_ROWS:
            return None
        reach = np.hstack([reach, band.halfway(rows[new].toarray().T)])
        met = np.concatenate([multiplier > 0.0, slack[new] < 0.0])
        found = _multipliers(reach.T @ reach, most[taken] - reach.T @ free, met)
        if found is None:
            return None
        multiplier, pivots = found[0], pivots + found[1]
        x = band.back(free - reach @ multiplier)
    out = np.empty(len(x))
    out[order] = x
    over = float(np.max(matrix @ out - most, initial=0.0))
    force = matrix[taken].T @ multiplier
    off = float(np.max(np.abs(hessian @ out + linear + force)))
    # Stated so that what is not a number is refused, too.
    sound = over <= 10.0 * OVERSTEPPED_MM and off <= RESIDUAL * float(np.max(np.abs(linear)))
    return Least(out, pivots, over) if sound else None


def _multipliers(square: Floats, slack: Floats, met: Bools) -> tuple[Floats, int] | None:
    """Return the multipliers l >= 0 with slack + square @ l >= 0, one of the two 0 for each bound, and the pivots.

    `met` says which bounds are met to begin with.
    """
    square[np.diag_indices(len(slack))] *= 1.0 + SOFTENING
    fewest, patience = len(slack) + 1, WHOLE_BLOCKS
    for pivot in range(MOST_PIVOTS):
        out, at = np.zeros(len(slack)), np.flatnonzero(met)
        if len(at):
            factor, info = dpotrf(square[np.ix_(at, at)], lower=1, overwrite_a=1)
            if info:
                return None
            out[at] = dpotrs(factor, -slack[at], lower=1)[0]
        wrong = np.where(met, out < 0.0, slack + square[:, at] @ out[at] < -0.1 * OVERSTEPPED_MM)
        count = int(wrong.sum())
        if not count:
            return out, pivot + 1
        if count < fewest:
            fewest, patience = count, WHOLE_BLOCKS
        elif patience:
            patience -= 1
        else:
            wrong[: np.flatnonzero(wrong)[-1]] = False
        met = met ^ wrong
    return None

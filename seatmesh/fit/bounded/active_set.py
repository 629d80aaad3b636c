"""A quadratic programme by its active set: which bounds are met, and the unknowns that are least with those met.

Least is x'Hx / 2 + g'x with A x <= b, H positive definite and banded. With H = L L' the bounds that may matter are put
to their multipliers: their own programme is small, dense, and only asks them not to be negative. Bounds are taken in
some at a time, those first that are overstepped most: of many that are, few are met in the end. The multipliers are
found by least squares that stay positive (Lawson and Hanson 1974, from memory), some of them let in at once: each
step goes down, so it ends, also where bounds depend on one another, as beside joints. An answer is checked by the
Karush-Kuhn-Tucker conditions before it is given out; where it fails an interior-point method has to do it.
"""

from __future__ import annotations

from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

import numpy as np
import scipy.sparse as sp
from scipy.linalg.lapack import dpbtrf, dpbtrs, dpotrf, dpotrs, dtbtrs, dtrtrs

from seatmesh.arrays import Bools, Floats, Ints

MOST_ROUNDS = 40
"""Times that bounds which are overstepped are taken in."""
MOST_PIVOTS = 600
"""Programmes that end take less than a sixth of this."""
MOST_ROWS = 900
"""Bounds taken in: with more, the interior-point method is as fast."""
AT_ONCE = 100
"""Bounds taken in at a time."""
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
        latest = np.argsort(first, kind="stable")
        sorted_first, upright = first[latest], rows[latest].toarray().T
        wide = self._blocks.shape[1]
        for top, block in zip(range(0, len(upright), wide), self._blocks, strict=True):
            below = upright[top + wide : top + 2 * wide]
            begun = int(np.searchsorted(sorted_first, top + wide))
            part = upright[top : top + wide, :begun]
            size = len(part)
            part[:] = dtrtrs(block[:size, :size].T, part, lower=1)[0]
            below[:, :begun] -= block[:size, wide : wide + len(below)].T @ part
        out = np.empty_like(upright)
        out[:, latest] = upright
        return out

    @cached_property
    def _blocks(self) -> Floats:
        """L' in blocks as wide as its band, (blocks, wide, 2 wide): one on the diagonal, and the one beside it."""
        wide, size = len(self.factor), len(self.order)
        blocks = np.zeros((-(-size // wide), wide, 2 * wide))
        block, at = np.divmod(np.arange(size)[:, None], wide)
        blocks[block, at, at + np.arange(wide)] = self.factor.T
        return blocks

    def back(self, values: Floats) -> Floats:
        """Return L'^-1 of a column (n,), in the order."""
        return np.asarray(dtbtrs(self.factor, values[:, None], uplo="L", trans="T")[0][:, 0])

    def solve(self, values: Floats) -> Floats:
        """Return H^-1 of values (n,), or of columns of them (n, k), both as the unknowns are numbered."""
        out = np.empty_like(values)
        out[self.order] = dpbtrs(self.factor, values[self.order], lower=1)[0]
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
    reach, square, pivots, near = np.zeros((len(x), 0)), np.zeros((0, 0)), 0, 0.0
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
        further = band.halfway_rows(rows[new])
        beside = reach.T @ further
        square = np.block([[square, beside], [beside.T, further.T @ further]])
        reach = np.hstack([reach, further])
        before = np.concatenate([multiplier, np.zeros(len(new))])
        found = _multipliers(_stiffened(square), most[taken] - reach.T @ free, before)
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


def _stiffened(square: Floats) -> Floats:
    """Return the multipliers' matrix with its diagonal stiffened."""
    stiff = square.copy()
    stiff[np.diag_indices(len(stiff))] *= 1.0 + SOFTENING
    return stiff


def _multipliers(square: Floats, slack: Floats, before: Floats) -> tuple[Floats, int] | None:
    """Return the multipliers l >= 0 with slack + square @ l >= 0, one of the two 0 for each bound, and the pivots.

    `before` are such as were found for fewer bounds, to begin from.
    """
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

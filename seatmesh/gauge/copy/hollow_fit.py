"""A hollow and how the bar sat, from readings of a seat of which no drawing is known.

Uncut wood is at depth 0 and tells of the bar; which crossings are uncut beyond the deck is told by the readings
themselves (`seatmesh.gauge.copy.cut_wood`), round by round with the variances (`seatmesh.gauge.copy.reading_parts`). Given both,
hollow and bars follow from one normal model, each with its error and with the error of the other in it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import scipy.linalg as la
from numpy.typing import NDArray

from seatmesh.gauge.copy.cut_wood import CutWood, first_guess, odds_of_cut
from seatmesh.gauge.copy.reading_parts import ReadingParts, Variances, likeliest, likelihood, usual_variances
from seatmesh.spline import BicubicSpline

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

ROUNDS = 14
VARIANCE_ROUNDS = (0, 1, 2, 4, 7)
FIRST_DOUBT, LEAST_ROUNDS = 2, 3
SETTLE = 9
"""From this round on a crossing that is taken for cut stays so: else a few could change for ever."""
FAR, LEAST_MM = 4.0, 0.5
"""A reading is questioned where it lies so many standard deviations, and so far, from what all others foretell."""
MOST_SHARE = 0.15


@dataclass(frozen=True)
class HollowFit:
    """What readings tell of a hollow and of the bar.

    Attributes
    ----------
    parts, variances
        The readings and how large each of their parts is.
    cut
        Which readings are on carved wood, shape (n,).
    questioned
        Which readings were left out, shape (n,).
    weight, precision
        Of the readings that are used: inverse covariance times values, and the inverse covariance.
    settled
        Whether the last round changed nothing.
    """

    parts: ReadingParts
    variances: Variances
    cut: Bools
    questioned: Bools
    weight: Floats
    precision: Floats
    settled: bool

    @property
    def used(self) -> Ints:
        """Index of the readings that are used."""
        return np.flatnonzero(~self.questioned)

    def spline(self) -> BicubicSpline:
        """Return the hollow."""
        used = self.used
        says = self.cut[used] * self.weight
        return self.parts.prior.spline(self.variances.bending * self.parts.spread[:, used] @ says)

    def covariance_mm2(self, x_mm: Floats, y_mm: Floats, mirror_share: float = 0.0) -> Floats:
        """Return how unsure the hollow is at places (m,), and how that hangs together, shape (m, m).

        With `mirror_share` 0.5 it is that of the mean of the two sides.
        """
        prior = self.parts.prior
        basis = prior.basis(x_mm, y_mm)
        if mirror_share:
            basis = (1.0 - mirror_share) * basis + mirror_share * prior.basis(-x_mm, y_mm)
        used = self.used
        to = self.variances.bending * np.asarray(basis @ self.parts.spread[:, used]) * self.cut[used]
        own = self.variances.bending * np.asarray(basis @ prior.spread(basis))
        return np.asarray(own - to @ self.precision @ to.T)

    def bars_mm(self) -> Floats:
        """Return what bars added to each reading, shape (n,), scatter that neighbours share apart."""
        return self._told(self.parts.fixed + self._own())

    def parts_of_bars(self, design: Floats, prior: Floats) -> tuple[Floats, Floats]:
        """Return mean (k,) and covariance (k, k) of quantities of the bars.

        `design` is what each adds to readings, shape (n, k), and `prior` their covariance before any reading.
        """
        to = prior @ design[self.used].T
        return to @ self.weight, prior - to @ self.precision @ to.T

    def _own(self) -> Floats:
        height, tilt = np.exp(self.variances.log[1:3])
        return np.asarray(height * self.parts.scatter[0] + tilt * self.parts.scatter[1])

    def _told(self, covariance: Floats) -> Floats:
        return np.asarray(covariance[:, self.used] @ self.weight)


def hollow_and_bars(parts: ReadingParts, kept: Bools) -> HollowFit:
    """Return the hollow and how the bar sat; readings that are `kept` are never left out, shape (n,)."""
    cut, odd = first_guess(parts)
    parts = replace(parts, odd=odd)
    questioned = np.zeros(len(cut), dtype=bool)
    variances = usual_variances()
    for k in range(ROUNDS):
        if k in VARIANCE_ROUNDS:
            sound = np.flatnonzero(~questioned)
            variances = likeliest(parts.some(sound), cut[sound], variances)
        fit = _solved(parts, variances, cut, questioned)
        seen = odds_of_cut(fit.parts, variances, CutWood(cut, fit.used, fit.weight, fit.precision))
        now = parts.ahead & ((seen.odds > 0.0) | (cut & (k >= SETTLE)))
        worst = _worst(seen.off_mm, seen.deviations, kept | questioned) if k >= FIRST_DOUBT else -1
        if worst >= 0 and questioned.sum() < MOST_SHARE * len(cut):
            questioned = questioned.copy()
            questioned[worst] = True
        elif k >= LEAST_ROUNDS and np.array_equal(now, cut):
            return HollowFit(parts, variances, cut, questioned, fit.weight, fit.precision, True)
        cut = now
    return _solved(parts, variances, cut, questioned)


def likelihood_at_first(parts: ReadingParts) -> float:
    """Return how likely readings are for one way of sharing them among placings, by a first guess of what is cut."""
    cut, odd = first_guess(parts)
    parts = replace(parts, odd=odd)
    return likelihood(parts, cut, likeliest(parts, cut, usual_variances()))


def _solved(parts: ReadingParts, variances: Variances, cut: Bools, questioned: Bools) -> HollowFit:
    used = np.flatnonzero(~questioned)
    among = np.ix_(used, used)
    whole = variances.bending * (np.outer(cut, cut) * parts.hollow)[among] + parts.bars(variances)[among]
    whole[np.diag_indices(len(used))] += variances.own_scatter_mm2
    precision = np.asarray(la.inv(whole, check_finite=False))
    return HollowFit(parts, variances, cut, questioned, precision @ parts.off_mm[used], precision, False)


def _worst(off: Floats, deviations: Floats, left_alone: Bools) -> int:
    """Return which reading is to be questioned next, -1 for none."""
    far = (np.abs(deviations) > FAR) & (np.abs(off) > LEAST_MM) & ~left_alone
    return int(np.argmax(np.abs(deviations) * far)) if far.any() else -1

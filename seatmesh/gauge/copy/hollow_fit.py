"""A hollow and how the bar sat, from readings of a seat of which no drawing is known.

Uncut wood is at depth 0 and tells of the bar; which crossings are uncut beyond the deck is told by the readings
themselves (`seatmesh.gauge.copy.cut_wood`), round by round with the variances
(`seatmesh.gauge.copy.reading_parts`). Given both,
hollow and bars follow from one normal model, each with its error and with the error of the other in it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import scipy.linalg as la

from seatmesh.arrays import Bools, Floats, Ints
from seatmesh.gauge.copy.cut_wood import CutWood, first_guess, odds_of_cut, rolled_over
from seatmesh.gauge.copy.reading_parts import (
    ReadingParts,
    Variances,
    likeliest,
    likelihood,
    usual_variances,
    with_a_fair_part,
)
from seatmesh.spline import BicubicSpline

ROUNDS = 14
VARIANCE_ROUNDS = (0, 1, 2, 4, 7)
FIRST_DOUBT, LEAST_ROUNDS = 2, 3
SETTLE = 9
"""From this round on a crossing that is taken for cut stays so: else a few could change for ever."""
FAR, LEAST_MM = 4.0, 0.5
"""A reading is questioned where it lies so many standard deviations, and so far, from what all others foretell."""
MOST_SHARE = 0.15
HELD_SD_MM = 0.05
HOLDING_ROUNDS = 6
NONE_HELD: Ints = np.zeros(0, dtype=np.int64)


@dataclass(frozen=True)
class CopiedHollow:
    """What readings tell of a hollow and of the bar.

    Attributes
    ----------
    parts, variances
        The readings and how large each of their parts is.
    cut
        Which readings are on carved wood, shape (n,).
    questioned
        Which readings were left out, shape (n,); among them those on a rolled front edge.
    held
        Index of readings on uncut wood at which the hollow would come out above 0, and is held there.
    weight, precision
        Of the readings that are used, then of those places: inverse covariance times values, and inverse covariance.
    """

    parts: ReadingParts
    variances: Variances
    cut: Bools
    questioned: Bools
    held: Ints
    weight: Floats
    precision: Floats

    @property
    def used(self) -> Ints:
        """Index of the readings that are used."""
        return np.flatnonzero(~self.questioned)

    def spline(self) -> BicubicSpline:
        """Return the hollow."""
        told, says = self._says
        return self.parts.prior.spline(self.parts.spread(self.variances)[:, told] @ (says * self.weight))

    def covariance_mm2(self, x_mm: Floats, y_mm: Floats, mirror_share: float = 0.0) -> Floats:
        """Return how unsure the hollow is at places (m,), and how that hangs together, shape (m, m).

        With `mirror_share` 0.5 it is that of the mean of the two sides.
        """
        prior = self.parts.prior
        basis = prior.basis(x_mm, y_mm)
        if mirror_share:
            basis = (1.0 - mirror_share) * basis + mirror_share * prior.basis(-x_mm, y_mm)
        told, says = self._says
        to = np.asarray(basis @ self.parts.spread(self.variances)[:, told]) * says
        own = sum(
            scale * np.asarray(basis @ one)
            for scale, one in zip(self.variances.hollow, prior.spreads(basis), strict=True)
        )
        return np.asarray(own - to @ self.precision @ to.T)

    def bars_mm(self) -> Floats:
        """Return what bars added to each reading, shape (n,), scatter that neighbours share apart."""
        height, tilt = self.variances.bars
        bars = self.parts.fixed + height * self.parts.scatter[0] + tilt * self.parts.scatter[1]
        return np.asarray(bars[:, self.used] @ self.weight[: len(self.used)])

    def parts_of_bars(self, design: Floats, prior: Floats) -> tuple[Floats, Floats]:
        """Return mean (k,) and covariance (k, k) of quantities of the bars.

        `design` is what each adds to readings, shape (n, k), and `prior` their covariance before any reading.
        """
        to = np.zeros((len(prior), len(self.weight)))
        to[:, : len(self.used)] = prior @ design[self.used].T
        return to @ self.weight, prior - to @ self.precision @ to.T

    @property
    def _says(self) -> tuple[Ints, Floats]:
        """Which readings tell of the hollow, and whether each one does (1) or tells of bars alone (0)."""
        told = np.concatenate([self.used, self.held])
        return told, np.concatenate([self.cut[self.used].astype(float), np.ones(len(self.held))])


def hollow_and_bars(parts: ReadingParts, kept: Bools) -> CopiedHollow:
    """Return the hollow and how the bar sat; readings that are `kept` are never left out, shape (n,)."""
    cut, odd = first_guess(parts)
    parts = replace(parts, odd=odd)
    rolled = rolled_over(parts)
    questioned = rolled.copy()
    variances = usual_variances()
    for k in range(ROUNDS):
        if k in VARIANCE_ROUNDS:
            sound = np.flatnonzero(~questioned)
            variances = likeliest(parts.some(sound), cut[sound], variances)
        fit = _solved(parts, variances, cut, questioned)
        seen = odds_of_cut(fit.parts, variances, CutWood(cut, fit.used, fit.weight, fit.precision))
        now = parts.ahead & ((seen.odds > 0.0) | (cut & (k >= SETTLE)))
        worst = _worst(seen.off_mm, seen.deviations, kept | questioned) if k >= FIRST_DOUBT else -1
        if worst >= 0 and (questioned & ~rolled).sum() < MOST_SHARE * len(cut):
            questioned = questioned.copy()
            questioned[worst] = True
        elif k >= LEAST_ROUNDS and np.array_equal(now, cut):
            break
        cut = now
    # Which readings are off is told by a hollow that bends as it will: a fair one would take a ridge for misread.
    sound = np.flatnonzero(~questioned)
    variances = with_a_fair_part(parts.some(sound), cut[sound], variances)
    return _held_down(_solved(parts, variances, cut, questioned))


def gain_of_along(across: ReadingParts, along: ReadingParts) -> float:
    """Return by how much likelier readings are if the bar lay along the seat than if it lay across, logarithm.

    Compared is with the same wood taken for cut: what either way takes for it.
    """
    cut = first_guess(across)[0] | first_guess(along)[0]
    one, other = (likelihood(each, cut, likeliest(each, cut, usual_variances())) for each in (along, across))
    return one - other


def _held_down(fit: CopiedHollow) -> CopiedHollow:
    """Hold the hollow at 0 at crossings on uncut wood where it would come out above: there it ends."""
    for _ in range(HOLDING_ROUNDS):
        parts = fit.parts
        above = parts.ahead & ~fit.cut & ~fit.questioned & (fit.spline()(parts.x_mm, parts.y_mm) > HELD_SD_MM)
        above[fit.held] = False
        if not above.any():
            break
        held = np.concatenate([fit.held, np.flatnonzero(above)])
        fit = _solved(parts, fit.variances, fit.cut, fit.questioned, held)
    return fit


def _solved(
    parts: ReadingParts, variances: Variances, cut: Bools, questioned: Bools, held: Ints = NONE_HELD
) -> CopiedHollow:
    used = np.flatnonzero(~questioned)
    count = len(used)
    told = np.concatenate([used, held])
    says = np.concatenate([cut[used].astype(float), np.ones(len(held))])
    whole = np.outer(says, says) * parts.hollow(variances)[np.ix_(told, told)]
    whole[:count, :count] += parts.bars(variances)[np.ix_(used, used)]
    whole[np.diag_indices(len(told))] += np.where(
        np.arange(len(told)) < count, variances.own_scatter_mm2, HELD_SD_MM**2
    )
    precision = np.asarray(la.inv(whole, check_finite=False))
    value = np.concatenate([parts.off_mm[used], np.zeros(len(held))])
    return CopiedHollow(parts, variances, cut, questioned, held, precision @ value, precision)


def _worst(off: Floats, deviations: Floats, left_alone: Bools) -> int:
    """Return which reading is to be questioned next, -1 for none."""
    far = (np.abs(deviations) > FAR) & (np.abs(off) > LEAST_MM) & ~left_alone
    return int(np.argmax(np.abs(deviations) * far)) if far.any() else -1

"""What readings of a carved seat are made of, as covariances, and how large each part is by their likelihood.

A reading less the one on the top face is

    depth of the hollow (none where the wood is uncut) + what the bar adds + scatter,

the bar adding a height, a tilt and a sag that all placings have in common, and for each placing a height and a tilt of
its own; scatter is each reading's own, shared by neighbours on one bar, or shared by neighbours on the wood. All are
normal; their variances are those that make the readings most likely, with a wide notion of what they usually are
(marginal likelihood; Rasmussen and Williams 2006, *Gaussian Processes for Machine Learning*, 5.4; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import scipy.linalg as la
from numpy.typing import NDArray
from scipy.optimize import minimize

from seatmesh.arrays import Bools, Floats
from seatmesh.gauge.bar.how_bars_sat import REACH_MM
from seatmesh.gauge.bar.placings import Placings
from seatmesh.gauge.copy.hollow_prior import HollowPrior

COMMON_SD = (3.0, 1.75, 1.75, 1.0)
"""What all placings may have in common: height, tilt (0.5 degrees over 200 mm) across and along, and sag, mm."""
OWN_SAG_SD = 0.1
ODD_SD = 1.0
"""How far a bar may be off, in height and in tilt over `REACH_MM`, that a chip under a foot has tilted, mm."""
ALONG_MM, FIELD_MM = 40.0, 60.0
"""How far scatter reaches that neighbours share: on one bar (how the rod is held), on the wood (a drifting gauge)."""
USUAL_SD = (0.2, 0.2, 0.2, 0.1, 0.03)
UNSURE = (2.0, 2.0, 1.4, 1.6, 1.6)
"""Usual standard deviations of own heights, own tilts, own scatter, scatter along a bar and on the wood, mm; and how
unsure the logarithms of their squares are: a factor of about two either way. Common practice with rod and bar."""
FIRST_BENDING, FIRST_TURNING, NO_TURNING = float(np.log(4e-3)), float(np.log(4e-7)), -40.0
BENDING_KEPT = 0.3
"""Share of the variance of bending, as told of it alone, that is left where a fair part is told as well: a grid sees
little of what lies between its crossings, and a hollow that looks fair there may have lumps between."""
LEAST_LOG, MOST_LOG = -14.0, 3.0
MOST_FIELD_SD = 0.3
"""Most that readings may share with their neighbours on the wood, mm: a drifting gauge. Were more allowed, a smooth
hollow that runs out to its rim, with little uncut wood around it, could be taken for drift, and no hollow at all."""
MOST_READINGS = 600
"""More readings than this tell the variances no better and take the third power of their number."""


@dataclass(frozen=True)
class Variances:
    """Logarithms of the variances: the hollow's two parts, own heights, own tilts, and the three kinds of scatter."""

    log: Floats

    @property
    def hollow(self) -> tuple[float, float]:
        """Variances that the two parts of the hollow's prior are scaled by: bending, turning."""
        return float(np.exp(self.log[0])), float(np.exp(self.log[1]))

    @property
    def bars(self) -> Floats:
        """Variances of own heights and own tilts of bars, mm2."""
        return np.asarray(np.exp(self.log[2:4]))

    @property
    def own_scatter_mm2(self) -> float:
        """Variance of each reading's own scatter."""
        return float(np.exp(self.log[4]))

    @property
    def scatter_mm(self) -> float:
        """Standard deviation of all scatter of a reading."""
        return float(np.sqrt(np.exp(self.log[4:]).sum()))


def usual_variances() -> Variances:
    """Return what is usual, to begin with."""
    return Variances(np.array([FIRST_BENDING, NO_TURNING, *2.0 * np.log(USUAL_SD)]))


@dataclass(frozen=True)
class ReadingParts:
    """Readings (n,) of a seat whose shape is not known.

    Attributes
    ----------
    x_mm, y_mm, off_mm
        Places, and readings less those on the top face.
    placings
        How they are shared among placings of the bar.
    ahead, rim, rolls
        Which lie ahead of the deck line, the others being on uncut wood; which near the outline; and which so near the
        front edge that it may be rolled over there.
    prior
        Of the hollow.
    odd
        Which placings sit otherwise than most, shape (p,): they may be off by `ODD_SD`.
    """

    x_mm: Floats
    y_mm: Floats
    off_mm: Floats
    placings: Placings
    ahead: Bools
    rim: Bools
    rolls: Bools
    prior: HollowPrior
    odd: Bools

    def some(self, which: NDArray[np.int64]) -> ReadingParts:
        """Return some of the readings."""
        shared = self.placings
        some = replace(
            self,
            x_mm=self.x_mm[which],
            y_mm=self.y_mm[which],
            off_mm=self.off_mm[which],
            placings=replace(shared, of=shared.of[which], along_mm=shared.along_mm[which]),
            ahead=self.ahead[which],
            rim=self.rim[which],
            rolls=self.rolls[which],
        )
        # What the prior says between readings is a part of what it says between all: solving again takes as long as
        # the rest of a copy.
        vars(some)["hollows"] = tuple(one[np.ix_(which, which)] for one in self.hollows)
        return some

    @cached_property
    def spreads(self) -> tuple[Floats, Floats]:
        """Covariances of all coefficients with the hollow at the readings, per variance of either part."""
        return self.prior.spreads(self.prior.basis(self.x_mm, self.y_mm))

    @cached_property
    def hollows(self) -> tuple[Floats, Floats]:
        """Covariances of the hollow between readings, per variance of either part, shape (n, n)."""
        basis = self.prior.basis(self.x_mm, self.y_mm)
        bends, turns = (np.asarray(basis @ one) for one in self.spreads)
        return bends, turns

    def spread(self, variances: Variances) -> Floats:
        """Return the covariance of all coefficients with the hollow at the readings, shape (coefficients, n)."""
        return _summed(variances.hollow, self.spreads)

    def hollow(self, variances: Variances) -> Floats:
        """Return the covariance of the hollow between readings, mm2, shape (n, n)."""
        return _summed(variances.hollow, self.hollows)

    @cached_property
    def common(self) -> Floats:
        """What common height, tilt across, tilt along and sag add to readings, shape (n, 4)."""
        u = self.placings.along_mm / REACH_MM
        across = self.placings.across[self.placings.of]
        return np.column_stack([np.ones_like(u), u * across, u * ~across, u**2 - 1.0])

    @cached_property
    def fixed(self) -> Floats:
        """Covariance of what bars have in common, of each one's own sag, and of how odd ones sit."""
        scaled = self.common * np.array(COMMON_SD)
        sag, tilt = OWN_SAG_SD * self.common[:, 3], self.placings.along_mm / REACH_MM
        odd = ODD_SD**2 * self.odd[self.placings.of]
        own = np.outer(sag, sag) + odd * (1.0 + np.outer(tilt, tilt))
        return np.asarray(scaled @ scaled.T + self._alone * own)

    @cached_property
    def scatter(self) -> tuple[Floats, ...]:
        """Covariances, per variance, of own height, own tilt, own scatter, scatter along a bar and on the wood."""
        tilt = self.placings.along_mm / REACH_MM
        apart = np.hypot(np.subtract.outer(self.x_mm, self.x_mm), np.subtract.outer(self.y_mm, self.y_mm))
        return (
            self._alone,
            self._alone * np.outer(tilt, tilt),
            np.eye(len(self.x_mm)),
            self._alone * np.exp(-apart / ALONG_MM),
            np.exp(-0.5 * (apart / FIELD_MM) ** 2),
        )

    @cached_property
    def _alone(self) -> Floats:
        return np.equal.outer(self.placings.of, self.placings.of).astype(float)

    def bars(self, variances: Variances) -> Floats:
        """Return the covariance of all but the hollow and each reading's own scatter, mm2, shape (n, n)."""
        height, tilt, _, along, field = np.exp(variances.log[2:])
        one, two, _, four, five = self.scatter
        return np.asarray(self.fixed + height * one + tilt * two + along * four + field * five)


def likeliest(parts: ReadingParts, cut: Bools, first: Variances) -> Variances:
    """Return the variances of a hollow that merely bends that make readings likeliest.

    `cut` says which of them are on carved wood.
    """
    return _likeliest(parts, cut, first, [(LEAST_LOG, MOST_LOG), (NO_TURNING, NO_TURNING)])


def with_a_fair_part(parts: ReadingParts, cut: Bools, bends: Variances) -> Variances:
    """Return the variances that make readings likeliest where a part of the hollow is fair and the rest bends.

    `bends` are those of a hollow that merely bends.
    """
    least = float(bends.log[0] + np.log(BENDING_KEPT))
    first = Variances(np.array([least, FIRST_TURNING, *bends.log[2:]]))
    return _likeliest(parts, cut, first, [(least, MOST_LOG), (NO_TURNING, MOST_LOG)])


def _likeliest(
    parts: ReadingParts, cut: Bools, first: Variances, hollow: list[tuple[float, float]]
) -> Variances:
    if len(cut) > MOST_READINGS:
        which = np.unique(np.linspace(0, len(cut) - 1, MOST_READINGS).astype(np.int64))
        return _likeliest(parts.some(which), cut[which], first, hollow)
    each = (*(np.outer(cut, cut) * one for one in parts.hollows), *parts.scatter)
    found = minimize(
        _unlikeliness,
        first.log,
        args=(parts.fixed, each, parts.off_mm),
        jac=True,
        method="L-BFGS-B",
        bounds=[
            *hollow,
            *[(LEAST_LOG, MOST_LOG)] * (len(USUAL_SD) - 1),
            (LEAST_LOG, 2.0 * float(np.log(MOST_FIELD_SD))),
        ],
        options={"maxiter": 60, "ftol": 1e-6},
    )
    return Variances(np.asarray(found.x))


def likelihood(parts: ReadingParts, cut: Bools, variances: Variances) -> float:
    """Return the logarithm of the likelihood of readings, and of their variances."""
    if len(cut) > MOST_READINGS:
        which = np.unique(np.linspace(0, len(cut) - 1, MOST_READINGS).astype(np.int64))
        return likelihood(parts.some(which), cut[which], variances)
    each = (*(np.outer(cut, cut) * one for one in parts.hollows), *parts.scatter)
    return -_unlikeliness(variances.log, parts.fixed, each, parts.off_mm)[0]


def _summed(weights: tuple[float, float], each: tuple[Floats, Floats]) -> Floats:
    return np.asarray(weights[0] * each[0] + weights[1] * each[1])


def _unlikeliness(
    log: Floats, fixed: Floats, each: tuple[Floats, ...], value: Floats
) -> tuple[float, Floats]:
    """Return minus the log likelihood, and its derivatives by the logarithms of the variances."""
    variance = np.exp(log)
    whole = fixed + sum(v * one for v, one in zip(variance, each, strict=True))
    try:
        factor = la.cholesky(whole, lower=True, check_finite=False)
    except la.LinAlgError:
        return 1e10, np.zeros_like(log)
    inverse = la.cho_solve((factor, True), np.eye(len(value)), check_finite=False)
    weight = inverse @ value
    left = inverse - np.outer(weight, weight)
    slope = np.array([0.5 * v * float(np.sum(left * one)) for v, one in zip(variance, each, strict=True)])
    unusual = (log[2:] - 2.0 * np.log(USUAL_SD)) / np.array(UNSURE)
    slope[2:] += unusual / np.array(UNSURE)
    minus = (
        0.5 * float(value @ weight) + float(np.log(np.diag(factor)).sum()) + 0.5 * float(unusual @ unusual)
    )
    return minus, slope

"""Which crossings are on carved wood: each judged by what all other readings foretell of it.

The hollow's spline S goes on beyond its edge, where it is negative and the wood is uncut: depth = max(0, S). Of each
crossing two stories are compared, with S and the bar there as the other readings tell them (normal, in closed form:
leaving one out as Dubrule 1983, from memory):

    carved:  reading = S + bar + scatter, and S is above 0
    uncut:   reading = bar + scatter,     and S is below 0
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import norm

from seatmesh.gauge.reading_parts import ReadingParts, Variances

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

FIRST_MM = 1.2
"""What stands deeper than this below the deck is taken for carved to begin with: bars seldom sit so far off."""
ENDS = 0.2
"""Share of the readings, the least of them, that stand for uncut wood to begin with where no deck was read."""
LEAST_VARIANCE = 1e-8


@dataclass(frozen=True)
class CutWood:
    """What is taken for carved (n,), and the readings that are used with their weights and inverse covariance."""

    cut: Bools
    used: Ints
    weight: Floats
    precision: Floats


@dataclass(frozen=True)
class Judged:
    """What all other readings say of each one, shapes (n,).

    Attributes
    ----------
    odds
        Logarithm of the odds of carved against uncut.
    off_mm, deviations
        How far it lies from what all others foretell, and how many standard deviations that is; 0 where not used.
    """

    odds: Floats
    off_mm: Floats
    deviations: Floats


def first_guess(parts: ReadingParts) -> Bools:
    """Return which readings stand well below the deck; without a deck, below the least of all."""
    off, deck = parts.off_mm, ~parts.ahead
    level = float(np.median(off[deck]) if deck.any() else np.quantile(off, ENDS))
    return np.asarray(parts.ahead & (off - level > FIRST_MM))


def odds_of_cut(parts: ReadingParts, variances: Variances, now: CutWood) -> Judged:
    """Return the odds that each reading is on carved wood."""
    used, precision = now.used, now.precision
    bars = parts.bars(variances)
    says = variances.bending * parts.hollow[:, used] * now.cut[used]
    hollow = _left_out(says, variances.bending * np.diag(parts.hollow), now)
    bar = _left_out(bars[:, used], np.diag(bars), now)
    diagonal = np.diag(precision)
    both = -np.einsum("ij,ij->i", says @ precision, bars[:, used])
    both[used] += hollow.own[used] * bar.own[used] / diagonal
    odds = _carved(parts.off_mm, hollow, bar, both, variances.own_scatter_mm2) - _uncut(
        parts.off_mm, hollow, bar, both, variances.own_scatter_mm2
    )
    off, deviations = np.zeros(len(odds)), np.zeros(len(odds))
    off[used], deviations[used] = now.weight / diagonal, now.weight / np.sqrt(diagonal)
    return Judged(odds, off, deviations)


@dataclass(frozen=True)
class _Foretold:
    """Mean and variance of a part at each reading without that reading; `own` is its covariance times precision."""

    mean: Floats
    variance: Floats
    own: Floats


def _left_out(to: Floats, before: Floats, now: CutWood) -> _Foretold:
    told = to @ now.precision
    mean, variance = to @ now.weight, before - np.einsum("ij,ij->i", told, to)
    own, diagonal = np.zeros(len(mean)), np.diag(now.precision)
    own[now.used] = told[now.used, np.arange(len(now.used))]
    mean[now.used] -= own[now.used] * now.weight / diagonal
    variance[now.used] += own[now.used] ** 2 / diagonal
    return _Foretold(mean, np.maximum(variance, LEAST_VARIANCE), own)


def _carved(reading: Floats, hollow: _Foretold, bar: _Foretold, both: Floats, scatter: float) -> Floats:
    whole = np.maximum(hollow.variance + bar.variance + 2.0 * both + scatter, scatter)
    gain = (hollow.variance + both) / whole
    off = reading - hollow.mean - bar.mean
    left = np.maximum(hollow.variance - gain**2 * whole, LEAST_VARIANCE)
    above = norm.logcdf((hollow.mean + gain * off) / np.sqrt(left))
    return np.asarray(norm.logpdf(off, scale=np.sqrt(whole)) + above)


def _uncut(reading: Floats, hollow: _Foretold, bar: _Foretold, both: Floats, scatter: float) -> Floats:
    whole = bar.variance + scatter
    gain = both / whole
    off = reading - bar.mean
    left = np.maximum(hollow.variance - gain**2 * whole, LEAST_VARIANCE)
    below = norm.logcdf(-(hollow.mean + gain * off) / np.sqrt(left))
    return np.asarray(norm.logpdf(off, scale=np.sqrt(whole)) + below)

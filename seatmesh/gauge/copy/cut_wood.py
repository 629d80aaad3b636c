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
from scipy.special import log_ndtr

from seatmesh.arrays import Bools, Floats, Ints
from seatmesh.gauge.copy.reading_parts import COMMON_SD, ReadingParts, Variances

FIRST_MM = 1.2
"""What stands deeper than this below a first guess of the bar is taken for carved to begin with."""
ALIKE_MM = 0.6
"""Readings on deck and rim that differ more than this from that guess count less, and little where they are deeper."""
GUESSES = 20
AT_END, BESIDE = 2, 2
MOST_ODD = 0.25
ODD_MM = 0.8
"""The end of a bar (the last two readings) that stands this far off the ends of two bars on either side is odd."""
LEAST_VARIANCE = 1e-8


@dataclass(frozen=True)
class CutWood:
    """What is taken for carved (n,), and the readings that are used with their weights and inverse covariance."""

    cut: Bools
    used: Ints
    weight: Floats
    precision: Floats


@dataclass(frozen=True)
class CutOdds:
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


def first_guess(parts: ReadingParts) -> tuple[Bools, Bools]:
    """Return which readings (n,) stand well below what deck and rim say of the bar, and which placings (p,) are odd.

    To begin with bars sit alike at all placings, but for those whose ends stand off those of the bars beside. The rim
    may be carved in places, and reads deeper there: such readings lose their say, round by round.
    """
    tells = ~parts.ahead | (parts.rim & ~parts.rolls)
    if not tells.any():
        tells = np.ones(len(tells), dtype=bool)
    design, off = parts.common[tells], parts.off_mm[tells]
    level = float(np.quantile(off, 0.25 if parts.ahead.all() else 0.5))
    bar = np.array([level, 0.0, 0.0, 0.0])
    for _ in range(GUESSES):
        left = off - design @ bar
        away = ALIKE_MM / np.maximum(np.abs(left), ALIKE_MM)
        weight = np.where(left > 0.0, away**4, away)
        weighted = design.T * weight
        # Half a millimetre of scatter against the usual spread of what bars have in common.
        prior = np.diag(0.25 / np.square(COMMON_SD))
        bar = bar + np.linalg.solve(weighted @ design + prior, weighted @ left)
    left_over = parts.off_mm - parts.common @ bar
    shift, odd = _odd_bars(parts, left_over)
    return np.asarray(parts.ahead & (left_over - shift > FIRST_MM)), odd


def _odd_bars(parts: ReadingParts, left_over: Floats) -> tuple[Floats, Bools]:
    """Return what single bars seem to add beyond what all add, at each reading, and which bars those are.

    The rim is carved over several rows, a chip lies under one foot once: an end that stands off those of the rows
    beside it, which are uncut, is the bar's. Where many are odd none is.
    """
    placings = parts.placings
    shift, which = np.zeros(len(left_over)), np.zeros(placings.count, dtype=bool)
    for lie in (True, False):
        order = [int(p) for p in np.argsort(placings.at_mm, kind="stable") if placings.across[p] == lie]
        members = [np.flatnonzero(placings.of == p) for p in order]
        members = [one[np.argsort(placings.along_mm[one])] for one in members if len(one) >= 2 * AT_END]
        ends = np.array(
            [[np.median(left_over[one[:AT_END]]), np.median(left_over[one[-AT_END:]])] for one in members]
        )
        for k, one in enumerate(members):
            beside = [j for j in range(max(k - BESIDE, 0), min(k + BESIDE + 1, len(members))) if j != k]
            around = np.median(ends[beside], axis=0) if len(beside) >= BESIDE else np.full(2, np.inf)
            odd = np.where((np.abs(ends[k] - around) > ODD_MM) & (around < FIRST_MM), ends[k] - around, 0.0)
            # What reads deeper there is the roll of the front edge, and no bar: see `rolled_over`.
            odd = np.where(parts.rolls[[one[0], one[-1]]], 0.0, odd)
            which[placings.of[one[0]]] = bool(odd.any())
            along = placings.along_mm[one]
            share = (along - along[0]) / max(along[-1] - along[0], 1.0)
            shift[one] = (1.0 - share) * odd[0] + share * odd[1]
    if which.sum() > MOST_ODD * len(which):
        return np.zeros_like(shift), np.zeros_like(which)
    return shift, which


def rolled_over(parts: ReadingParts) -> Bools:
    """Return which readings (n,) lie on a rolled front edge of which nothing was stated.

    A roll is alike all along the front edge. So where the bar lies across, its ends too read deeper than those of the
    next row, and nothing tells roll from bar.
    """
    placings, rolled = parts.placings, np.zeros(len(parts.off_mm), dtype=bool)
    rows = [int(p) for p in np.argsort(placings.at_mm, kind="stable") if placings.across[p]]
    ends = {p: _both_ends(parts, p) for p in rows}
    behind: list[float] = []
    for p in rows:
        here = placings.of == p
        if not np.all(parts.rolls[here]):
            behind = ends[p]
        elif behind and ends[p] and min(a - b for a, b in zip(ends[p], behind, strict=True)) > ODD_MM:
            rolled |= here
    return rolled


def _both_ends(parts: ReadingParts, placing: int) -> list[float]:
    """Return the middle of the last two readings at either end of a bar; none of a bar with too few."""
    one = np.flatnonzero(parts.placings.of == placing)
    one = one[np.argsort(parts.placings.along_mm[one])]
    if len(one) < 2 * AT_END:
        return []
    return [float(np.median(parts.off_mm[some])) for some in (one[:AT_END], one[-AT_END:])]


def odds_of_cut(parts: ReadingParts, variances: Variances, now: CutWood) -> CutOdds:
    """Return the odds that each reading is on carved wood."""
    used, precision = now.used, now.precision
    bars = parts.bars(variances)
    hollow_mm2 = parts.hollow(variances)
    says = hollow_mm2[:, used] * now.cut[used]
    hollow = _left_out(says, np.diag(hollow_mm2), now)
    bar = _left_out(bars[:, used], np.diag(bars), now)
    diagonal = np.diag(precision)
    both = -np.einsum("ij,ij->i", says @ precision, bars[:, used])
    both[used] += hollow.own[used] * bar.own[used] / diagonal
    odds = _carved(parts.off_mm, hollow, bar, both, variances.own_scatter_mm2) - _uncut(
        parts.off_mm, hollow, bar, both, variances.own_scatter_mm2
    )
    off, deviations = np.zeros(len(odds)), np.zeros(len(odds))
    off[used], deviations[used] = now.weight / diagonal, now.weight / np.sqrt(diagonal)
    return CutOdds(odds, off, deviations)


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
    above = log_ndtr((hollow.mean + gain * off) / np.sqrt(left))
    return np.asarray(_log_density(off, whole) + above)


def _uncut(reading: Floats, hollow: _Foretold, bar: _Foretold, both: Floats, scatter: float) -> Floats:
    whole = bar.variance + scatter
    gain = both / whole
    off = reading - bar.mean
    left = np.maximum(hollow.variance - gain**2 * whole, LEAST_VARIANCE)
    below = log_ndtr(-(hollow.mean + gain * off) / np.sqrt(left))
    return np.asarray(_log_density(off, whole) + below)


def _log_density(off: Floats, variance: Floats | float) -> Floats:
    """Return the logarithm of the density of a normal figure about 0."""
    return np.asarray(-0.5 * (off**2 / variance + np.log(2.0 * np.pi * variance)))

"""How the bar sat at each placing, told from crossings that the seat leaves uncut.

A reading exceeds what it should be by the wood's own difference from the seat and by what the bar adds:

    (common height + own height) + (common tilt + own tilt) u + (common sag + own sag) (u^2 - 1) + noise

with u the place along the bar, in units of `REACH_MM` from its middle. A bar that is bent, or lies on cupped wood, has
one curvature: between whatever rests, a parabola of that curvature; its height and slope there are taken up by the
other two. (A bar of wood or steel bends by a few hundredths of a millimetre under its own weight over such spans, by
the law of a beam on two supports: that the fourth power of the span rules there does not matter. The own sag takes up
what a hand adds.)

On uncut wood the wood's own difference is nothing but what planing left. So everything is linear and normal, and is
solved twice. First bars are taken to sit much alike (`seatmesh.gauge.bar.bars_alike`), which tells scatter and the
readings that are off. Then each bar may sit as it will, and only uncut wood of its own tells how; or else a second
reading of the same crossings that agrees after the bar was lifted and set down anew, for then it sits as bars do here.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
import scipy.linalg as la

from seatmesh.arrays import Bools, Floats, Ints
from seatmesh.gauge.bar.bars_alike import COMMON_SD, OWN_SAG_SD, PARTS, Alike, Told, alike
from seatmesh.gauge.bar.placings import Placings

REACH_MM = 200.0
OWN_SD = (2.0, 1.75, OWN_SAG_SD)
"""What one placing may add of its own: a chip under a foot, a foot on a bruised edge; 0.5 degrees of tilt."""
SHARED_MM = 40.0
"""How far noise reaches that neighbouring readings share: the grain, the way the rod is held, a rod that sticks."""
SHARES, USUAL_SHARE = (0.0, 0.2, 0.4, 0.6, 0.8), 0.2
"""Shares of the noise's variance that neighbours may share, as likely as each other at first; the one to begin with."""
AGREE = 2.0
"""Two settings of the bar agree where their readings differ by no more than so many standard deviations of chance."""
LEAST_UNLIKE_MM = 0.1
APART_MM = 150.0
"""Crossings read twice farther apart than this tell of tilt too."""
TRUSTED = 0.5


@dataclass(frozen=True)
class SeatedBars:
    """How the bar sat at each of p placings: what it adds to a reading is positive where it sat high.

    Attributes
    ----------
    placings
        Whose these are.
    mean, covariance
        Height, tilt and sag of each placing one after the other, shapes (3p,) and (3p, 3p), mm: height at the bar's
        middle of the line between the places `REACH_MM` from it; what that line rises over `REACH_MM` to the right or
        front; what the bar hangs below it at its middle.
    noise_mm, shared
        Scatter of readings on uncut wood, and the share of its variance that neighbours have in common.
    weight
        How much each reading on uncut wood was trusted, 0 to 1, shape (n,); 0 of all others.
    unlike_mm
        Scatter of the placings' heights.
    evidence
        Log likelihood of what uncut wood says, were bars to sit much alike.
    alike_mean, alike_covariance
        The same as `mean` and `covariance`, were bars to sit much alike: by this readings of one crossing are compared.
    """

    placings: Placings
    mean: Floats
    covariance: Floats
    noise_mm: float
    shared: float
    weight: Floats
    unlike_mm: float
    evidence: float
    alike_mean: Floats
    alike_covariance: Floats

    @property
    def told_by(self) -> Ints:
        """How many readings on uncut wood told of each placing, shape (p,)."""
        trusted = self.placings.of[self.weight >= TRUSTED]
        return np.bincount(trusted, minlength=self.placings.count).astype(np.int64)

    def shift_mm(self) -> Floats:
        """Return what the bar adds to each reading, shape (n,)."""
        return np.asarray(self._design() @ self.mean)

    def covariance_mm2(self) -> Floats:
        """Return how unsure that is, and how much it hangs together, shape (n, n)."""
        design = self._design()
        return np.asarray(design @ self.covariance @ design.T)

    def if_alike(self) -> tuple[Floats, Floats]:
        """Return the same two, were bars to sit much alike."""
        design = self._design()
        return design @ self.alike_mean, design @ self.alike_covariance @ design.T

    def part(self, which: int) -> tuple[Floats, Floats]:
        """Return height (0), tilt (1) or sag (2) of all placings and its standard error, mm, shapes (p,)."""
        return self.mean[which::PARTS], np.sqrt(np.maximum(np.diag(self.covariance)[which::PARTS], 0.0))

    def _design(self) -> Floats:
        return own_design(self.placings.of, self.placings.along_mm, self.placings.count)


def seated_bars(placings: Placings, off_mm: Floats, uncut: Bools, same: Ints) -> SeatedBars:
    """Return how the bar sat.

    All arrays have shape (n,): by how much a reading exceeds the expected one (NaN where nothing was read), whether the
    wood is uncut there, and a number that readings of one crossing share.
    """
    read = np.isfinite(off_mm)
    datum = read & uncut
    level = float(np.median(off_mm[datum])) if datum.any() else 0.0
    off = off_mm - level
    design = _observations(placings, off, datum, read, same)
    apart = placings.apart_mm(np.flatnonzero(datum))
    share = _share(design, alike(_noisy(design, apart, USUAL_SHARE)), apart)
    told = _noisy(design, apart, share)
    like = alike(told)
    again = _sits_as_bars_do(placings, off, read, same, like, share)
    mean, covariance = _each_by_itself(placings, told, like, again)
    alike_mean, alike_covariance = together(like.mean, like.covariance)
    mean[::PARTS] += level
    alike_mean[::PARTS] += level
    weight = np.zeros(len(off_mm))
    single = told.reading >= 0
    weight[told.reading[single]] = like.weight[single]
    return SeatedBars(
        placings=placings,
        mean=mean,
        covariance=covariance,
        noise_mm=like.noise_mm,
        shared=share,
        weight=weight,
        unlike_mm=float(like.own_sd[0]),
        evidence=like.evidence,
        alike_mean=alike_mean,
        alike_covariance=alike_covariance,
    )


def own_design(of: Ints, along_mm: Floats, count: int) -> Floats:
    """Return what height, tilt and sag of each placing add to readings, shape (n, 3 count)."""
    u = along_mm / REACH_MM
    design = np.zeros((len(of), PARTS * count))
    for j, column in enumerate((np.ones_like(u), u, u**2 - 1.0)):
        design[np.arange(len(of)), PARTS * of + j] = column
    return design


def _observations(placings: Placings, off: Floats, datum: Bools, read: Bools, same: Ints) -> Told:
    """Return readings on uncut wood, and differences between readings of one crossing from two placings."""
    own = own_design(placings.of, placings.along_mm, placings.count)
    design = np.hstack([own, own @ np.tile(np.eye(PARTS), (placings.count, 1))])
    at = np.flatnonzero(datum)
    pairs = _twice(placings, read & ~datum, same)
    one, other = (np.array([pair[k] for pair in pairs], dtype=np.int64) for k in (0, 1))
    return Told(
        design=np.vstack([design[at], design[one] - design[other]]),
        value_mm=np.concatenate([off[at], off[one] - off[other]]),
        noise=la.block_diag(np.eye(len(at)), 2.0 * np.eye(len(pairs))),
        reading=np.concatenate([at, np.full(len(pairs), -1)]).astype(np.int64),
    )


def shared_noise(apart_mm: Floats, share: float) -> Floats:
    """Return the covariance of noise of unit variance, of which neighbours share a part; `apart_mm` (n, n)."""
    return (1.0 - share) * np.eye(len(apart_mm)) + share * np.exp(-apart_mm / SHARED_MM)


def _noisy(told: Told, apart_mm: Floats, share: float) -> Told:
    """Return observations whose noise neighbours share in part."""
    count = len(apart_mm)
    noise = told.noise.copy()
    noise[:count, :count] = shared_noise(apart_mm, share)
    return replace(told, noise=noise)


def _share(told: Told, like: Alike, apart_mm: Floats) -> float:
    """Return the share of the noise that neighbours have in common: on flat wood nothing else makes them alike."""
    if not len(apart_mm):
        return USUAL_SHARE
    spread = told.design * like.prior()
    evidence = []
    for share in SHARES:
        whole = spread @ told.design.T + like.noise_covariance(_noisy(told, apart_mm, share))
        factor = la.cholesky(whole, lower=True)
        half = la.solve_triangular(factor, told.value_mm, lower=True)
        evidence.append(-float(np.log(np.diag(factor)).sum()) - 0.5 * float(half @ half))
    weight = np.exp(np.array(evidence) - max(evidence))
    return float(np.sum(weight * np.array(SHARES)) / weight.sum())


def _twice(placings: Placings, which: Bools, same: Ints) -> list[tuple[int, int]]:
    """Return pairs of readings of one crossing from two placings, each against the first."""
    first: dict[int, int] = {}
    pairs = []
    for k in np.flatnonzero(which):
        before = first.setdefault(int(same[k]), int(k))
        if placings.of[before] != placings.of[k]:
            pairs.append((before, int(k)))
    return pairs


def _sits_as_bars_do(
    placings: Placings, off: Floats, read: Bools, same: Ints, like: Alike, share: float
) -> list[tuple[int, float]]:
    """Return placings, with places along them, at which another setting of the bar agreed."""
    by_pair: dict[tuple[int, int], list[tuple[int, int]]] = {}
    members: dict[int, list[int]] = {}
    for k in np.flatnonzero(read):
        members.setdefault(int(same[k]), []).append(int(k))
    for group in members.values():
        for i, j in combinations(group, 2):
            if placings.of[i] != placings.of[j]:
                key = (int(placings.of[i]), int(placings.of[j]))
                by_pair.setdefault(key, []).append((i, j))
    found: dict[int, list[float]] = {}
    for pair, both in by_pair.items():
        if _agree(placings, off, both, like.noise_mm, share):
            for side, placing in enumerate(pair):
                found.setdefault(placing, []).extend(float(placings.along_mm[one[side]]) for one in both)
    out = []
    for placing, along in found.items():
        ends = (min(along), max(along))
        places = ends if ends[1] - ends[0] >= APART_MM else (float(np.mean(along)),)
        out += [(placing, place) for place in places]
    return out


def _agree(
    placings: Placings, off: Floats, both: list[tuple[int, int]], noise_mm: float, share: float
) -> bool:
    """Tell whether two settings of the bar agree: on the whole, and in either half of what was read twice."""
    order = sorted(both, key=lambda one: float(placings.along_mm[one[0]]))
    difference = np.array([off[i] - off[j] for i, j in order])
    half = len(difference) // 2
    for part in (difference, difference[:half], difference[half:]):
        chance = noise_mm * np.sqrt(2.0 * (share + (1.0 - share) / max(len(part), 1)))
        if len(part) and abs(float(part.mean())) > AGREE * chance:
            return False
    return True


def _each_by_itself(
    placings: Placings, told: Told, like: Alike, again: list[tuple[int, float]]
) -> tuple[Floats, Floats]:
    """Return height, tilt and sag of each placing, common part and own together, with their covariance."""
    count = placings.count
    common = like.mean[PARTS * count :].copy()
    unsure = like.covariance[PARTS * count :, PARTS * count :].copy()
    # The sag is told here once more, from the same readings: it starts from nothing.
    common[2], unsure[2, :], unsure[:, 2] = 0.0, 0.0, 0.0
    unsure[2, 2] = COMMON_SD[2] ** 2
    prior = la.block_diag(np.diag(np.tile(OWN_SD, count) ** 2), unsure)
    start = np.concatenate([np.zeros(PARTS * count), common])
    which = np.array([one[0] for one in again], dtype=np.int64)
    along = np.array([one[1] for one in again], dtype=float)
    as_others = own_design(which, along, count)
    unlike = np.hypot(max(float(like.own_sd[0]), LEAST_UNLIKE_MM), like.own_sd[1] * along / REACH_MM)
    design = np.vstack([told.design, np.hstack([as_others, np.zeros((len(again), PARTS))])])
    value = np.concatenate([told.value_mm, np.zeros(len(again))])
    noise = la.block_diag(like.noise_covariance(told), np.diag(unlike**2))
    if len(value):
        across = prior @ design.T
        gain = la.solve(design @ across + noise, across.T, assume_a="pos").T
        start, prior = start + gain @ (value - design @ start), prior - gain @ across.T
    return together(start, prior)


def together(mean: Floats, covariance: Floats) -> tuple[Floats, Floats]:
    """Return own and common parts together for each placing, with their covariance."""
    count = len(mean) // PARTS - 1
    both = np.hstack([np.eye(PARTS * count), np.tile(np.eye(PARTS), (count, 1))])
    return both @ mean, both @ covariance @ both.T

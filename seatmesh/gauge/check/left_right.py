"""Left against right: from mirrored readings, and from bare comparisons made without a scale."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from seatmesh.arrays import Floats, Ints
from seatmesh.gauge.check.fair.greatest_by_chance import chance_limit

FALSE_ALARMS = 0.03
"""Share of even carvings in which any difference may be told."""
COMPARED_MM = 0.3
"""Standard deviation of a comparison by eye or feeler; common practice."""
WORTH_MM = 0.35
"""A lesser difference over a patch is neither seen nor felt; common practice."""
PATCH_MM = (60.0, 100.0)
"""Radii of the patches over which differences are averaged."""
STEP_MM = 30.0
FEWEST = 3
NEARLY = 0.7
TOLD_BY = 15
"""Pairs whose mean tells a difference to a tenth of a millimetre or so."""


@dataclass(frozen=True)
class LeftRight:
    """How the two sides differ.

    Attributes
    ----------
    left_minus_right_mm
        Depth on the left less depth on the right, averaged over the patch where that stands out most: positive where
        the left is the deeper. None without any pair.
    from_centre_mm, y_mm, radius_mm
        That patch.
    ratio, limit
        How far it stands out, in standard deviations, and how far chance alone would make the greatest stand out.
    pairs
        How many pairs were compared.
    point
        Numbers of the left crossings, shape (pairs,); `difference_mm` at each.
    """

    left_minus_right_mm: float | None
    from_centre_mm: float
    y_mm: float
    radius_mm: float
    ratio: float
    limit: float
    pairs: int
    point: Ints
    difference_mm: Floats

    @property
    def differs(self) -> bool:
        """Whether the two sides differ by more than chance and more than matters."""
        return (
            self.left_minus_right_mm is not None
            and self.ratio > self.limit
            and abs(self.left_minus_right_mm) >= WORTH_MM
        )


def left_against_right(
    point: Ints,
    place_mm: tuple[Floats, Floats],
    depth_mm: Floats,
    pair: Ints,
    left_proud_mm: Floats,
    noise_mm: float,
    shared_mm2: Floats | None = None,
) -> LeftRight:
    """Compare the two sides.

    All arrays have shape (n,): number, place, depth of the wood less the seat's (NaN where not read or misread), index
    of the crossing on the other side (-1 for none), bare comparisons (NaN without). `noise_mm` is their scatter,
    `shared_mm2` (n, n) the covariance of errors that readings share: a tilt of the bar that is not told is doubted.
    """
    x, y = place_mm
    left = np.flatnonzero((pair >= 0) & (x < 0.0))
    read = depth_mm[left] - depth_mm[pair[left]]
    told = -left_proud_mm[left]
    weight_read = np.where(np.isfinite(read), 0.5 / noise_mm**2, 0.0)
    weight_told = np.where(np.isfinite(told), 1.0 / COMPARED_MM**2, 0.0)
    weight = weight_read + weight_told
    some = weight > 0.0
    left, weight = left[some], weight[some]
    by_reading = weight_read[some] / weight
    if len(left) == 0:
        nothing = np.zeros(0)
        return LeftRight(None, 0.0, 0.0, 0.0, 0.0, np.inf, 0, np.zeros(0, dtype=np.int64), nothing)
    difference = (
        weight_read[some] * np.nan_to_num(read[some]) + weight_told[some] * np.nan_to_num(told[some])
    ) / weight
    across, along = -x[left], y[left]
    middles, inside = _patches(tuple(across.tolist()), tuple(along.tolist()))
    total = inside @ weight
    unsure = total + _shared(shared_mm2, left, pair[left], weight * by_reading, inside)
    ratio = (inside @ (weight * difference)) / np.sqrt(unsure)
    best = int(np.argmax(np.abs(ratio)))
    # Of the patches that stand out about as much the one that differs most: wider ones reach beyond the difference.
    mean = (inside @ (weight * difference)) / total
    nearly = np.abs(ratio) >= NEARLY * abs(ratio[best])
    wide = inside.sum(axis=1) >= min(TOLD_BY, int(inside.sum(axis=1)[best]))
    told_by = int(np.argmax(np.where(nearly & wide, np.abs(mean), 0.0)))
    # Weights that differ from pair to pair change the limit by next to nothing: it is taken for equal ones.
    return LeftRight(
        left_minus_right_mm=float(mean[told_by]),
        from_centre_mm=middles[told_by][0],
        y_mm=middles[told_by][1],
        radius_mm=middles[told_by][2],
        ratio=float(abs(ratio[best])),
        limit=_limit(tuple(across.tolist()), tuple(along.tolist())),
        pairs=len(left),
        point=point[left],
        difference_mm=difference,
    )


def _shared(among: Floats | None, left: Ints, right: Ints, weight: Floats, inside: Floats) -> Floats | float:
    """Return what shared errors add to the variance of weighted sums of differences over patches."""
    if among is None:
        return 0.0
    both = among[left] - among[right]
    between = (both[:, left] - both[:, right]) * np.outer(weight, weight)
    return np.asarray(np.einsum("mi,ij,mj->m", inside, between, inside, optimize=True))


Key = tuple[float, ...]


def _patches(across: Key, along: Key) -> tuple[list[tuple[float, float, float]], Floats]:
    """Return the patches' middles and radii, and which pairs lie in each, shape (patches, pairs)."""
    x, y = np.array(across), np.array(along)
    middles, rows = [], []
    for radius in PATCH_MM:
        for a in np.arange(x.min(), x.max() + STEP_MM, STEP_MM):
            for b in np.arange(y.min(), y.max() + STEP_MM, STEP_MM):
                inside = np.hypot(x - a, y - b) <= radius
                if inside.sum() >= min(FEWEST, len(x)):
                    middles.append((float(a), float(b), radius))
                    rows.append(inside)
    if not rows:
        middles, rows = [(float(x.mean()), float(y.mean()), 0.0)], [np.ones(len(x), dtype=bool)]
    return middles, np.array(rows, dtype=float)


@lru_cache(maxsize=8)
def _limit(across: Key, along: Key) -> float:
    _, inside = _patches(across, along)
    shapes = inside / np.sqrt(inside.sum(axis=1, keepdims=True))
    # The scatter is told from twice as many readings: draws are judged by it as if it were known.
    return chance_limit(shapes[:, None, :], np.eye(len(across)), FALSE_ALARMS)

"""How surely a copied seat is known: 90 % intervals of its depth, place by place and for parts of the hollow.

They hold all that the model of the readings holds (`seatmesh.gauge.copy.hollow_fit`): how the bar sat, as far as uncut
wood tells it, scatter, and what the spline misses between crossings. Marks of the tool that repeat at no other crossing
look like scatter of the readings; a share of that counts as wood.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import scipy.linalg as la
from scipy.optimize import brentq
from scipy.special import ndtr

from seatmesh.arrays import Floats
from seatmesh.gauge.copy.hollow_fit import CopiedHollow
from seatmesh.surface import Seat

NORMAL_90 = 1.6449
"""Standard deviations of a normal quantity that hold 90 % of it to both sides."""
TOOL_MARKS = 0.1
"""Share of the variance of each reading's own scatter that may be wood: 0.08 mm of a scatter of 0.25 mm."""
LEVEL_UNSURE = 1.2
"""How much surer than they are the model takes the bars for, having chosen what is uncut and how large scatter is from
the same readings: with 1 the bottom's interval held the true mean in 86 % of some 150 carvings, not in 90. The greatest
depth's interval is widened alike."""
STEP_MM = 10.0
ROLLED_MM = 30.0
"""How far from the front edge the wood may be rolled over where no roll is stated: a radius of 35 mm."""
CARVED_MM = 0.05
BOTTOM_SHARE = 0.5
"""The bottom of a hollow is what is deeper than this share of its deepest place."""
LEAST_MM = 1e-3
DRAWS = 400
SEED = 20
THIRDS = ("the third nearest the deck", "the middle third", "the third nearest the front edge")


@dataclass(frozen=True)
class PartOfHollow:
    """A part of the hollow and the one half-width that holds the truth at 90 % of its places, mm."""

    name: str
    half_width_mm: float


@dataclass(frozen=True)
class CopyError:
    """90 % intervals of a copied seat's depth.

    Attributes
    ----------
    x_mm, y_mm, depth_mm
        Places on a grid over the hollow, shape (m,), and its depth there.
    half_width_mm
        Of the interval at each place, shape (m,); it ends at depth 0.
    typical_mm
        The one half-width that holds the truth at 90 % of all places, as surely as each of them is known.
    parts
        The same for thirds of the hollow, from the deck forward.
    bottom_mm, bottom_half_width_mm
        Mean depth of the bottom, and the half-width of its interval: how surely the level of the hollow is known.
    deepest_mm
        Interval of the greatest depth.
    """

    x_mm: Floats
    y_mm: Floats
    depth_mm: Floats
    half_width_mm: Floats
    typical_mm: float
    parts: tuple[PartOfHollow, ...]
    bottom_mm: float
    bottom_half_width_mm: float
    deepest_mm: tuple[float, float]


def copy_error(
    seat: Seat, fit: CopiedHollow, mirror_share: float = 0.0, rolled_mm: float = 0.0
) -> CopyError | None:
    """Return how surely a copied seat is known; None where nothing of it is carved.

    `rolled_mm` is how much deeper the front edge was read than it is copied, where it may be rolled over.

    `mirror_share` is 0.5 of a seat that is the mean of its two sides: then that mean is what the intervals are for.
    """
    x, y = _places(seat)
    depth = seat.depth_mm(x, y)
    hollow = depth > CARVED_MM
    if not hollow.any():
        return None
    x, y, depth = x[hollow], y[hollow], depth[hollow]
    unsure = fit.covariance_mm2(x, y, mirror_share)
    # Of two sides the marks of the tool are unlike: their mean has half of their variance.
    marks = TOOL_MARKS * fit.variances.own_scatter_mm2 * (0.5 if mirror_share else 1.0)
    half = NORMAL_90 * np.sqrt(np.maximum(np.diag(unsure), 0.0) + marks)
    half += np.where(seat.blank.depth_mm - y < ROLLED_MM, rolled_mm, 0.0)
    bottom = depth >= BOTTOM_SHARE * depth.max()
    among = unsure[np.ix_(bottom, bottom)]
    return CopyError(
        x_mm=x,
        y_mm=y,
        depth_mm=depth,
        half_width_mm=half,
        typical_mm=_typical(half),
        parts=_thirds(y, half),
        bottom_mm=float(depth[bottom].mean()),
        bottom_half_width_mm=LEVEL_UNSURE * NORMAL_90 * float(np.sqrt(max(among.mean(), 0.0))),
        deepest_mm=_deepest(depth[bottom], among + marks * np.eye(len(among))),
    )


def mirrored_error(error: CopyError) -> CopyError:
    """Return the intervals of the seat with left and right exchanged."""
    return replace(error, x_mm=-error.x_mm)


def _places(seat: Seat) -> tuple[Floats, Floats]:
    x, y = np.broadcast_arrays(*seat.blank.grid_mm(STEP_MM))
    wood = seat.blank.inside_mm(x, y) > 0.0
    return x[wood], y[wood]


def _thirds(y: Floats, half: Floats) -> tuple[PartOfHollow, ...]:
    ends = np.quantile(y, [1.0 / 3.0, 2.0 / 3.0])
    which = np.searchsorted(ends, y)
    return tuple(
        PartOfHollow(name, _typical(half[which == k])) for k, name in enumerate(THIRDS) if np.any(which == k)
    )


def _deepest(depth: Floats, unsure: Floats) -> tuple[float, float]:
    """Return the interval of the greatest depth.

    The greatest of many unsure depths is chosen for its luck: that of the copy overshoots the true one as that of
    draws about the copy overshoots the copy's (the bootstrap's argument; Efron and Tibshirani 1993, from memory).
    """
    # The symmetric root, not Cholesky's: of exact readings nothing is left unsure but what rounding makes of it. It
    # moves steadily with the covariance, where eigenvectors turn and change sign.
    value, axes = la.eigh(unsure, check_finite=False)
    root = (axes * np.sqrt(np.maximum(value, 0.0))) @ axes.T
    draws = depth[:, None] + root @ np.random.default_rng(SEED).normal(size=(len(depth), DRAWS))
    true = 2.0 * depth.max() - draws.max(axis=0)
    low, middle, high = np.quantile(true, [0.05, 0.5, 0.95])
    return float(middle - LEVEL_UNSURE * (middle - low)), float(middle + LEVEL_UNSURE * (high - middle))


def _typical(half: Floats) -> float:
    """Return the one half-width that holds the truth at 90 % of places with half-widths (m,) of their own."""
    deviation = np.maximum(half / NORMAL_90, LEAST_MM)

    def beyond(width: float) -> float:
        return float(np.mean(2.0 * ndtr(width / deviation) - 1.0)) - 0.9

    return float(brentq(beyond, 0.0, NORMAL_90 * deviation.max()))

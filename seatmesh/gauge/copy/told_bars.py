"""How the bar sat at each placing over a seat of which no drawing is known, with its errors."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Floats, Ints
from seatmesh.gauge.bar.how_bars_sat import REACH_MM
from seatmesh.gauge.bar.placings import Placings
from seatmesh.gauge.copy.hollow_fit import CopiedHollow
from seatmesh.gauge.copy.reading_parts import COMMON_SD, ODD_SD


@dataclass(frozen=True)
class ToldBars:
    """What p placings of the bar added to readings, each positive where the bar sat high.

    Attributes
    ----------
    placings
        Whose these are.
    height_mm, height_error_mm
        Of each bar, midway between the places `REACH_MM` to either side of its middle; and the standard error.
    tilt_deg
        Rise to the sitter's right, or to the front.
    told_by
        How many readings on uncut wood tell of each.
    level_mm, level_error_mm
        What the heights have in common.
    sag_mm, sag_error_mm
        How far the bar hung below the line between those places, at its middle; all placings alike.
    """

    placings: Placings
    height_mm: Floats
    height_error_mm: Floats
    tilt_deg: Floats
    told_by: Ints
    level_mm: float
    level_error_mm: float
    sag_mm: float
    sag_error_mm: float


def told_bars(fit: CopiedHollow) -> ToldBars:
    """Return how the bar sat, by the readings of a fit."""
    parts, placings = fit.parts, fit.parts.placings
    own = np.equal.outer(placings.of, np.arange(placings.count)).astype(float)
    tilt = own * (placings.along_mm / REACH_MM)[:, None]
    design = np.hstack([parts.common, own, tilt])
    height_mm2, tilt_mm2 = fit.variances.bars
    odd = ODD_SD**2 * parts.odd
    prior = np.concatenate([np.square(COMMON_SD), height_mm2 + odd, tilt_mm2 + odd])
    mean, unsure = fit.parts_of_bars(design, np.diag(prior))
    first, second = len(COMMON_SD), len(COMMON_SD) + placings.count
    heights = np.zeros((placings.count, len(prior)))
    heights[:, 0] = 1.0
    heights[np.arange(placings.count), first + np.arange(placings.count)] = 1.0
    rise = mean[second:] + np.where(placings.across, mean[1], mean[2])
    uncut = ~fit.cut & ~fit.questioned
    return ToldBars(
        placings=placings,
        height_mm=heights @ mean,
        height_error_mm=np.sqrt(np.einsum("ij,jk,ik->i", heights, unsure, heights)),
        tilt_deg=np.degrees(np.arctan(rise / REACH_MM)),
        told_by=np.bincount(placings.of[uncut], minlength=placings.count).astype(np.int64),
        level_mm=float(mean[0]),
        level_error_mm=float(np.sqrt(unsure[0, 0])),
        sag_mm=float(mean[3]),
        sag_error_mm=float(np.sqrt(unsure[3, 3])),
    )

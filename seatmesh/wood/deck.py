"""The deck line: where the flat kept for joinery ends; straight, bowed or along the outline."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.wood.near_chain import NearChain, near_chain

DeckLine = Literal["straight", "bowed", "offset"]
DECK_LINES: tuple[DeckLine, ...] = ("straight", "bowed", "offset")

WELL_AHEAD_MM = 30.0
"""More than a gutter is wide."""
REACH_SHARE = 0.5
"""How far forward, in shares of the blank's depth, a deck along the outline runs unless the maker says."""


def ahead_of_arc(x: Floats, y: Floats, middle_mm: float, bow_mm: float, half_width_mm: float) -> Floats:
    """Return how far points lie ahead of an arc, mm, negative behind it.

    The arc crosses the centre line at y = `middle_mm` and the blank's sides `bow_mm` farther forward (negative: to the
    rear): what a trammel strikes.
    """
    radius = (half_width_mm**2 + bow_mm**2) / (2.0 * abs(bow_mm))
    if bow_mm > 0.0:
        return np.asarray(radius - np.hypot(x, y - (middle_mm + radius)))
    return np.asarray(np.hypot(x, y - (middle_mm - radius)) - radius)


@dataclass(frozen=True)
class RimBand:
    """A band along a rim, and where in the plan it is worth asking how far it is.

    Attributes
    ----------
    rim, deck_mm
        The part of the outline that a deck follows, and how wide the deck is.
    low_mm, high_mm
        Corners of the rectangle beyond which every place is well ahead of the deck, or far outside the blank.
    """

    rim: NearChain
    deck_mm: float
    low_mm: Floats
    high_mm: Floats


def rim_band(rim_mm: Floats, deck_mm: float) -> RimBand:
    """Return the band of `deck_mm` along `rim_mm`, shape (n, 2)."""
    reach = deck_mm + WELL_AHEAD_MM
    low, high = rim_mm.min(axis=0) - reach, rim_mm.max(axis=0) + reach
    return RimBand(near_chain(rim_mm, low, high), deck_mm, low, high)


def ahead_of_rim(x: Floats, y: Floats, band: RimBand) -> Floats:
    """Return how far points lie beyond a band along a rim, mm, negative in it.

    `WELL_AHEAD_MM` stands for all that is more.
    """
    x, y = np.broadcast_arrays(np.asarray(x, dtype=float), np.asarray(y, dtype=float))
    near = (x > band.low_mm[0]) & (x < band.high_mm[0]) & (y > band.low_mm[1]) & (y < band.high_mm[1])
    ahead = np.full(x.shape, WELL_AHEAD_MM)
    distance = band.rim.distance_mm(x[near], y[near])
    ahead[near] = np.minimum(distance - band.deck_mm, WELL_AHEAD_MM)
    return ahead


def rear_rim(polygon_mm: Floats, reach_mm: float) -> Floats:
    """Return the part of an outline behind y = `reach_mm`, from its left end round the rear to its right one.

    Shape (n, 2); the outline is as `seatmesh.wood.outline.shapes.outline_polygon` returns it.
    """
    right = polygon_mm[: len(polygon_mm) // 2 + 1]
    over = np.flatnonzero(right[:, 1] > reach_mm)
    end = int(over[0]) if len(over) else len(right)
    half = right[:end]
    if len(over):
        last, beyond = right[end - 1], right[end]
        share = (reach_mm - last[1]) / (beyond[1] - last[1])
        half = np.vstack([half, last + share * (beyond - last)])
    return np.vstack([half[:0:-1] * np.array([-1.0, 1.0]), half])


def gutter_depth(ahead_mm: Floats, width_mm: float, depth_mm: float) -> Floats:
    """Return the depth of a gutter as a gouge leaves it: an arc `width_mm` across and `depth_mm` deep at its middle.

    `ahead_mm` is the distance ahead of the deck line, where the gutter begins.
    """
    radius = (0.25 * width_mm**2 + depth_mm**2) / (2.0 * depth_mm)
    across = np.minimum(np.abs(np.asarray(ahead_mm) - 0.5 * width_mm), 0.5 * width_mm)
    cut = np.sqrt(radius**2 - across**2) - (radius - depth_mm)
    return np.where(across < 0.5 * width_mm, np.maximum(cut, 0.0), 0.0)

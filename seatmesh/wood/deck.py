"""The deck line: where the flat kept for joinery ends; straight, bowed or along the outline."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from seatmesh.arrays import Floats

DeckLine = Literal["straight", "bowed", "offset"]
DECK_LINES: tuple[DeckLine, ...] = ("straight", "bowed", "offset")

WELL_AHEAD_MM = 30.0
"""More than a gutter is wide."""
CELL_MM = 8.0
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
    start_mm, near
        First corner of a raster of cells `CELL_MM` wide, and which of them come near enough, shape (nx, ny).
    """

    rim: shapely.LineString
    deck_mm: float
    start_mm: tuple[float, float]
    near: NDArray[np.bool_]


def rim_band(rim_mm: Floats, deck_mm: float) -> RimBand:
    """Return the band of `deck_mm` along `rim_mm`, shape (n, 2)."""
    rim, reach = shapely.LineString(rim_mm), deck_mm + WELL_AHEAD_MM
    low = rim_mm.min(axis=0) - reach - CELL_MM
    count = np.ceil((rim_mm.max(axis=0) + reach + CELL_MM - low) / CELL_MM).astype(int)
    middles = [start + CELL_MM * (np.arange(n) + 0.5) for start, n in zip(low, count, strict=True)]
    shapely.prepare(rim)
    near = shapely.dwithin(rim, shapely.points(*np.meshgrid(*middles, indexing="ij")), reach + CELL_MM)
    near[[0, -1]], near[:, [0, -1]] = False, False
    return RimBand(rim, deck_mm, (float(low[0]), float(low[1])), near)


def ahead_of_rim(x: Floats, y: Floats, band: RimBand) -> Floats:
    """Return how far points lie beyond a band along a rim, mm, negative in it.

    `WELL_AHEAD_MM` stands for all that is more.
    """
    x, y = np.broadcast_arrays(np.asarray(x, dtype=float), np.asarray(y, dtype=float))
    # Which points may be near is soon told; how near only matters there.
    cell = [
        np.clip((at - start) // CELL_MM, 0, n - 1).astype(np.int64)
        for at, start, n in zip((x, y), band.start_mm, band.near.shape, strict=True)
    ]
    near = band.near[cell[0], cell[1]]
    ahead = np.full(x.shape, WELL_AHEAD_MM)
    distance = shapely.distance(shapely.points(x[near], y[near]), band.rim)
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

"""How wavy a scan shows wood that is flat: its hollow is as wavy, and nothing else in it tells."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Floats, Ints
from seatmesh.reading.pose.judged.evidence import Plan
from seatmesh.reading.pose.layers import cells

BLOCKS_MM = (12.0, 20.0, 32.0)
"""A span of the spline, which smooths shorter waves away and follows longer ones; more where points lie far apart."""
FEWEST_IN_BLOCK, FEWEST_BLOCKS = 4, 12
HIGH_MM = 6.0
GRID_MM, RIM_MM = 8.0, 16.0
MOST_OFF_MM = 0.1
"""A depth read back is right within this, rms, or the scan is refused."""


@dataclass(frozen=True)
class DeckOff:
    """How far a scan shows the flat deck from flat, mm rms.

    Attributes
    ----------
    waves_mm
        Its waves, the scatter of single points taken off.
    bend_mm
        What the bend of the deck, taken for that of a sphere, makes of the depths of the whole face.
    """

    waves_mm: float = 0.0
    bend_mm: float = 0.0


def waviness(laid: Floats, plan: Plan) -> DeckOff:
    """Return how far the deck of a scan is from flat; nothing where too little of it was seen.

    Parameters
    ----------
    laid
        The scan's own points in the frame of the blank, shape (n, 3), mm: between the corners of wide facets nothing
        was seen.
    """
    near = laid[np.abs(laid[:, 2]) < HIGH_MM]
    deck = near[plan.on_deck(near)]
    if len(deck) < FEWEST_IN_BLOCK * FEWEST_BLOCKS:
        return DeckOff()
    middle = np.array([0.0, 0.5 * plan.blank.depth_mm])
    rows = _rows(deck[:, :2], middle)
    off = deck[:, 2] - rows @ np.linalg.lstsq(rows, deck[:, 2], rcond=None)[0]
    # One step of a robust fit: a crumb on the deck is no wave.
    sound = np.abs(off) < max(0.5, 5.0 * 1.4826 * float(np.median(np.abs(off))))
    terms = np.linalg.lstsq(rows[sound], deck[sound, 2], rcond=None)[0]
    off = deck[:, 2] - rows @ terms
    found = (_of_blocks(off[sound], _blocks(deck[sound], width)) for width in BLOCKS_MM)
    waves = next((one for one in found if one is not None), 0.0)
    return DeckOff(waves, _bend_mm(float(terms[3]), middle, plan))


def _rows(places: Floats, middle: Floats) -> Floats:
    """Return the terms of a plane and of a sphere about a middle, shape (n, 4)."""
    squared = np.sum((places - middle) ** 2, axis=1)
    return np.column_stack([np.ones(len(places)), places, squared])


def _bend_mm(curve: float, middle: Floats, plan: Plan) -> float:
    """Return what a bend makes of the depths ahead of the deck line, from the plane of deck and rim, rms."""
    polygon = plan.blank.polygon_mm()
    (left, rear), (right, front) = polygon.min(axis=0), polygon.max(axis=0)
    x, y = np.meshgrid(np.arange(left, right, GRID_MM), np.arange(rear, front, GRID_MM))
    places = np.column_stack([x.ravel(), y.ravel()])
    inside = plan.blank.inside_mm(places[:, 0], places[:, 1])
    ahead = plan.blank.ahead_of_deck_mm(places[:, 0], places[:, 1])
    rows = _rows(places, middle)
    height = curve * rows[:, 3]
    uncut = (inside > 0.0) & ((ahead < 0.0) | (inside < RIM_MM))
    face = (inside > 0.0) & (ahead > 0.0)
    plane = np.linalg.lstsq(rows[uncut, :3], height[uncut], rcond=None)[0]
    return float(np.sqrt(np.mean((height - rows[:, :3] @ plane)[face] ** 2)))


def _blocks(deck: Floats, width_mm: float) -> Ints:
    block = cells(deck[:, :2], width_mm)
    return np.asarray(block[:, 0] * (block[:, 1].max() + 1) + block[:, 1])


def _of_blocks(off: Floats, block: Ints) -> float | None:
    """Return the rms of the means of blocks, less what the scatter within them makes of it."""
    number = np.unique(block, return_inverse=True)[1]
    count = np.bincount(number)
    mean = np.bincount(number, weights=off) / count
    spread = np.bincount(number, weights=(off - mean[number]) ** 2) / np.maximum(count - 1, 1)
    own = count >= FEWEST_IN_BLOCK
    if np.count_nonzero(own) < FEWEST_BLOCKS:
        return None
    squared = float(np.mean(mean[own] ** 2)) - float(np.mean(spread[own] / count[own]))
    return float(np.sqrt(max(0.0, squared)))

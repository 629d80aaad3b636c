"""Places on uncut wood where a rod tells how the bar sat: the seat's datum, row by row or column by column."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from seatmesh.arrays import Bools, Floats
from seatmesh.gauge.bar.rod_gauge import UNCUT_MM, Lie
from seatmesh.surface import Seat

BESIDE_MM, BESIDE_DEPTH_MM = 2.0, 0.2
"""A rod stands up to so far beside its crossing: where the seat is deeper there, the crossing does not tell the bar."""
TIP_MM = 1.5
"""A rod's tip slips off closer to the edge than this."""
APART_MM = 8.0
"""Two readings nearer together than this say the same."""
EACH_END = 2
"""How many readings on uncut wood each end of a bar needs: one alone might stand on a chip."""


def surely_uncut(seat: Seat, x_mm: Floats, y_mm: Floats) -> Bools:
    """Tell where the wood is uncut though the rod stands a little beside the crossing, and off the round edge."""
    inside = seat.blank.inside_mm(x_mm, y_mm)
    sure = (seat.depth_mm(x_mm, y_mm) <= UNCUT_MM) & (inside >= max(TIP_MM, seat.blank.round_over_mm))
    for dx, dy in ((BESIDE_MM, 0.0), (-BESIDE_MM, 0.0), (0.0, BESIDE_MM), (0.0, -BESIDE_MM)):
        sure = sure & (seat.depth_mm(x_mm + dx, y_mm + dy) <= BESIDE_DEPTH_MM)
    return np.asarray(sure)


def on_line(seat: Seat, lie: Lie, at_mm: float, along_mm: Floats) -> tuple[Floats, Floats]:
    """Return x and y of places along a bar across at y = `at_mm`, or along at x = `at_mm`."""
    at = np.full_like(along_mm, at_mm)
    return (along_mm, at) if lie == "across" else (at, along_mm)


def datum_places(
    seat: Seat,
    lie: Lie,
    at_mm: float,
    known_mm: Sequence[float] = (),
    within_mm: tuple[float, float] | None = None,
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return up to `EACH_END` places of uncut wood for either end of a bar: known ones first, then others.

    `known_mm` are places along the bar that are crossings already, `within_mm` how far it reaches.
    """
    half = 0.5 * seat.blank.width_mm
    low, high = (-half, half) if lie == "across" else (0.0, seat.blank.depth_mm)
    middle = 0.5 * (low + high)
    if within_mm is not None:
        low, high = max(low, within_mm[0]), min(high, within_mm[1])
    free = np.arange(np.ceil(low), np.floor(high) + 1.0)
    free = free[surely_uncut(seat, *on_line(seat, lie, at_mm, free))] if len(free) else free
    have = np.array(sorted(known_mm), dtype=float)
    have = have[surely_uncut(seat, *on_line(seat, lie, at_mm, have))] if len(have) else have
    ends = []
    for side in (-1.0, 1.0):
        chosen = _outermost(have[side * (have - middle) > 0.0], side)
        others = free[side * (free - middle) > 0.0]
        others = others[np.argsort(-side * others)]
        while len(chosen) < EACH_END and len(others):
            apart = np.abs(np.subtract.outer(others, chosen)).min(axis=1) if chosen else side * others
            best = int(np.argmax(apart))
            if chosen and apart[best] < APART_MM:
                break
            chosen.append(float(others[best]))
        ends.append(tuple(sorted(chosen)))
    return ends[0], ends[1]


def _outermost(places: Floats, side: float) -> list[float]:
    return [float(one) for one in sorted(places, key=lambda one: -side * one)[:EACH_END]]

"""The deepest places of a seat's hollow: one on the centre line, or one either side of it."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

import numpy as np
import shapely

from seatmesh.surface import Seat

LEAST_DEEP_MM, SAME_DEEP_MM = 0.2, 0.5
"""What is no hollow at all, and how much shallower the other side's deepest place may be to be named too."""
COARSE_MM, FINE_MM = 2.0, 0.1
ON_CENTRE_MM = 1.0
ALIKE_MM = 0.001


class Deep(NamedTuple):
    """A deepest place, and how deep the finished surface is there; mm."""

    x_mm: float
    y_mm: float
    depth_mm: float


def deepest_places(seat: Seat) -> tuple[Deep, ...]:
    """Return the deepest places of the hollow, adjustments and all, from the sitter's left; none of a flat seat.

    Gutter and front roll are no part of the hollow. Places are right to 0.1 mm.
    """
    left, right = _deepest_half(seat, -1.0), _deepest_half(seat, 1.0)
    most = max(left.depth_mm, right.depth_mm)
    if most <= LEAST_DEEP_MM:
        return ()
    if abs(left.x_mm) < ON_CENTRE_MM and abs(right.x_mm) < ON_CENTRE_MM:
        return (Deep(0.0, right.y_mm, float(bare(seat).depth_mm(0.0, right.y_mm))),)
    there = float(bare(seat).depth_mm(-right.x_mm, right.y_mm))
    if abs(there - left.depth_mm) < ALIKE_MM:
        # Sides alike but for last bits mirror each other, on level ground too, where no one place is the deepest.
        left = Deep(-right.x_mm, right.y_mm, there)
    return tuple(one for one in (left, right) if one.depth_mm > most - SAME_DEEP_MM)


def bare(seat: Seat) -> Seat:
    """Return the seat without gutter and front roll: its hollow with what adjustments do to it."""
    return replace(seat, blank=replace(seat.blank, gutter_depth_mm=0.0), front_roll_mm=0.0)


def _deepest_half(seat: Seat, side: float) -> Deep:
    """Return the deepest place inside the outline to one side of the centre line."""
    blank, hollow = seat.blank, bare(seat)
    last = seat.roll_start_mm
    x, y = side * np.arange(0.0, 0.5 * blank.width_mm, COARSE_MM), np.arange(0.0, last, COARSE_MM)
    whole = shapely.Polygon(blank.polygon_mm())
    best = Deep(0.0, 0.0, 0.0)
    for step in (COARSE_MM, FINE_MM):
        depth = hollow.depth_mm(x[None, :], y[:, None])
        depth = np.where(shapely.contains_xy(whole, *np.meshgrid(x, y)), depth, 0.0)
        row, column = np.unravel_index(np.argmax(depth), depth.shape)
        best = Deep(float(x[column]), float(y[row]), float(depth[row, column]))
        near = 0.05 * step * np.arange(-20, 21)
        x = side * np.maximum(side * (best.x_mm + near), 0.0)
        y = np.minimum(best.y_mm + near, last)
    return best

"""How deep a depth hole may go: the proof that no drilled wood is missing from the finished seat.

Wherever a drill pivots and whichever way it leans, its figure stays within one of revolution about the upright axis
through the hole's mark. The cutting edges are held to lie `STOP_OFF_MM` too deep. A place on the figure at a distance
s from the bit's axis lies at most

    tip (1 - s / radius) + s sin(lean)

below them: a cone to the full width holds every point, whatever its shape, and leaning lowers one side. Sideways it
lies at most s + shift from the mark; shift is how far the leaning axis strays down to the finished surface.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import radians, sin, sqrt, tan

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.sheets.holes.bit import Bit
from seatmesh.sheets.holes.slope_bound import bevel_slope, slope_bound
from seatmesh.surface import Seat

LEAN_DEG = 3.0
"""How far from upright a drill may lean, to any side: what a hand drill is held to by a square (common practice)."""
STOP_OFF_MM = 0.5
"""How much deeper than it says a stop may be set (common practice)."""
SAMPLES = 32
"""Samples across the figure, each way."""


@dataclass(frozen=True)
class Room:
    """What there is room for at a place: how deep cutting edges may go.

    Attributes
    ----------
    over_seat_mm
        So that the whole figure stays above the finished surface.
    over_floor_mm
        So that it leaves the floor's thickness over the real underside, bevel and all.
    """

    over_seat_mm: float
    over_floor_mm: float


def shift_mm(seat: Seat, x_mm: float, y_mm: float) -> float:
    """Return how far sideways a leaning drill can stray above the finished surface."""
    return tan(radians(LEAN_DEG)) * float(seat.depth_mm(x_mm, y_mm))


def below_mm(bit: Bit, shift: float, away_mm: Floats) -> Floats:
    """Return how far below its cutting edges a leaning bit may reach at distances from the hole's mark."""
    radius, lean = 0.5 * bit.diameter_mm, sin(radians(LEAN_DEG))
    from_axis = np.clip(away_mm - shift, 0.0, radius)
    cone = bit.tip_mm * (1.0 - from_axis / radius) + from_axis * lean
    return np.asarray(np.maximum(cone, radius * lean))


def room(seat: Seat, x_mm: float, y_mm: float, bit: Bit) -> Room:
    """Return the room for a hole that keeps clear of deck, gutter and joints.

    Bounds, not samples alone: between samples the surface rises at most by its slope bound times the distance to the
    nearest one, half of a lattice cell's diagonal, and the figure is taken as deep as at the nearest end of the cell.
    """
    shift = shift_mm(seat, x_mm, y_mm)
    reach = 0.5 * bit.diameter_mm + shift
    step = 2.0 * reach / SAMPLES
    half = step * sqrt(0.5)
    along = step * (np.arange(SAMPLES) + 0.5) - reach
    away = np.hypot(along[None, :], along[:, None])
    within = away <= reach + half
    x = np.broadcast_to(x_mm + along[None, :], away.shape)[within]
    y = np.broadcast_to(y_mm + along[:, None], away.shape)[within]
    below = below_mm(bit, shift, away[within] - half)
    far = reach + half
    steep = slope_bound(seat, (x_mm - far, y_mm - far, x_mm + far, y_mm + far))
    over_seat = seat.depth_mm(x, y) - below
    wood = seat.blank.greatest_depth_mm - seat.blank.underside_rise_mm(x, y) - below
    return Room(float(over_seat.min()) - steep * half, float(wood.min()) - bevel_slope(seat) * half)

"""The seat: what the carved surface is, everywhere on the blank."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from seatmesh.blank import Blank
from seatmesh.chair import Chair
from seatmesh.spline import BicubicSpline

Floats = NDArray[np.float64]

ROLL_TURN = np.pi / 3
"""Angle through which the front roll turns before it meets the front edge."""


@dataclass(frozen=True)
class Seat:
    """A carved seat in the frame of its blank.

    Attributes
    ----------
    blank, chair
        The wood and the chair it is for.
    hollow
        Depth of the hollow as a spline over the blank ahead of the deck line, mm; where it is negative the wood
        stays. None is an uncarved, flat seat.
    front_roll_mm
        Radius of the roll at the front edge, 0 for none.
    title
        What the maker calls it.
    units
        "mm" or "in": how pictures and sheets speak.
    """

    blank: Blank = field(default_factory=Blank)
    chair: Chair = field(default_factory=Chair)
    hollow: BicubicSpline | None = None
    front_roll_mm: float = 0.0
    title: str = "flat seat"
    units: str = "mm"

    def depth_mm(self, x_mm: ArrayLike, y_mm: ArrayLike) -> Floats:
        """Return the depth below the blank's top face, mm, never negative.

        `x_mm` (to the sitter's right from the centre line) and `y_mm` (forward from the rear edge) broadcast like
        NumPy arrays. On the deck it is exactly 0; beyond the blank's edges the nearest edge's depth is returned.
        """
        x = np.asarray(x_mm, dtype=float)
        y = np.asarray(y_mm, dtype=float)
        depth = np.zeros(np.broadcast_shapes(x.shape, y.shape))
        if self.hollow is not None:
            depth = np.maximum(depth, self.hollow(x, y))
        depth = depth + front_roll_depth(self.blank.depth_mm - y, self.front_roll_mm)
        return np.where(y > self.blank.deck_mm, depth, 0.0)


def front_roll_depth(from_front_edge_mm: Floats, radius_mm: float) -> Floats:
    """Return how far an arc of `radius_mm`, tangent to the seat, has fallen at a distance from the front edge."""
    length = radius_mm * np.sin(ROLL_TURN)
    along = np.clip(length - from_front_edge_mm, 0.0, length)
    return np.asarray(radius_mm - np.sqrt(radius_mm**2 - along**2))


def flat_seat(blank: Blank | None = None) -> Seat:
    """Return the uncarved seat of a blank: its flat top face, front edge and all."""
    return Seat(blank=blank or Blank())

"""The front roll: an arc along the front edge, tangent to the seat, that turns through one fixed angle."""

from __future__ import annotations

import numpy as np

from seatmesh.arrays import Floats

ROLL_TURN = np.pi / 3
"""Angle through which the front roll turns before it meets the front edge."""


def roll_length_mm(radius_mm: float) -> float:
    """Return how far a roll reaches back from the front edge, in plan."""
    return radius_mm * float(np.sin(ROLL_TURN))


def roll_radius_mm(length_mm: float) -> float:
    """Return the radius of the roll that reaches back by a length."""
    return length_mm / float(np.sin(ROLL_TURN))


def front_roll_depth(from_front_edge_mm: Floats, radius_mm: float) -> Floats:
    """Return how far a roll of `radius_mm` has fallen at a distance from the front edge."""
    length = roll_length_mm(radius_mm)
    along = np.clip(length - from_front_edge_mm, 0.0, length)
    return np.asarray(radius_mm - np.sqrt(radius_mm**2 - along**2))

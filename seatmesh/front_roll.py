"""The front roll: along the front edge, a curve that bends more and more, then an arc; it falls by half its radius.

Its curvature begins at none, so that light runs over its start without a break, and grows in proportion to the distance
until it is that of the arc. As the sine of the slope's angle is what curvature adds up to along the seat, both parts
are known in closed form, the first as a series.
"""

from __future__ import annotations

import numpy as np
from scipy.special import binom

from seatmesh.arrays import Floats

LEAD_SHARE = 0.5
"""Of the radius: length over which the curvature grows."""
FALL_SHARE = 0.5
"""Of the radius: how far the roll has fallen where it meets the front edge."""
TERMS = 8
"""Of the series for the fall of the first part; what is left out is below 1e-11 of the radius."""


def roll_length_mm(radius_mm: float) -> float:
    """Return how far a roll reaches back from the front edge, in plan."""
    return radius_mm * REACH_SHARE


def roll_radius_mm(length_mm: float) -> float:
    """Return the radius of the roll that reaches back by a length."""
    return length_mm / REACH_SHARE


def roll_slope(from_start_mm: Floats, radius_mm: float) -> Floats:
    """Return how steep a roll is at a distance ahead of its start; 0 behind it."""
    along = np.maximum(from_start_mm, 0.0)
    sine = _sine(along / radius_mm) if radius_mm > 0.0 else np.zeros_like(along)
    return np.asarray(sine / np.sqrt(1.0 - sine**2))


def roll_fall(from_start_mm: Floats, radius_mm: float) -> Floats:
    """Return how far a roll has fallen at a distance ahead of its start, mm; 0 behind it."""
    along = np.maximum(from_start_mm, 0.0)
    if radius_mm <= 0.0:
        return np.zeros_like(along)
    share = along / radius_mm
    lead = _lead(np.minimum(share, LEAD_SHARE))
    begins = np.sqrt(1.0 - (0.5 * LEAD_SHARE) ** 2)
    arc = begins - np.sqrt(1.0 - _sine(np.maximum(share, LEAD_SHARE)) ** 2)
    return np.asarray(radius_mm * (lead + arc))


def arc_centre_mm(radius_mm: float) -> tuple[float, float]:
    """Return where the centre of a roll's arc lies: how far ahead of its start, and how far below the seat."""
    begins = float(np.sqrt(1.0 - (0.5 * LEAD_SHARE) ** 2))
    return 0.5 * LEAD_SHARE * radius_mm, radius_mm * (float(_lead(np.array(LEAD_SHARE))) + begins)


def front_roll_depth(from_front_edge_mm: Floats, radius_mm: float) -> Floats:
    """Return how far a roll of `radius_mm` has fallen at a distance from the front edge."""
    length = roll_length_mm(radius_mm)
    return roll_fall(np.clip(length - from_front_edge_mm, 0.0, length), radius_mm)


def _sine(share: Floats) -> Floats:
    """Return the sine of the slope's angle at distances from the start in shares of the radius."""
    return np.where(share < LEAD_SHARE, share**2 / (2.0 * LEAD_SHARE), share - 0.5 * LEAD_SHARE)


def _lead(share: Floats) -> Floats:
    """Return the fall of the first part: the integral of s / sqrt(1 - s^2), s as in `_sine`, by its power series."""
    fall = np.zeros_like(share)
    for n in range(TERMS):
        shares = binom(2 * n, n) / 4.0**n
        fall += shares * share ** (4 * n + 3) / ((2.0 * LEAD_SHARE) ** (2 * n + 1) * (4 * n + 3))
    return fall


ROLL_TURN = float(np.arccos(arc_centre_mm(1.0)[1] - FALL_SHARE))
"""Angle through which the front roll turns before it meets the front edge: a little less than 60 degrees."""
REACH_SHARE = float(np.sin(ROLL_TURN)) + 0.5 * LEAD_SHARE
"""Of the radius: how far the whole roll reaches back."""

"""Rows along a gutter, between which its arc is drawn straight."""

from __future__ import annotations

import math

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.solids.plan.gutter_sheet import visible_half_turn
from seatmesh.wood.blank import Blank

CHORD_SHARE = 0.5
"""Of the tolerance, for the chords across a gutter."""


def gutter_rows_mm(blank: Blank, tolerance_mm: float, angle_rad: float) -> Floats:
    """Return how far ahead of the deck line rows lie, both lips among them; none without a gutter."""
    depth, width = blank.gutter_depth_mm, blank.gutter_width_mm
    if depth <= 0.0:
        return np.zeros(0)
    radius, half = visible_half_turn(width, depth)
    step = min(2.0 * angle_rad, 2.0 * math.acos(1.0 - min(CHORD_SHARE * tolerance_mm / radius, 0.5)))
    rows = max(2, math.ceil(2.0 * half / step))
    turn = half * (2.0 * np.arange(rows + 1) / rows - 1.0)
    at = 0.5 * width * (1.0 + np.sin(turn) / math.sin(half))
    at[[0, -1]] = 0.0, width
    return np.asarray(at)

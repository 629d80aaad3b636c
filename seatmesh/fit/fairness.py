"""Fairness: undulations of a carved surface beyond those that the wishes call for."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from seatmesh.surface import Seat

Floats = NDArray[np.float64]

STATION_MM = 20.0
STEP_MM = 2.0
FELT_SLOPE = 0.01
"""Change of slope, to and fro, that a hand notices: a ripple of 0.25 mm crest to trough over 80 mm; common practice
is to take undulations down to less than half a millimetre."""
ACROSS = 4
"""Turns of slope that a hollow has of itself across: two walls, and the two flanks of the ridge between the thighs."""
ALONG = 4
"""And along: the wall at the rear, the rise under the thighs, the fall into the leg hollow and its end at the roll."""


def undulations(seat: Seat) -> int:
    """Count the turns of slope beyond the hollow's own, along stations across and along, over the whole hollow."""
    # A gutter is called for, and cut with its own tool.
    seat = replace(seat, blank=replace(seat.blank, gutter_depth_mm=0.0))
    half = 0.5 * seat.blank.width_mm
    x = np.arange(0.0, half, STEP_MM)
    x = np.concatenate([-x[:0:-1], x])
    y = np.arange(seat.blank.hollow_start_mm, seat.blank.depth_mm - seat.front_roll_mm, STEP_MM)
    depth = seat.depth_mm(x[None, :], y[:, None])
    every = int(STATION_MM / STEP_MM)
    across = sum(max(0, slope_turns(row, STEP_MM) - ACROSS) for row in depth[::every])
    # From the centre line outward, so that stations lie alike on both sides.
    middle = len(x) // 2
    along = sum(
        max(0, slope_turns(depth[:, middle + k * every], STEP_MM) - ALONG)
        for k in range(-(middle // every), middle // every + 1)
    )
    return across + along


def slope_turns(profile: Floats, step_mm: float, felt: float = FELT_SLOPE) -> int:
    """Count the places where the slope of a profile turns round, that is where its curvature changes sign.

    A turn counts once the slope has come back from it by `felt`; a ripple on a steep wall has no crest, yet the hand
    finds it, and so does this.
    """
    slopes = np.diff(profile) / step_mm
    count, direction, extreme = 0, 0, float(slopes[0])
    for value in slopes[1:].tolist():
        if direction == 0:
            if abs(value - extreme) > felt:
                direction, extreme = (1 if value > extreme else -1), value
        elif (value - extreme) * direction >= 0:
            extreme = value
        elif abs(value - extreme) > felt:
            count, direction, extreme = count + 1, -direction, value
    return count

"""Fairness: undulations of a carved surface beyond those that the wishes call for."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from seatmesh.surface import Seat

Floats = NDArray[np.float64]

STATION_MM = 20.0
STEP_MM = 2.0
FELT_MM = 0.1
"""Crest to trough below which a hand does not notice an undulation; common practice is to half of that."""
ACROSS, ALONG = 3, 3
"""Crests and troughs that a hollow has of itself: across two leg hollows and the ridge between them; along the
deepest line, the crest under the thighs and the leg hollow ahead of it."""


def undulations(seat: Seat) -> int:
    """Count crests and troughs beyond the hollow's own, along stations across and along, over the whole blank."""
    half = 0.5 * seat.blank.width_mm
    x = np.arange(0.0, half, STEP_MM)
    x = np.concatenate([-x[:0:-1], x])
    y = np.arange(seat.blank.deck_mm, seat.blank.depth_mm - seat.front_roll_mm, STEP_MM)
    depth = seat.depth_mm(x[None, :], y[:, None])
    every = int(STATION_MM / STEP_MM)
    across = sum(max(0, turns(row) - ACROSS) for row in depth[::every])
    along = sum(max(0, turns(column) - ALONG) for column in depth.T[::every])
    return across + along


def turns(profile: Floats, felt_mm: float = FELT_MM) -> int:
    """Count the crests and troughs of a profile that stand out by more than `felt_mm`; ends do not count."""
    count, direction, extreme = 0, 0, float(profile[0])
    for value in profile[1:]:
        if direction == 0:
            if abs(value - extreme) > felt_mm:
                direction, extreme = (1 if value > extreme else -1), float(value)
        elif (value - extreme) * direction >= 0:
            extreme = float(value)
        elif abs(value - extreme) > felt_mm:
            count, direction, extreme = count + 1, -direction, float(value)
    return count

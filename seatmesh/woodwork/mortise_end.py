"""The end of a blind mortise: the least wood between it and the other face as carved, its lean and all."""

from __future__ import annotations

from math import cos, radians, sin
from typing import NamedTuple

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.surface import Seat
from seatmesh.wood.joint import FROM_ABOVE, Joint

RINGS = 12
"""Rings of places over a drilled end at which the wood left is looked for."""
TURNS = 72


class MortiseEnd(NamedTuple):
    """Where a mortise leaves the least wood, and how much: less than 0 where it breaks out."""

    x_mm: float
    y_mm: float
    left_mm: float


def mortise_ends(seat: Seat, joint: Joint) -> tuple[MortiseEnd, ...]:
    """Return the end of a blind round mortise on each side that it has: its own first, then its mirror image.

    The hole ends flat, square to its axis. Wood is measured straight up from a hole drilled from below, straight down
    from one drilled from above.
    """
    blank, angle, depth = seat.blank, radians(joint.angle_deg), joint.depth_mm or 0.0
    away = np.array(joint.lean(0.5 * blank.depth_mm))
    # A leg's foot leans away, so that from the underside its axis runs inward; a post's from the top face too.
    run = -away * depth * sin(angle)
    disc = _disc(0.5 * joint.diameter_mm)
    # The end's disc is square to the axis: along the lean it is shortened, and tilted.
    along = disc @ away
    x, y = (np.array(joint.at_mm) + run + disc + np.outer(along * (cos(angle) - 1.0), away)).T
    rise = depth * cos(angle) + along * sin(angle)
    foot = blank.thickness_mm - float(blank.underside_rise_mm(*map(np.asarray, joint.at_mm)))
    # One on the centre line that leans straight fore or aft is its own mirror image.
    paired = joint.side == "both" and (joint.x_mm != 0.0 or abs(float(run[0])) > 1e-9)
    out = []
    for side in (1.0, -1.0) if paired else (1.0,):
        left = (
            blank.thickness_mm - blank.underside_rise_mm(side * x, y) - rise
            if joint.kind in FROM_ABOVE
            else foot - rise - seat.depth_mm(side * x, y)
        )
        k = int(np.argmin(left))
        out.append(MortiseEnd(side * float(x[k]), float(y[k]), float(left[k])))
    return tuple(out)


def _disc(radius: float) -> Floats:
    turn = np.linspace(0.0, 2.0 * np.pi, TURNS, endpoint=False)
    rings = radius * np.linspace(0.0, 1.0, RINGS + 1)
    return np.vstack([r * np.column_stack([np.cos(turn), np.sin(turn)]) for r in rings])

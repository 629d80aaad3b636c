"""What the seat has to carry, and where: segment masses and centres, feet, rake.

Mass fractions and centres are Winter's (L1, L2: Winter 2009, table 4.1), whose thigh runs to the knee; de Leva's
(L3) start at the hip joint and are not mixed in.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from seatmesh.body.figure.posture import Posture
from seatmesh.body.figure.seated import SeatedBody
from seatmesh.chair import Chair

GRAVITY = 9.80665
"""N per kg."""
TRUNK = 0.678
"""Head, arms and trunk over body mass (L1)."""
THIGH = 0.100
"""One thigh over body mass (L1)."""
LEG_AND_FOOT = 0.0465 + 0.0145
"""One lower leg with its foot over body mass (L1)."""
THIGH_CENTRE = 0.433
"""Centre of the thigh from the hip, over its length (L2)."""
KNEE_BEYOND_KNEE_BACK_MM = 40.0
"""Knee joint ahead of the back of the knee; from memory."""
LOW_SEAT_MM, HIGH_SEAT_MM = -60.0, 50.0
"""Front edge against the shod knee-back at which the thighs hang between hip and knee, and the feet off the floor."""
USUAL_CLEARANCE_MM = 10.0
"""How far below the shod knee-back the front edge stands when the maker states no height."""


@dataclass(frozen=True)
class SeatLoad:
    """Force square to the seat, N, and its point in the body's frame, mm, with the share that the feet carry.

    Of many bodies that are seated as one each has shape (bodies, 1).
    """

    force_n: Any
    x_mm: Any
    y_mm: Any
    feet_share: Any


def front_height_mm(seated: SeatedBody, chair: Chair) -> float:
    """Return the height of the front edge: as stated, or from popliteal height and shoes."""
    if chair.front_height_mm is not None:
        return chair.front_height_mm
    return seated.anatomy.popliteal_height + chair.shoe_mm - USUAL_CLEARANCE_MM


def front_edge_above_knee_back_mm(seated: SeatedBody, chair: Chair) -> float:
    """Return how far the front edge stands above the back of the shod sitter's knees (negative: below)."""
    return front_height_mm(seated, chair) - seated.anatomy.popliteal_height - chair.shoe_mm


def feet_share(seated: SeatedBody, chair: Chair) -> Any:
    """Return the share of body weight that the feet carry.

    Level with the knee-back they carry legs and feet, about 12 % (S11: about 13 % upright). On a low seat the thigh
    hangs between hip and knee, and its knee end goes to the feet too; on a high one the legs hang from the knees.
    The three statics are joined by straight lines.
    """
    legs = 2.0 * LEG_AND_FOOT
    with_thigh_ends = legs + 2.0 * THIGH * THIGH_CENTRE
    above = front_edge_above_knee_back_mm(seated, chair)
    return _plain(np.interp(above, [LOW_SEAT_MM, 0.0, HIGH_SEAT_MM], [with_thigh_ends, legs, 0.0]))


def seat_load(seated: SeatedBody, posture: Posture, chair: Chair) -> SeatLoad:
    """Return what the seat carries and where, in the frame of the body.

    The trunk's centre is held above the hips as gravity sees it, so rake moves its line of action to the rear only by
    the hip's own height over the seat times the slope.
    """
    anatomy = seated.anatomy
    rake = float(np.radians(chair.rake_deg))
    knee_y = seated.knee_back_y + KNEE_BEYOND_KNEE_BACK_MM
    thigh_y = seated.hip[1] + THIGH_CENTRE * (knee_y - seated.hip[1])
    hip_height = seated.hip[2] + 0.5 * anatomy.tissue
    feet = feet_share(seated, chair)
    at_knee = 2.0 * LEG_AND_FOOT - feet
    share = TRUNK + 2.0 * THIGH + at_knee
    trunk_y = seated.hip[1] + posture.lean_mm
    moment_y = TRUNK * trunk_y + 2.0 * THIGH * thigh_y + at_knee * knee_y
    y = moment_y / share - hip_height * float(np.tan(rake))
    return SeatLoad(
        force_n=_plain(share * anatomy.mass_kg * GRAVITY * float(np.cos(rake))),
        x_mm=_plain(_crossed_shift_mm(seated, posture) / share),
        y_mm=_plain(y),
        feet_share=feet,
    )


def _plain(value: Any) -> Any:
    """Return a number for what is one, and an array as it is."""
    return float(value) if np.ndim(value) == 0 else value


def _crossed_shift_mm(seated: SeatedBody, posture: Posture) -> Any:
    """Return the moment over body weight of a crossed leg, whose lower leg hangs over the other knee."""
    if posture.crossed is None:
        return 0.0
    toward = -1.0 if posture.crossed == "right" else 1.0
    return toward * LEG_AND_FOOT * 2.0 * seated.knee_x

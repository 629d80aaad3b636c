"""Fairness: undulations of a carved surface beyond those that wishes and joints call for."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from seatmesh.surface import Seat
from seatmesh.wood.drilled import Cells
from seatmesh.wood.joint import greatest_depth

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


JOINT = 2
"""And over a rise that wood round a joint calls for: its two flanks."""
HELD_MM = 1.0
"""A surface this near to the depth that a joint allows is held up by it: bounds on coefficients stay that far off."""
FLANK_MM = 48.0
"""How far beyond such a place its flank may run. A strip as stiff as the fit's, lifted at one place, is back to 0.04
of it after three fairness lengths of 16 mm: e^-s (cos s + sin s) with s = x / (16 mm sqrt 2), a beam on springs."""


def undulations(seat: Seat) -> int:
    """Count the turns of slope beyond the hollow's own, along stations across and along, over the whole hollow.

    The hollow's own are `ACROSS` and `ALONG`. Called for besides are, on each station, up to `JOINT` turns near each
    patch where a joint holds the surface up: within `FLANK_MM` of it. A joint that the surface stays clear of calls
    for none.
    """
    # A gutter is called for, and cut with its own tool.
    seat = replace(seat, blank=replace(seat.blank, gutter_depth_mm=0.0))
    half = 0.5 * seat.blank.width_mm
    x = np.arange(0.0, half, STEP_MM)
    x = np.concatenate([-x[:0:-1], x])
    y = np.arange(seat.blank.hollow_start_mm, seat.blank.depth_mm - seat.front_roll_mm, STEP_MM)
    depth = seat.depth_mm(x[None, :], y[:, None])
    near = _near_joints(seat, x, y, depth)
    every = int(STATION_MM / STEP_MM)
    rows = range(0, len(y), every)
    # From the centre line outward, so that stations lie alike on both sides.
    middle = len(x) // 2
    columns = [middle + k * every for k in range(-(middle // every), middle // every + 1)]
    across = sum(_beyond(depth[i], [one[i] for one in near], ACROSS) for i in rows)
    along = sum(_beyond(depth[:, j], [one[:, j] for one in near], ALONG) for j in columns)
    return across + along


def _beyond(profile: Floats, near: list[NDArray[np.bool_]], own: int) -> int:
    """Return how many turns a station has beyond its own and those that the patches near it call for."""
    turns = turns_at(profile, STEP_MM)
    left = list(turns)
    for patch in near:
        called = [at for at in left if patch[at]][:JOINT]
        left = [at for at in left if at not in called]
    return max(0, len(left) - own)


def _near_joints(seat: Seat, x: Floats, y: Floats, depth: Floats) -> list[NDArray[np.bool_]]:
    """Return, for each patch where a joint holds the surface up, the places near it, shape (ny, nx)."""
    blank = seat.blank
    if not blank.joints:
        return []
    columns, rows = np.meshgrid(x, y)
    left = blank.greatest_depth_mm - blank.underside_rise_mm(columns, rows)
    allowed = greatest_depth(blank.joints, Cells(columns, columns, rows, rows), left, blank.wood())
    # Where the spline runs on above the wood nothing would be carved anyway.
    wished = depth if seat.hollow is None else np.where(depth > 0.0, depth, seat.hollow(columns, rows))
    held = (wished > np.maximum(allowed, 0.0) - HELD_MM) & (blank.ahead_of_deck_mm(columns, rows) > 0.0)
    labels, count = ndimage.label(held, structure=np.ones((3, 3)))
    patches = (labels == number for number in range(1, count + 1))
    return [ndimage.distance_transform_edt(~patch) * STEP_MM <= FLANK_MM for patch in patches]


def slope_turns(profile: Floats, step_mm: float, felt: float = FELT_SLOPE) -> int:
    """Count the places where the slope of a profile turns round, that is where its curvature changes sign.

    A turn counts once the slope has come back from it by `felt`; a ripple on a steep wall has no crest, yet the hand
    finds it, and so does this.
    """
    return len(turns_at(profile, step_mm, felt))


def turns_at(profile: Floats, step_mm: float, felt: float = FELT_SLOPE) -> list[int]:
    """Return which samples of a profile those are that `slope_turns` counts: where the slope was at its extreme."""
    slopes = np.diff(profile) / step_mm
    out, direction, extreme, at = [], 0, float(slopes[0]), 0
    for place, value in enumerate(slopes[1:].tolist(), start=1):
        if direction == 0:
            if abs(value - extreme) > felt:
                direction, extreme, at = (1 if value > extreme else -1), value, place
        elif (value - extreme) * direction >= 0:
            extreme, at = value, place
        elif abs(value - extreme) > felt:
            out.append(at)
            direction, extreme, at = -direction, value, place
    return out

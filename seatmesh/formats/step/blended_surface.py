"""A hollow with its adjustments as one spline on finer knots, since an adjustment is no spline of its own."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from scipy.interpolate import make_interp_spline

from seatmesh.adjustment import total_depth_mm
from seatmesh.arrays import Floats
from seatmesh.errors import ValueRefusedError
from seatmesh.front_roll import front_roll_depth
from seatmesh.spline import DEGREE, BicubicSpline, greville
from seatmesh.surface import Seat
from seatmesh.wood.outline.shapes import contains

BLEND_ERROR_MM = 5e-3
"""A circle's curvature ends at once, which a spline meets slowly: half of this would double the file."""

AIM_SHARE = 0.7
"""The places that are looked at may miss the worst one."""

SPANS_MM = (12.0, 8.0, 6.0, 4.5, 3.5, 2.5, 1.8, 1.3, 1.0)
"""Spans over the circles of adjustments, tried in turn."""

HOPELESS_MM, FINE_MM = 0.05, 3.5
"""What is so far off on spans as fine as these is a corner in the surface, not a want of knots."""

CHECK_MM, WIDE_MM = 0.7, 5.0


def blended(seat: Seat, plain: BicubicSpline) -> BicubicSpline:
    """Return `plain`, the hollow, with the seat's adjustments in it, met to `BLEND_ERROR_MM` wherever wood is taken.

    Raises
    ------
    ValueRefusedError
        No spans come as near: floor or top face cut an adjustment off, or it takes wood beyond the hollow's edge.
    """
    error = np.inf
    for span in SPANS_MM:
        spline = _interpolated(seat, plain, span)
        error = blend_error_mm(seat, spline)
        if error <= AIM_SHARE * BLEND_ERROR_MM:
            return spline
        if error > HOPELESS_MM and span <= FINE_MM:
            break
    raise ValueRefusedError(
        "seat for a spline face",
        f"adjustments that a spline meets to {error:.2g} mm only",
        f"allowed is {BLEND_ERROR_MM:g} mm: circles inside the hollow, not cut off by floor or joints",
        "move or shrink them, or write the seat as a mesh, such as .3mf",
    )


def blend_error_mm(seat: Seat, spline: BicubicSpline) -> float:
    """Return the greatest difference, roll left out, between a spline and the seat ahead of its deck line, mm.

    Closely over the circles of the adjustments, widely beside them, where nothing has changed.
    """
    blank = seat.blank
    half, front = 0.5 * blank.width_mm, blank.depth_mm
    worst = _off(seat, spline, np.arange(-half, half, WIDE_MM), np.arange(0.0, front, WIDE_MM))
    for x, y, r in _circles(seat):
        across = np.arange(max(x - r, -half), min(x + r, half), CHECK_MM)
        along = np.arange(max(y - r, 0.0), min(y + r, front), CHECK_MM)
        if len(across) and len(along):
            worst = max(worst, _off(seat, spline, across, along))
    return worst


def _off(seat: Seat, spline: BicubicSpline, x: Floats, y: Floats) -> float:
    blank = seat.blank
    across, along = x[None, :], y[:, None]
    seen = (blank.ahead_of_deck_mm(across, along) > 0.0) & contains(blank.polygon_mm(), across, along)
    own = np.maximum(np.maximum(spline(across, along), 0.0), blank.gutter_mm(across, along))
    own = own + front_roll_depth(blank.depth_mm - along, seat.front_roll_mm)
    return float(np.abs(own - seat.depth_mm(across, along)).max(where=seen, initial=0.0))


def _circles(seat: Seat) -> list[tuple[float, float, float]]:
    """Return x, y and radius of each circle, mirrored ones too."""
    own = [(one.x_mm, one.y_mm, one.radius_mm) for one in seat.adjustments]
    return own + [(-one.x_mm, one.y_mm, one.radius_mm) for one in seat.adjustments if one.side == "both"]


def _interpolated(seat: Seat, plain: BicubicSpline, span: float) -> BicubicSpline:
    circles = _circles(seat)
    knots_x = _finer(plain.knots_x, [(x - r, x + r) for x, _, r in circles], span)
    knots_y = _finer(plain.knots_y, [(y - r, y + r) for _, y, r in circles], span)
    x, y = greville(knots_x), greville(knots_y)
    half, front = 0.5 * seat.blank.width_mm, seat.blank.depth_mm
    # Beyond the blank's edges adjustments go on as on them, as in the seat itself.
    taken = total_depth_mm(seat.adjustments, np.clip(x, -half, half)[None, :], np.minimum(y, front)[:, None])
    values = plain(x[None, :], y[:, None]) + taken
    along_y = make_interp_spline(y, values, DEGREE, t=knots_y).c
    return BicubicSpline(knots_x, knots_y, np.asarray(make_interp_spline(x, along_y.T, DEGREE, t=knots_x).c))


def _finer(knots: Floats, ranges: list[tuple[float, float]], span: float) -> Floats:
    """Return knots whose spans that a range touches are cut into parts no longer than `span`."""
    added = []
    for a, b in pairwise(np.unique(knots).tolist()):
        if any(low < b and high > a for low, high in ranges):
            added.append(np.linspace(a, b, int(np.ceil((b - a) / span)) + 1)[1:-1])
    return np.sort(np.concatenate([knots, *added]))

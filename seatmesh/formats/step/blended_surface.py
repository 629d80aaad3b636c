"""A hollow with its adjustments as one spline on finer knots, since an adjustment is no spline of its own."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import NamedTuple

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

COARSE, FINEST, STEP = 0.5, 3.0, 1.12
"""Knots over the adjustments, times what their curvature asks for: the range that is tried, and by which factor."""

KINK_SHARE = 0.05
"""A cubic spline on even spans that steps over a change of curvature is off by about this share of change times span
squared: measured."""

BEYOND_SPANS = 2.0
"""So many spans beyond a circle's edge lie as close as those at the edge: there the spline comes to rest."""

MIDDLE_SHARE = 0.3
"""Over the middle of a circle, which is smooth, knots lie so dense beside those at its edge."""

HOPELESS_MM, FINE = 0.05, 1.5
"""What is so far off on spans as fine as these is a corner in the surface, not a want of knots."""

CHECK_MM, WIDE_MM = 0.7, 5.0
SAMPLES = 33


class AdjustedCircle(NamedTuple):
    """The circle of an adjustment: its middle, its radius, and what is taken at the middle."""

    x_mm: float
    y_mm: float
    radius_mm: float
    amount_mm: float


def blended(seat: Seat, plain: BicubicSpline) -> BicubicSpline:
    """Return `plain`, the hollow, with the seat's adjustments in it, met to `BLEND_ERROR_MM` wherever wood is taken.

    Raises
    ------
    ValueRefusedError
        No spans come as near: floor or top face cut an adjustment off, or it takes wood beyond the hollow's edge.
    """
    error, fineness = np.inf, COARSE
    while fineness <= FINEST:
        spline = _interpolated(seat, plain, fineness)
        error = blend_error_mm(seat, spline)
        if error <= AIM_SHARE * BLEND_ERROR_MM:
            return spline
        if error > HOPELESS_MM and fineness >= FINE:
            break
        fineness *= STEP
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
    for x, y, r, _ in _circles(seat):
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


def _circles(seat: Seat) -> list[AdjustedCircle]:
    """Return the circles of the adjustments, mirrored ones too."""
    own = [AdjustedCircle(one.x_mm, one.y_mm, one.radius_mm, one.amount_mm) for one in seat.adjustments]
    return own + [
        AdjustedCircle(-one.x_mm, one.y_mm, one.radius_mm, one.amount_mm)
        for one in seat.adjustments
        if one.side == "both"
    ]


def _interpolated(seat: Seat, plain: BicubicSpline, fineness: float) -> BicubicSpline:
    circles = _circles(seat)
    knots_x = _finer(plain.knots_x, [(one.x_mm, one) for one in circles], fineness)
    knots_y = _finer(plain.knots_y, [(one.y_mm, one) for one in circles], fineness)
    x, y = greville(knots_x), greville(knots_y)
    half, front = 0.5 * seat.blank.width_mm, seat.blank.depth_mm
    # Beyond the blank's edges adjustments go on as on them, as in the seat itself.
    taken = total_depth_mm(seat.adjustments, np.clip(x, -half, half)[None, :], np.minimum(y, front)[:, None])
    values = plain(x[None, :], y[:, None]) + taken
    along_y = make_interp_spline(y, values, DEGREE, t=knots_y).c
    return BicubicSpline(knots_x, knots_y, np.asarray(make_interp_spline(x, along_y.T, DEGREE, t=knots_x).c))


def _finer(knots: Floats, circles: list[tuple[float, AdjustedCircle]], fineness: float) -> Floats:
    """Return knots with more of them where circles, each with its middle along these knots, ask for them.

    A circle's curvature ends at its edge, and across a knot's line only as much of that counts as the edge runs along
    it: knots lie denser the farther they are from the middle.
    """
    added = []
    for a, b in pairwise(np.unique(knots).tolist()):
        at = np.linspace(a, b, SAMPLES)
        dense = fineness * np.max([_density(at - middle, one) for middle, one in circles], axis=0)
        counted = np.concatenate([[0.0], np.cumsum(0.5 * (dense[1:] + dense[:-1]) * np.diff(at))])
        parts = max(1, math.ceil(counted[-1]))
        added.append(np.interp(np.arange(1, parts) * counted[-1] / parts, counted, at))
    return np.sort(np.concatenate([knots, *added]))


def _density(off: Floats, circle: AdjustedCircle) -> Floats:
    """Return how many knots to a millimetre a circle asks for so far from its middle."""
    share = np.abs(off) / circle.radius_mm
    # The second derivative of the amount times (1 - r^2)^2 at the edge, where it ends.
    kink = 8.0 * abs(circle.amount_mm) / circle.radius_mm**2
    most = math.sqrt(KINK_SHARE * kink / BLEND_ERROR_MM)
    beyond = np.abs(off) - circle.radius_mm
    return np.asarray(most * np.where(beyond < BEYOND_SPANS / most, np.clip(share, MIDDLE_SHARE, 1.0), 0.0))

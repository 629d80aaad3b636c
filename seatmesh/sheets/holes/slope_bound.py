"""A bound on how steep a seat's carved surface is over a rectangle: no place in it is steeper, sampled or not."""

from __future__ import annotations

import numpy as np

from seatmesh.adjustment import Adjustment
from seatmesh.arrays import Floats
from seatmesh.front_roll import roll_length_mm, roll_slope
from seatmesh.spline import DEGREE, BicubicSpline
from seatmesh.surface import Seat

Box = tuple[float, float, float, float]

STEEPEST = 16.0 * np.sqrt(3.0) / 18.0
"""Greatest slope of (1 - r^2)^2, at r^2 = 1/3."""


def slope_bound(seat: Seat, box_mm: Box) -> float:
    """Return a bound on the slope of `Seat.depth_mm` over a rectangle x0, y0, x1, y1.

    It holds where the rectangle touches neither deck nor gutter nor a joint's zone: there the depth jumps. A spline's
    derivative is a spline of degree one less, whose values lie between its coefficients (convex hull); adjustments
    add the greatest slope that each can have, and where they meet the floor the surface follows the under-bevel.
    """
    steep = 0.0 if seat.hollow is None else _spline_bound(seat.hollow, box_mm)
    near = [one for one in seat.adjustments if _touches(one, box_mm)]
    for one in near:
        sides = 2.0 if one.side == "both" else 1.0
        steep += sides * abs(one.amount_mm) * STEEPEST / one.radius_mm
    roll = _roll_bound(seat, box_mm)
    return max(steep, bevel_slope(seat) + roll) + roll if near else steep + roll


def bevel_slope(seat: Seat) -> float:
    """Return how steeply the under-bevel rises."""
    blank = seat.blank
    return blank.under_bevel_height_mm / blank.under_bevel_width_mm if blank.has_bevel else 0.0


def _touches(one: Adjustment, box_mm: Box) -> bool:
    x0, y0, x1, y1 = box_mm
    middles = (one.x_mm, -one.x_mm) if one.side == "both" else (one.x_mm,)
    away = [np.hypot(x - np.clip(x, x0, x1), one.y_mm - np.clip(one.y_mm, y0, y1)) for x in middles]
    return bool(min(away) < one.radius_mm)


def _roll_bound(seat: Seat, box_mm: Box) -> float:
    """Return the front roll's slope where the rectangle comes nearest to the front edge."""
    radius = seat.front_roll_mm
    length = roll_length_mm(radius)
    along = float(np.clip(length - (seat.blank.depth_mm - box_mm[3]), 0.0, length))
    return float(roll_slope(np.array(along), radius))


def _spline_bound(spline: BicubicSpline, box_mm: Box) -> float:
    x0, y0, x1, y1 = box_mm
    along_x = _differences(spline.coefficients, spline.knots_x)
    along_y = _differences(spline.coefficients.T, spline.knots_y).T
    cx, cy = _touching(spline.knots_x, x0, x1), _touching(spline.knots_y, y0, y1)
    less_x, less_y = slice(cx.start, cx.stop - 1), slice(cy.start, cy.stop - 1)
    return float(np.hypot(np.abs(along_x[less_x, cy]).max(), np.abs(along_y[cx, less_y]).max()))


def _differences(coefficients: Floats, knots: Floats) -> Floats:
    """Return the derivative's coefficients along the first axis: 3 (c[i+1] - c[i]) / (t[i+4] - t[i+1])."""
    width = knots[DEGREE + 1 : -1] - knots[1 : -DEGREE - 1]
    return np.asarray(DEGREE * np.diff(coefficients, axis=0) / width[:, None])


def _touching(knots: Floats, low: float, high: float) -> slice:
    """Return the coefficients whose basis functions reach into [low, high], held to the spline's own span."""
    low, high = np.clip([low, high], knots[0], knots[-1])
    last = len(knots) - DEGREE - 2
    first_span = int(np.clip(np.searchsorted(knots, low, side="right") - 1, DEGREE, last))
    last_span = int(np.clip(np.searchsorted(knots, high, side="left") - 1, DEGREE, last))
    return slice(first_span - DEGREE, max(first_span, last_span) + 1)

"""A bound on how steep a seat's hollow is over a rectangle: no place in it is steeper, sampled or not."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from seatmesh.adjustment import Adjustment
from seatmesh.spline import DEGREE, BicubicSpline
from seatmesh.surface import Seat

Floats = NDArray[np.float64]
Box = tuple[float, float, float, float]

STEEPEST = 16.0 * np.sqrt(3.0) / 18.0
"""Greatest slope of (1 - r^2)^2, at r^2 = 1/3."""


def hollow_least_mm(seat: Seat, x_mm: Floats, y_mm: Floats) -> Floats:
    """Return a depth that the finished surface nowhere undercuts, ahead of the deck line; arguments broadcast.

    The hollow with what adjustments leave standing; what gutter, front roll and further cuts take is not counted.
    Unlike the surface itself it has no jump, so that its slope can be bounded.
    """
    shape = np.broadcast_shapes(np.shape(x_mm), np.shape(y_mm))
    depth = np.zeros(shape) if seat.hollow is None else np.maximum(seat.hollow(x_mm, y_mm), 0.0)
    for one in _leaving(seat):
        depth = depth + one.depth_mm(x_mm, y_mm)
    return np.asarray(depth)


def slope_bound(seat: Seat, box_mm: Box) -> float:
    """Return a bound on the slope of `hollow_least_mm` over a rectangle x0, y0, x1, y1.

    A spline's derivative is a spline of degree one less, whose values lie between its coefficients (convex hull);
    what adjustments leave adds the greatest slope that each can have.
    """
    steep = 0.0 if seat.hollow is None else _spline_bound(seat.hollow, box_mm)
    for one in _leaving(seat):
        sides = 2.0 if one.side == "both" else 1.0
        steep += sides * abs(one.amount_mm) * STEEPEST / one.radius_mm
    return steep


def _leaving(seat: Seat) -> list[Adjustment]:
    return [one for one in seat.adjustments if one.amount_mm < 0.0]


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

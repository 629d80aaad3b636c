"""The carved surface as one B-spline that a CAD kernel takes as it is; arrays only.

Ahead of the deck line the depth is max(0, S) + r, S the seat's own bicubic spline and r the front roll. The
spline here is F = S + r: behind the start of the roll it is S itself; within the roll, on finer knots, r is no
polynomial and is met to `ROLL_ERROR_MM`. A little beyond the blank the end pieces go on as they are, so that no side of
a cutting body lies in a side of the blank.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from scipy.interpolate import BSpline, make_interp_spline
from scipy.ndimage import maximum_filter

from seatmesh.arrays import Floats
from seatmesh.errors import NotSolvedError, ValueRefusedError
from seatmesh.formats.step.blended_surface import blended
from seatmesh.front_roll import LEAD_SHARE, arc_centre_mm, roll_fall
from seatmesh.spline import DEGREE, BicubicSpline, greville
from seatmesh.surface import Seat

ROLL_ERROR_MM = 5e-7
"""Far below what any tool cuts: each tenth of it would nearly double the knots, and the time that the kernel takes."""
BLENDED_ROLL_ERROR_MM = 1e-4
"""Of a seat with adjustments, which are met less closely by far."""
LOW_MM = 0.5
"""How far the surface stands above the blank where it takes no wood; lower, the kernel loses where the two meet."""

OVERHANG_MM = 1.0
OVERHANG_SHARE = 0.03
"""Of the roll's radius: so far its arc goes on beyond the front edge at most."""

STEEPEST = 0.9999
FEWEST_ROLL_SPANS, MOST_ROLL_SPANS = 4, 1024


def overhang_mm(seat: Seat) -> float:
    """Return how far the carved surface goes on beyond the blank."""
    roll = OVERHANG_SHARE * seat.front_roll_mm
    return min(OVERHANG_MM, roll) if seat.front_roll_mm > 0.0 else OVERHANG_MM


def carved_spline(seat: Seat, low_mm: float = LOW_MM) -> BicubicSpline:
    """Return F over the blank ahead of the deck line and a little beyond, hardly above `low_mm` where it takes no wood.

    Raises
    ------
    ValueRefusedError
        The seat has no hollow, its spline ends within the blank, or its adjustments are met by no spline (`blended`).
    NotSolvedError
        The roll was not met within the limit of knots.
    """
    hollow = seat.hollow
    if hollow is None:
        raise ValueRefusedError(
            "seat for a spline face",
            "no hollow",
            "allowed is a carved one, its adjustments within the hollow",
            "write it as a mesh, such as .3mf",
        )
    _refuse_short(seat, hollow)
    beyond = overhang_mm(seat)
    knots_x = _longer(hollow.knots_x, beyond)
    along_x = _refitted(hollow.knots_x, hollow.coefficients, knots_x)
    knots_y = _longer(hollow.knots_y, beyond)
    plain = _refitted(hollow.knots_y, along_x.T, knots_y).T
    whole = BicubicSpline(knots_x, knots_y, plain)
    if seat.adjustments:
        whole = blended(seat, whole)
    whole = _low_beyond(whole, low_mm)
    return whole if seat.front_roll_mm == 0.0 else _with_roll(seat, whole)


def _low_beyond(spline: BicubicSpline, low_mm: float) -> BicubicSpline:
    """Return the spline as it is wherever it takes wood, and hardly above the blank where it takes none.

    There a coefficient may be anything below 0 as long as all that share a span with it are: the surface stays above
    the wood, and its box does not stand far above the seat.
    """
    own = spline.coefficients
    free = maximum_filter(own, size=2 * DEGREE + 1, mode="nearest") < 0.0
    return replace(spline, coefficients=np.where(free, np.maximum(own, -low_mm), own))


def _refuse_short(seat: Seat, hollow: BicubicSpline) -> None:
    """Refuse a spline that ends within the blank: there the seat's depth goes on level, which is no spline."""
    low, high = (edge(seat.blank.polygon_mm(), axis=0) for edge in (np.min, np.max))
    starts, ends = (hollow.knots_x[0], hollow.knots_y[0]), (hollow.knots_x[-1], hollow.knots_y[-1])
    covers = starts[0] <= low[0] and ends[0] >= high[0] and ends[1] >= high[1]
    if not (covers and starts[1] <= max(seat.blank.hollow_start_mm, low[1])):
        given = f"x {starts[0]:g} to {ends[0]:g}, y {starts[1]:g} to {ends[1]:g} mm"
        allowed = "allowed is one that covers the blank ahead of the deck line"
        raise ValueRefusedError("hollow's spline", given, allowed, "fit the hollow for this very blank")


def _longer(knots: Floats, beyond: float) -> Floats:
    longer = knots.copy()
    longer[: DEGREE + 1] -= beyond
    longer[-DEGREE - 1 :] += beyond
    return longer


def _refitted(knots: Floats, coefficients: Floats, new: Floats) -> Floats:
    """Return the coefficients on knots `new` of splines whose coefficients run down the first axis; exact.

    The new knots are the old ones with ends farther out, or finer.
    """
    at = greville(new)
    values = BSpline(knots, coefficients, DEGREE, extrapolate=True)(at)
    return np.asarray(make_interp_spline(at, values, DEGREE, t=new).c)


def _with_roll(seat: Seat, plain: BicubicSpline) -> BicubicSpline:
    """Add the roll, on knots that divide its length evenly, its arc's beginning among them."""
    start, end, radius = seat.roll_start_mm, plain.knots_y[-1], seat.front_roll_mm
    arc = start + LEAD_SHARE * radius
    spans, allowed = FEWEST_ROLL_SPANS, BLENDED_ROLL_ERROR_MM if seat.adjustments else ROLL_ERROR_MM
    while spans <= MOST_ROLL_SPANS:
        parts = int(np.ceil(0.5 * spans))
        added = np.concatenate(
            [np.linspace(start, arc, parts, endpoint=False), _graded(arc, end, start, radius, spans)]
        )
        # An old knot beside a new one would make a sliver of a span, which the new one serves as well.
        old = plain.knots_y
        kept = old[(np.abs(old[:, None] - added).min(axis=1) > 1e-6) | (old <= start - 1e-6) | (old == end)]
        knots = np.sort(np.concatenate([kept, added]))
        at = greville(knots)
        rows = BSpline(plain.knots_y, plain.coefficients.T, DEGREE)(at)
        roll = roll_fall(at - start, radius)
        fitted = make_interp_spline(at, rows + roll[:, None], DEGREE, t=knots).c
        whole = BicubicSpline(plain.knots_x, knots, np.asarray(fitted).T)
        if _roll_error(whole, plain, start, radius) <= allowed:
            return whole
        spans = math.ceil(1.4 * spans)
    raise NotSolvedError(f"the front roll was not met to {allowed:g} mm; write the seat as a mesh.")


def _graded(arc: float, end: float, start: float, radius: float, spans: int) -> Floats:
    """Return knots along the arc, its end left out: denser where it grows steep, so that spans err alike."""
    y = np.linspace(arc, end, 2001)
    u = np.clip((y - start - arc_centre_mm(radius)[0]) / radius, -1.0, STEEPEST)
    # The error of a cubic over a span goes with its length to the fourth and with the fourth derivative.
    dense = ((3.0 + 12.0 * u**2) / (1.0 - u**2) ** 3.5) ** 0.25
    counted = np.concatenate([[0.0], np.cumsum(0.5 * (dense[1:] + dense[:-1]) * np.diff(y))])
    return np.asarray(np.interp(np.linspace(0.0, counted[-1], spans, endpoint=False), counted, y))


def _roll_error(whole: BicubicSpline, plain: BicubicSpline, start: float, radius: float) -> float:
    y = np.linspace(plain.knots_y[0], plain.knots_y[-1], 20_001)
    x = plain.knots_x[:: max(1, len(plain.knots_x) // 6)]
    exact = plain(x[None, :], y[:, None]) + roll_fall(y - start, radius)[:, None]
    return float(np.abs(whole(x[None, :], y[:, None]) - exact).max())

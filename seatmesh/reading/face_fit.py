"""The hollow that fits a face seen: a spline below the front roll, and how surely its points tell it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.fit.bounded.robust_spline import (
    RobustFit,
    SplineLayout,
    best_fairness_mm,
    lay_out,
    least_squares,
    robust_fit,
)
from seatmesh.front_roll import front_roll_depth
from seatmesh.reading.surface_points import Face, gutter_margin_mm
from seatmesh.spline import BicubicSpline
from seatmesh.wood.blank import Blank

FAIRNESS_MM = (1.0, 2.0, 3.0, 5.0)
LINE_MM = (0.3, 6.0)
"""Flat wood seen so far ahead of the deck line is flat up to the line."""
FLAT_MM, FLAT_SIGMAS = 0.1, 2.5
STEP_MM = 0.05
ACROSS_MM = 3.0
"""Between places across a gutter."""
QUIET_MM = 0.05
"""With less scatter the points tell the surface for all that a hand can hold."""


@dataclass(frozen=True)
class FaceFit:
    """A spline for a face, and how far to trust it.

    Attributes
    ----------
    spline
        Depth below the front roll.
    sigma_mm, settled
        The scatter of the points about it by their median; whether the fit came to rest.
    weight
        Shape (n,): how much each point of the face counts, 0 for an outlier.
    error_mm
        Standard error of the surface for the scatter of its points, rms over the face; 0 where they hardly scatter.
    """

    spline: BicubicSpline
    sigma_mm: float
    settled: bool
    weight: Floats
    error_mm: float


def fit_face(face: Face, blank: Blank, radius_mm: float, scatter_mm: float) -> FaceFit:
    """Fit a spline to a face with a front roll of a radius."""
    line = _flat_line(face, blank, scatter_mm)
    x, y = np.append(face.x_mm, line[:, 0]), np.append(face.y_mm, line[:, 1])
    depth = np.append(face.depth_mm, np.zeros(len(line)))
    layout = lay_out(x, y, 0.5 * blank.width_mm, blank.hollow_start_mm, blank.depth_mm)
    below = depth - front_roll_depth(blank.depth_mm - y, radius_mm)
    first = robust_fit(layout, below, FAIRNESS_MM[0])
    fairness = best_fairness_mm(layout, below, first, FAIRNESS_MM)
    fit = first if fairness == FAIRNESS_MM[0] else robust_fit(layout, below, fairness)
    error = _error_mm(layout, below, fit, fairness) if fit.sigma_mm > QUIET_MM else 0.0
    return FaceFit(fit.spline, fit.sigma_mm, fit.settled, fit.weight[: len(face.x_mm)], error)


def _error_mm(layout: SplineLayout, below: Floats, fit: RobustFit, fairness_mm: float) -> float:
    """Return the standard error of a surface: two halves of its points, fitted apart, tell how sure the whole is."""
    values = fit.spline_at(layout)
    counts = fit.weight * ((values > 0.0) | (below > FLAT_SIGMAS * fit.sigma_mm))
    even = np.arange(len(below)) % 2 == 0
    one, other = (
        np.maximum(layout.basis @ least_squares(layout, below, counts * half, fairness_mm), 0.0)
        for half in (2.0 * even, 2.0 * ~even)
    )
    # The difference of two halves has four times the variance of the whole.
    return 0.5 * float(np.sqrt(np.mean((one - other)[counts > 0.0] ** 2)))


def _flat_line(face: Face, blank: Blank, scatter_mm: float) -> Floats:
    """Return places on the deck line, and across the gutter, that flat wood ahead of it reaches, shape (k, 2).

    Points stop short of the line, and those of a gutter are its own; without these the spline might rise between the
    last of them and the line, the higher the wider a gutter is.
    """
    x, y = face.x_mm, face.y_mm
    ahead = blank.ahead_of_deck_mm(x, y)
    gutter = blank.gutter_width_mm if blank.gutter_depth_mm > 0.0 else 0.0
    more = gutter_margin_mm(scatter_mm) if gutter else 0.0
    flat = (ahead > gutter + LINE_MM[0]) & (ahead < gutter + more + LINE_MM[1])
    flat &= np.abs(face.depth_mm) < max(FLAT_MM, FLAT_SIGMAS * scatter_mm)
    x, y, ahead = x[flat], y[flat], ahead[flat]
    slope = np.column_stack([
        blank.ahead_of_deck_mm(x + STEP_MM, y) - blank.ahead_of_deck_mm(x - STEP_MM, y),
        blank.ahead_of_deck_mm(x, y + STEP_MM) - blank.ahead_of_deck_mm(x, y - STEP_MM),
    ]) / (2.0 * STEP_MM)  # fmt: skip
    steps = np.arange(LINE_MM[0], gutter + LINE_MM[0] + 1e-9, ACROSS_MM)
    return np.vstack([np.column_stack([x, y]) - (ahead - step)[:, None] * slope for step in steps])

"""What it costs that bounds hold everywhere, beside joints, bevel and deck line: the same fit bounded at points."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

import numpy as np
import scipy.sparse as sp

from seatmesh.arrays import Floats
from seatmesh.fit.bounded.bounds import Bounds, Refinement
from seatmesh.fit.hollow import HollowFit
from seatmesh.front_roll import front_roll_depth
from seatmesh.solution import CONVERGED
from seatmesh.spline import design_matrix
from seatmesh.surface import Seat

POINT_MM = 3.0
"""Largest distance of the points: between them a fair surface oversteps its bound by hardly anything."""
SOLVED_MM = 1e-5
"""Two fits agree no better than their solver ends: a smaller difference is none."""


class HeldBack(NamedTuple):
    """The greatest depth that careful bounds cost a fitted hollow, and where on its right half.

    `verdict` is "converged", or why the depth is not known (and stands at 0).
    """

    depth_mm: float
    x_mm: float
    y_mm: float
    verdict: str = CONVERGED


NOTHING = HeldBack(0.0, 0.0, 0.0)


def most_held_back(fit: HollowFit, held: Seat) -> HeldBack:
    """Return by how much deeper at the most, and where, the closed form `held` were with its bounds at points only.

    Both are fitted to the same depth and as fair as each other. `NOTHING` where only the floor bounds the hollow. The
    verdict is the looser fit's.
    """
    if held.hollow is None or fit.bounds.refined is None:
        return NOTHING
    x, y = _points(fit)
    loose = replace(fit, bounds=Bounds(fit.bounds.upper, _at_points(fit, x, y)))
    found = loose.shaped(fit.wishes.depth_mm)
    if not found.converged:
        return NOTHING._replace(verdict=found.verdict)
    right = x[len(x) // 2 :]
    deeper = found.value.depth_mm(right[None, :], y[:, None]) - held.depth_mm(right[None, :], y[:, None])
    deeper = np.where(held.blank.inside_mm(right[None, :], y[:, None]) >= 0.0, deeper, 0.0)
    row, column = np.unravel_index(int(np.argmax(deeper)), deeper.shape)
    cost = float(deeper[row, column])
    return HeldBack(cost, float(right[column]), float(y[row])) if cost > SOLVED_MM else NOTHING


def _points(fit: HollowFit) -> tuple[Floats, Floats]:
    blank = fit.seat.blank
    half = int(np.ceil(0.5 * blank.width_mm / POINT_MM))
    right = np.linspace(0.0, 0.5 * blank.width_mm, half + 1)
    along = int(np.ceil((blank.depth_mm - blank.hollow_start_mm) / POINT_MM))
    return np.concatenate([-right[:0:-1], right]), np.linspace(
        blank.hollow_start_mm, blank.depth_mm, along + 1
    )


def _at_points(fit: HollowFit, x: Floats, y: Floats) -> Refinement:
    """Return bounds on the spline's values at points, in the shape of bounds on refined coefficients."""
    blank, p = fit.seat.blank, fit.programme
    columns, rows = x[:, None], y[None, :]
    left = blank.allowed_depth_mm(columns, rows)
    on_deck = (
        blank.ahead_of_deck_mm(columns, rows) <= 0.0 if blank.deck_is_curved else np.zeros(left.shape, bool)
    )
    # The floor alone is the business of the spline's own coefficients.
    told = (left < blank.greatest_depth_mm) | on_deck
    roll = front_roll_depth(blank.depth_mm - rows, fit.seat.front_roll_mm)
    allowed = np.maximum(left - roll, 0.0)
    allowed = np.where(on_deck, np.minimum(allowed, blank.gutter_depth_mm), allowed)
    upper = np.where(told & (blank.inside_mm(columns, rows) >= 0.0), allowed, np.inf)
    return Refinement(
        p.knots_x,
        p.knots_y,
        sp.csr_array(design_matrix(x, p.knots_x)),
        sp.csr_array(design_matrix(y, p.knots_y)),
        np.minimum(upper, upper[::-1]),
    )

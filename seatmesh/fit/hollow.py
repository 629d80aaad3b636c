"""Fit a hollow to its sitters: as deep as wished, fair, symmetric, and never through the floor."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from seatmesh.fit.programme import Programme, fit, programme_over
from seatmesh.fit.target import Impression, impression, target
from seatmesh.fit.wishes import Wishes
from seatmesh.seating.sitter import Sitter
from seatmesh.seating.sitting import Sitting
from seatmesh.solution import Solution
from seatmesh.spline import BicubicSpline
from seatmesh.surface import Seat, front_roll_depth

Floats = NDArray[np.float64]

FAIRNESS_MM = 16.0
"""Length below which the fit prefers a fair curve to the body's shape."""
LEAST_COEFFICIENT_MM = -14.0
DEPTH_ROUNDS = 4
"""Solves spent on making the deepest point as deep as wished."""
DEPTH_TOLERANCE_MM = 0.02
OFTEN_ENOUGH_MM = 2.0


@dataclass(frozen=True)
class Guest:
    """A sitter laid over the blank, pressed on the flat, and how much the sitter counts."""

    sitter: Sitter
    on_flat: Sitting
    weight: float = 1.0


@dataclass(frozen=True)
class HollowFit:
    """All of a fit that wishes for depth do not change: programme, impressions and bounds."""

    seat: Seat
    wishes: Wishes
    programme: Programme
    impressions: tuple[Impression, ...]
    weights: tuple[float, ...]
    upper: Floats

    def shaped(self, depth_mm: float) -> Solution[Seat]:
        """Return the seat whose hollow is `depth_mm` deep at its deepest, or as deep as the floor lets it be."""
        if depth_mm <= 0:
            return Solution(replace(self.seat, hollow=None), "converged", 0, 0.0)
        aim = depth_mm
        for _ in range(DEPTH_ROUNDS):
            solution = self._solve(aim)
            reached = deepest(solution.value)[2]
            if abs(reached - depth_mm) < DEPTH_TOLERANCE_MM:
                break
            aim += depth_mm - reached
        spline = solution.value
        # What is left of the miss is scaled away; shrinking keeps every bound.
        if reached > depth_mm:
            spline = replace(spline, coefficients=spline.coefficients * (depth_mm / reached))
        seat = replace(self.seat, hollow=spline)
        return Solution(seat, solution.verdict, solution.iterations, solution.residual)

    def _solve(self, aim_mm: float) -> Solution[BicubicSpline]:
        p = self.programme
        total, weight = np.zeros((len(p.y_mm), len(p.x_mm))), np.zeros((len(p.y_mm), len(p.x_mm)))
        for seen, share in zip(self.impressions, self.weights, strict=True):
            wish = target(seen, p.x_mm, p.y_mm, aim_mm, self.wishes, self.seat.blank)
            total += share * wish.weight * wish.depth_mm
            weight += share * wish.weight
        lower = np.full(p.shape, LEAST_COEFFICIENT_MM)
        return fit(p, total / weight, weight, FAIRNESS_MM, lower, self.upper)


def prepare(guests: Sequence[Guest], seat: Seat, wishes: Wishes) -> HollowFit:
    """Lay out a fit for sitters on a blank; `seat` gives blank, chair, title and units."""
    blank = seat.blank
    bare = replace(seat, hollow=None, front_roll_mm=wishes.front_roll_mm)
    programme = programme_over(0.5 * blank.width_mm, blank.deck_mm, blank.depth_mm)
    shares = np.array([guest.weight for guest in guests], dtype=float)
    seen = []
    for guest in guests:
        shift = 0.0
        if wishes.deepest_y_mm is not None:
            free = impression(guest.sitter, guest.on_flat, programme.x_mm, programme.y_mm)
            shift = wishes.deepest_y_mm - free.lowest_y_mm
        seen.append(impression(guest.sitter, guest.on_flat, programme.x_mm, programme.y_mm, shift))
    return HollowFit(
        bare, wishes, programme, tuple(seen), tuple(shares / shares.sum()), upper_bounds(bare, programme)
    )


def upper_bounds(seat: Seat, programme: Programme) -> Floats:
    """Return the greatest coefficients that keep the floor everywhere, and the deck line at 0.

    A spline never exceeds the coefficients whose functions reach a place; so each is held to the least bound over
    its function's support, where the front roll takes its share of the depth.
    """
    nx, ny = programme.shape
    support_end = programme.knots_y[4 : 4 + ny]
    roll = front_roll_depth(seat.blank.depth_mm - support_end, seat.front_roll_mm)
    upper = np.tile(seat.blank.greatest_depth_mm - roll, (nx, 1))
    upper[:, 0] = 0.0
    return upper


def deepest(spline: BicubicSpline) -> tuple[float, float, float]:
    """Return where a spline is greatest, on its right half, and how great: x, y, value."""
    x = np.arange(0.0, spline.knots_x[-1] + OFTEN_ENOUGH_MM, OFTEN_ENOUGH_MM)
    y = np.arange(spline.knots_y[0], spline.knots_y[-1] + OFTEN_ENOUGH_MM, OFTEN_ENOUGH_MM)
    for step in (OFTEN_ENOUGH_MM, 0.2, 0.02):
        values = spline(x[None, :], y[:, None])
        row, column = np.unravel_index(np.argmax(values), values.shape)
        best = float(x[column]), float(y[row]), float(values[row, column])
        x = best[0] + np.arange(-10, 11) * step / 10.0
        y = best[1] + np.arange(-10, 11) * step / 10.0
    return best

"""Fit a hollow to its sitters: as deep as wished, fair, symmetric, and never through the floor."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.fit.bounded.bounds import Bounds, bounds_over
from seatmesh.fit.bounded.programme import Programme, fit, programme_over
from seatmesh.fit.fair.fair_length import least_fair
from seatmesh.fit.wished.target import FREE_WEIGHT, Impression, impression, target
from seatmesh.fit.wished.wishes import Wishes
from seatmesh.seating.settle import LEG_HOLLOW_TURN
from seatmesh.seating.sitter import Sitter
from seatmesh.seating.sitting import Sitting
from seatmesh.solution import Solution
from seatmesh.spline import BicubicSpline
from seatmesh.surface import Seat

FAIRNESS_MM = 16.0
"""Length below which a fit prefers a fair curve to the body's shape; longer where that leaves an undulation.

A rise round a joint is no undulation: it would take the whole seat's shape to smooth what the wood there asks for."""
LEAST_COEFFICIENT_MM = -14.0
DEPTH_ROUNDS = 5
"""Solves spent on making the deepest point as deep as wished."""
MISSED_MM = 0.005
"""A miss of the depth by less is scaled away rather than solved again."""
LEAST_GAIN = 0.5
"""Least that a further millimetre of aim is taken to bring; where bounds hold the hollow up it may bring nothing."""
OFTEN_ENOUGH_MM, FINER_MM = 2.0, (0.2, 0.02)
"""Steps of the rasters on which the deepest place is looked for."""


@dataclass(frozen=True)
class Guest:
    """A sitter laid over the blank, pressed on the flat, and how much the sitter counts."""

    sitter: Sitter
    on_flat: Sitting
    weight: float = 1.0

    @property
    def flat_kpa(self) -> float:
        """The sitter's peak on the flat."""
        return float(self.on_flat.figures.peak_kpa)


@dataclass(frozen=True)
class HollowFit:
    """All of a fit that wishes for depth do not change: programme, impressions and bounds."""

    seat: Seat
    wishes: Wishes
    programme: Programme
    impressions: tuple[Impression, ...]
    weights: tuple[float, ...]
    bounds: Bounds
    fairness_mm: float = FAIRNESS_MM

    @property
    def upper(self) -> Floats:
        """The greatest coefficients for the sake of floor and front roll."""
        return self.bounds.upper

    def shaped(self, depth_mm: float, further: Floats | float = 0.0) -> Solution[Seat]:
        """Return the seat whose hollow is `depth_mm` deep at its deepest, or as deep as the floor lets it be.

        `further`, over the programme's points, is added to the depth that the sitters wish for.
        """
        if depth_mm <= 0:
            return Solution(replace(self.seat, hollow=None), "converged", 0, 0.0)
        aim, before = depth_mm, (0.0, 0.0)
        iterations = 0
        for _ in range(DEPTH_ROUNDS):
            solution = self._solve(aim, further)
            iterations += solution.iterations
            reached = deepest(solution.value)[2]
            if abs(reached - depth_mm) < MISSED_MM:
                break
            gain = max((reached - before[1]) / (aim - before[0]), LEAST_GAIN)
            before = aim, reached
            aim += (depth_mm - reached) / gain
        # What is left of the miss is scaled away, inside the bounds.
        scaled = self.bounds.held(solution.value.coefficients * (depth_mm / reached))
        spline = replace(solution.value, coefficients=scaled)
        return Solution(replace(self.seat, hollow=spline), solution.verdict, iterations, solution.residual)

    def wanted(self, aim_mm: float, further: Floats | float = 0.0) -> tuple[Floats, Floats]:
        """Return what all sitters together wish for at the programme's points, and the weights."""
        p = self.programme
        total, weight = np.zeros((len(p.y_mm), len(p.x_mm))), np.zeros((len(p.y_mm), len(p.x_mm)))
        for seen, share in zip(self.impressions, self.weights, strict=True):
            wish = target(seen, p.x_mm, p.y_mm, aim_mm, self.wishes, self.seat.blank, further)
            total += share * wish.weight * wish.depth_mm
            weight += share * wish.weight
        depth = total / weight
        if self.seat.blank.deck_is_curved:
            # Nothing of what is wished for on the deck will be carved; it only must not lift the hollow beside it.
            deck = self.seat.blank.ahead_of_deck_mm(p.x_mm[None, :], p.y_mm[:, None]) < 0.0
            depth = np.where(deck, np.minimum(depth, 0.0), depth)
            weight = np.where(deck, FREE_WEIGHT * weight, weight)
        return depth, weight

    def _solve(self, aim_mm: float, further: Floats | float) -> Solution[BicubicSpline]:
        wanted, weight = self.wanted(aim_mm, further)
        lower = np.full(self.programme.shape, LEAST_COEFFICIENT_MM)
        bounds = self.bounds
        return fit(self.programme, wanted, weight, self.fairness_mm, lower, bounds.upper, bounds.refined)


def prepare(guests: Sequence[Guest], seat: Seat, wishes: Wishes) -> HollowFit:
    """Lay out a fit for sitters on a blank; `seat` gives blank, chair, title and units."""
    blank = seat.blank
    bare = replace(seat, hollow=None, front_roll_mm=wishes.front_roll_mm)
    programme = programme_over(0.5 * blank.width_mm, blank.hollow_start_mm, blank.depth_mm)
    shares = np.array([guest.weight for guest in guests], dtype=float)
    seen = []
    for guest in guests:
        pose = replace(guest.on_flat.pose, pitch=guest.on_flat.pose.pitch + LEG_HOLLOW_TURN)
        turned = replace(guest.on_flat, pose=pose)
        one = impression(guest.sitter, turned, programme.x_mm, programme.y_mm)
        if wishes.deepest_y_mm is not None:
            shift = wishes.deepest_y_mm - one.lowest_y_mm
            one = impression(guest.sitter, turned, programme.x_mm, programme.y_mm, shift)
        seen.append(one)
    bounds = bounds_over(bare, programme.knots_x, programme.knots_y)
    return HollowFit(bare, wishes, programme, tuple(seen), tuple(shares / shares.sum()), bounds)


def fair(hollow: HollowFit, depth_mm: float) -> tuple[HollowFit, Solution[Seat]]:
    """Return a fit with the least fairness that leaves no undulation at a depth (else with the most), and its seat."""
    found = least_fair(lambda mm: replace(hollow, fairness_mm=mm).shaped(depth_mm), FAIRNESS_MM)
    return replace(hollow, fairness_mm=found.length_mm), found.solution


def deepest(spline: BicubicSpline) -> tuple[float, float, float]:
    """Return where a spline is greatest, on its right half, and how great: x, y, value."""
    x = np.arange(0.0, spline.knots_x[-1] + OFTEN_ENOUGH_MM, OFTEN_ENOUGH_MM)
    y = np.arange(spline.knots_y[0], spline.knots_y[-1] + OFTEN_ENOUGH_MM, OFTEN_ENOUGH_MM)
    return _greatest(spline, x, y)


def deepest_place(seat: Seat) -> tuple[float, float, float]:
    """Return where the hollow of a seat is deepest, adjustments and all, and how deep: x, y, depth.

    The front roll is no part of it. Of two places that mirror each other the right one is told.
    """
    if not seat.adjustments:
        return (0.0, 0.0, 0.0) if seat.hollow is None else deepest(seat.hollow)
    bare = replace(seat, front_roll_mm=0.0)
    half, depth = 0.5 * seat.blank.width_mm, seat.blank.depth_mm
    x, y = np.arange(half, -half, -OFTEN_ENOUGH_MM), np.arange(0.0, depth, OFTEN_ENOUGH_MM)
    return _greatest(bare.depth_mm, x, y)


def _greatest(height: Callable[[Floats, Floats], Floats], x: Floats, y: Floats) -> tuple[float, float, float]:
    """Return where a height is greatest on a raster, and on finer ones about there: x, y, value."""
    best = _highest(height, x, y)
    for step in FINER_MM:
        best = _highest(height, _about(best[0], step), _about(best[1], step))
    return best


def _about(middle: float, step: float) -> Floats:
    return np.linspace(middle - 10.0 * step, middle + 10.0 * step, 21)


def _highest(height: Callable[[Floats, Floats], Floats], x: Floats, y: Floats) -> tuple[float, float, float]:
    values = height(x[None, :], y[:, None])
    row, column = np.unravel_index(np.argmax(values), values.shape)
    return float(x[column]), float(y[row]), float(values[row, column])


def is_mirrored(seat: Seat) -> bool:
    """Whether the two sides of a seat mirror each other."""
    even = seat.hollow is None or np.array_equal(seat.hollow.coefficients, seat.hollow.coefficients[::-1])
    return even and all(one.side == "both" or one.x_mm == 0.0 for one in seat.adjustments)

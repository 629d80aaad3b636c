"""Fit a hollow to its sitters: as deep as wished, fair, symmetric, and never through the floor."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.fit.bounded.bounds import Bounds, bounds_over
from seatmesh.fit.bounded.programme import Programme, fit, programme_over
from seatmesh.fit.bounded.springs import Springs
from seatmesh.fit.fair.fair_length import least_fair
from seatmesh.fit.wished.form import Form, FormWish, Spring, form_of, rim_springs, springs_of
from seatmesh.fit.wished.rim import SeatRim, rim_of
from seatmesh.fit.wished.target import FREE_WEIGHT, Impression, Target, impression, target
from seatmesh.fit.wished.wishes import Wishes
from seatmesh.seating.settle import LEG_HOLLOW_TURN
from seatmesh.seating.sitter import Sitter
from seatmesh.seating.sitting import Sitting
from seatmesh.solution import Solution
from seatmesh.spline import BicubicSpline
from seatmesh.surface import Seat

FAIRNESS_MM = 13.0
"""Length below which a fit prefers a fair curve to the body's shape; longer where that leaves an undulation.

A rise round a joint is no undulation: it would take the whole seat's shape to smooth what the wood there asks for."""
LEAST_COEFFICIENT_MM = -14.0
DEPTH_ROUNDS = 5
"""Solves spent on making the deepest point as deep as wished."""
MISSED_MM = 0.1
"""A miss of the depth by less is scaled away rather than solved again."""
LEAST_GAIN = 0.5
"""Least that a further millimetre of aim is taken to bring; where bounds hold the hollow up it may bring nothing."""
OFTEN_ENOUGH_MM, FINER_MM = 2.0, (0.2, 0.02)
"""Steps of the rasters on which the deepest place is looked for."""
LEEWAY_MM = 54.0
"""How far a print may be moved along the seat without being taken anew."""
HALF_LOADED = 0.5
MOST_SHORT_MM = 6.0
"""Several sitters' mean wish is at most so much less deep than each one's own; more is no wish but a fault."""
MOST_KEPT = 8
"""Impressions of one sitter that are kept: of other poses and blanks there are few."""
HELD_UP_MM = 1.0
"""Wood is taken everywhere inside the rim, and the bowl is round, where the bounds leave at least so much room."""


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
    """All of a fit that wishes for depth do not change: programme, impressions, bounds and rim.

    `impressions` are over the programme's columns and over `rows_mm`, which run on beyond its rows; `moved_mm` says
    how far forward they are moved. `rim` is None where the hollow ends with the body's print. `leg_hollow_x_mm` says
    how far from the centre line each row's leg hollow lies, where that was seen on a seat already.
    """

    seat: Seat
    wishes: Wishes
    programme: Programme
    impressions: tuple[Impression, ...]
    rows_mm: Floats
    weights: tuple[float, ...]
    bounds: Bounds
    rim: SeatRim | None
    rim_springs: tuple[Spring, ...] = ()
    moved_mm: float = 0.0
    leg_hollow_x_mm: Floats | None = None
    fairness_mm: float = FAIRNESS_MM

    @property
    def upper(self) -> Floats:
        """The greatest coefficients for the sake of floor and front roll."""
        return self.bounds.upper

    @property
    def lowest_y_mm(self) -> float:
        """Where the sitters' prints have their lowest place, on the average."""
        places = [one.lowest_y_mm for one in self.impressions]
        return float(np.average(places, weights=self.weights)) + self.moved_mm

    def shaped(self, depth_mm: float) -> Solution[Seat]:
        """Return the seat whose hollow is `depth_mm` deep at its deepest, or as deep as the floor lets it be."""
        if depth_mm <= 0:
            return Solution(replace(self.seat, hollow=None), "converged", 0, 0.0)
        aim, before = depth_mm, (0.0, 0.0)
        iterations = 0
        for _ in range(DEPTH_ROUNDS):
            solution = self._solve(aim)
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

    def wanted(self, aim_mm: float) -> Target:
        """Return what all sitters together wish for at the programme's points."""
        p = self.programme
        shape = (len(p.y_mm), len(p.x_mm))
        total, weight, aside = np.zeros(shape), np.zeros(shape), np.zeros(shape[0])
        for own, share in zip(self.impressions, self.weights, strict=True):
            seen = own.moved(self.rows_mm, self.moved_mm, p.y_mm)
            wish = target(seen, p.x_mm, p.y_mm, aim_mm, self.wishes, self.seat.blank, self.rim)
            total += share * wish.weight * wish.depth_mm
            weight += share * wish.weight
            aside += share * wish.leg_hollow_x_mm
        depth = total / weight
        if self.seat.blank.deck_is_curved:
            # Nothing of what is wished for on the deck will be carved; it only must not lift the hollow beside it.
            deck = self.seat.blank.ahead_of_deck_mm(p.x_mm[None, :], p.y_mm[:, None]) < 0.0
            depth = np.where(deck, np.minimum(depth, 0.0), depth)
            weight = np.where(deck, FREE_WEIGHT * weight, weight)
        return Target(depth, weight, aside)

    def wished(self, depth_mm: float) -> Target:
        """Return what all together wish for, and no place deeper than a depth: of several sitters none is all."""
        wanted = self.wanted(depth_mm)
        if self.wishes.form == "least pressure":
            return wanted
        short = depth_mm - float(wanted.depth_mm[wanted.weight > HALF_LOADED].max(initial=0.0))
        return self.wanted(depth_mm + min(max(short, 0.0), MOST_SHORT_MM))

    def form(self, wanted: Target, aim_mm: float) -> Form | None:
        """Return what the form of a hollow has to meet; None where form is given up for the least pressure."""
        wish = self._form_wish(wanted, aim_mm)
        return None if wish is None else form_of(self.programme, wish, LEAST_COEFFICIENT_MM)

    def springs(self, wanted: Target, aim_mm: float) -> Springs | None:
        """Return the springs of that form alone."""
        wish = self._form_wish(wanted, aim_mm)
        return None if wish is None else springs_of(self.programme, wish)

    def _form_wish(self, wanted: Target, aim_mm: float) -> FormWish | None:
        if self.wishes.form == "least pressure":
            return None
        return FormWish(
            self.seat.blank,
            self.wishes,
            aim_mm,
            self.lowest_y_mm,
            wanted.leg_hollow_x_mm if self.leg_hollow_x_mm is None else self.leg_hollow_x_mm,
            wanted.depth_mm,
            self.rim,
            self.rim_springs,
            self.bounds.least_allowed() - HELD_UP_MM,
        )

    def _solve(self, aim_mm: float) -> Solution[BicubicSpline]:
        wanted, bounds = self.wished(aim_mm), self.bounds
        form = self.form(wanted, aim_mm)
        lower = np.full(self.programme.shape, LEAST_COEFFICIENT_MM) if form is None else form.least
        return fit(
            self.programme,
            wanted.depth_mm,
            wanted.weight,
            self.fairness_mm,
            lower,
            bounds.upper,
            bounds.refined,
            None if form is None else form.springs,
        )


def prepare(guests: Sequence[Guest], seat: Seat, wishes: Wishes) -> HollowFit:
    """Lay out a fit for sitters on a blank; `seat` gives blank, chair, title and units."""
    blank = seat.blank
    bare = replace(seat, hollow=None, front_roll_mm=wishes.front_roll_mm)
    programme = programme_over(0.5 * blank.width_mm, blank.hollow_start_mm, blank.depth_mm)
    shares = np.array([guest.weight for guest in guests], dtype=float)
    step = programme.y_mm[1] - programme.y_mm[0]
    beyond = step * np.arange(1, int(np.ceil(LEEWAY_MM / step)) + 1)
    rows = np.concatenate([programme.y_mm, programme.y_mm[-1] + beyond])
    seen = []
    for guest in guests:
        pose = replace(guest.on_flat.pose, pitch=guest.on_flat.pose.pitch + LEG_HOLLOW_TURN)
        turned = replace(guest.on_flat, pose=pose)
        one = _impression(guest.sitter, turned, programme.x_mm, rows)
        if wishes.deepest_y_mm is not None:
            shift = wishes.deepest_y_mm - one.lowest_y_mm
            one = impression(guest.sitter, turned, programme.x_mm, rows, shift)
        seen.append(one)
    bounds = bounds_over(bare, programme.knots_x, programme.knots_y)
    whole = wishes.form == "fair" and wishes.rim != "print"
    rim = rim_of(blank, wishes.rim_mm) if whole else None
    springs = rim_springs(programme, wishes, rim)
    even = tuple(shares / shares.sum())
    return HollowFit(bare, wishes, programme, tuple(seen), rows, even, bounds, rim, springs)


def _impression(sitter: Sitter, turned: Sitting, x: Floats, rows: Floats) -> Impression:
    """Return a sitter's impression in the usual place, found once for a pose and a programme."""
    key = f"impression {turned.pose} {hash((x.tobytes(), rows.tobytes()))}"
    if key not in sitter.kept:
        if len(sitter.kept) >= MOST_KEPT:
            sitter.kept.clear()
        sitter.kept[key] = impression(sitter, turned, x, rows)
    found: Impression = sitter.kept[key]
    return found


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

"""What to carve against a hot spot: actions that were tried, and pressed again, before they are given."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from scipy.ndimage import maximum_filter

from seatmesh.adjustment import Adjustment, total_depth_mm
from seatmesh.arrays import Bools, Floats
from seatmesh.seating.figures import FELT_SHARE
from seatmesh.seating.hot_spots.spots import SAME_SPOT_MM, Felt, Spot, felt
from seatmesh.seating.sit import press
from seatmesh.seating.sitter import Sitter
from seatmesh.seating.sitting import Sitting
from seatmesh.surface import Seat
from seatmesh.units import MM_PER_INCH
from seatmesh.wood.blank import Blank

BESIDE_MM = 15.0
"""How far from the spot an action is tried too."""
RIDGE_WITHIN_MM = 60.0
"""A spot this near to the centre line may be helped by an action on it, as where a pommel presses both thighs."""
STEEPEST = 0.1
"""Greatest amount over radius: a steeper dimple cannot be blended in with a scraper (common practice)."""
MOST_OF_IT = 0.75
"""The gentlest action that gives this share of the best one's relief is taken."""
CUT_OFF_MM = 0.05
"""An action counts as cut off by the floor or the deck where it takes less than it says by more than this."""


ROUND_POINTS = 32


@dataclass(frozen=True)
class Sizes:
    """The sizes in which a maker is told what to do, mm: circles' diameters, amounts, and the step of places."""

    diameters: tuple[float, ...]
    amounts: tuple[float, ...]
    step: float


SIZES = {
    "mm": Sizes((40.0, 60.0, 90.0, 120.0), (1.0, 2.0, 3.0, 4.0), 1.0),
    "in": Sizes(
        tuple(MM_PER_INCH * inches for inches in (1.5, 2.5, 3.5, 4.75)),
        tuple(MM_PER_INCH * parts / 32.0 for parts in (2, 3, 4, 5)),
        MM_PER_INCH / 16.0,
    ),
}


@dataclass(frozen=True)
class Action:
    """An adjustment that helps, and the peak that it leaves at each spot that it is for, kPa."""

    adjustment: Adjustment
    peaks_kpa: tuple[float, ...]


@dataclass(frozen=True)
class _Trial:
    """What an adjustment did: the least relief over its spots as a share of their peaks, and whether others let it."""

    action: Action
    relief: float
    allowed: bool


@dataclass(frozen=True)
class _Case:
    """A spot, or a mirrored pair of them, with all that every trial is compared with.

    `depth` is the seat's; `own` are the cells of these spots; `before` is the pressure outside them as it was, and
    `nearby` its greatest value within `SAME_SPOT_MM`. All have the shape of the pressure map.
    """

    sitter: Sitter
    seat: Seat
    sitting: Sitting
    spots: tuple[Spot, ...]
    others: tuple[Spot, ...]
    depth: Floats
    own: Bools
    wholes: tuple[Bools, ...]
    before: Floats
    nearby: Floats


def action_for(
    spots: tuple[Spot, ...], others: Iterable[Spot], sitter: Sitter, seat: Seat, sitting: Sitting
) -> Action | None:
    """Return the gentlest carving that helps a spot, or a mirrored pair of spots; None where none does.

    An action helps if, pressed again, all of each of its spots falls by what can be felt (S13), not its middle alone as
    in a broad spot that a small circle cannot ease; while no place
    elsewhere rises by as much as they fall, nor any that presses more than the mean by what can be felt. It neither
    enters the deck nor reaches the floor.
    """
    case = _case_of(spots, tuple(others), sitter, seat, sitting)
    sizes = SIZES[seat.units]
    place = _best_place(case, sizes.diameters[2], sizes.amounts[1])
    tried = [_try(case, place, diameter, amount) for diameter in sizes.diameters for amount in sizes.amounts]
    helping = [trial for trial in tried if trial is not None and trial.allowed and trial.relief >= FELT_SHARE]
    if not helping:
        return None
    enough = MOST_OF_IT * max(trial.relief for trial in helping)
    gentle = [trial for trial in helping if trial.relief >= enough]
    return min(gentle, key=lambda trial: trial.action.adjustment.wood_mm3).action


def _case_of(
    spots: tuple[Spot, ...], others: tuple[Spot, ...], sitter: Sitter, seat: Seat, sitting: Sitting
) -> _Case:
    seen = felt(sitting)
    own = np.logical_or.reduce([seen.within(spot.x_mm, spot.y_mm) for spot in spots])
    before = np.where(own, 0.0, seen.kpa)
    depth = seat.depth_mm(seen.x_mm[None, :], seen.y_mm[:, None])
    nearby = maximum_filter(before, footprint=_disc(seen))
    wholes = tuple(seen.whole(spot) for spot in spots)
    return _Case(sitter, seat, sitting, spots, others, depth, own, wholes, before, nearby)


def _disc(seen: Felt) -> Bools:
    across, along = seen.cell_mm
    x = across * np.arange(-int(SAME_SPOT_MM / across), int(SAME_SPOT_MM / across) + 1)
    y = along * np.arange(-int(SAME_SPOT_MM / along), int(SAME_SPOT_MM / along) + 1)
    return np.asarray(np.hypot(x[None, :], y[:, None]) <= SAME_SPOT_MM)


def _places(case: _Case) -> Iterator[tuple[float, float]]:
    """Yield where an action may be centred: at the spot, beside it to all four sides, on a ridge along the middle."""
    x, y = case.spots[0].x_mm, case.spots[0].y_mm
    for across, along in ((0.0, 0.0), (-1.0, 0.0), (1.0, 0.0), (0.0, -1.0), (0.0, 1.0)):
        yield x + BESIDE_MM * across, y + BESIDE_MM * along
    if BESIDE_MM < abs(x) <= RIDGE_WITHIN_MM:
        yield 0.0, y


def _best_place(case: _Case, diameter: float, amount: float) -> tuple[float, float]:
    """Return the place where an action of middling size helps most; the spot itself where none can be tried."""
    places = list(_places(case))
    tried = [(place, trial) for place in places if (trial := _try(case, place, diameter, amount)) is not None]
    # The spot itself comes first, and a tie stays there.
    best = max(tried, key=lambda one: (one[1].allowed, one[1].relief), default=None)
    return places[0] if best is None else best[0]


def _try(case: _Case, place: tuple[float, float], diameter: float, amount: float) -> _Trial | None:
    """Press again with an action; None where it cannot be carved as it is said."""
    adjustment = _adjustment(case, place, diameter, amount)
    if adjustment.amount_mm > STEEPEST * adjustment.radius_mm or _is_cut_off(case, adjustment):
        return None
    carved = replace(case.seat, adjustments=(*case.seat.adjustments, adjustment))
    again = press(case.sitter, carved, case.sitting.pose.load.force_n, start=case.sitting.pose)
    if not again.converged:
        return None
    after = felt(again)
    peaks = tuple(after.peak_at(spot) for spot in case.spots)
    lowered = min(spot.peak_kpa - peak for spot, peak in zip(case.spots, peaks, strict=True))
    sides = (1.0, -1.0) if adjustment.side == "both" else (1.0,)
    at = [(side * adjustment.x_mm, adjustment.y_mm, adjustment.radius_mm) for side in sides]
    circle = np.logical_or.reduce([after.within(*one) for one in at])
    left = (float(after.kpa[whole | circle].max()) for whole in case.wholes)
    relief = min(1.0 - peak / spot.peak_kpa for spot, peak in zip(case.spots, left, strict=True))
    return _Trial(Action(adjustment, peaks), relief, _others_allow(case, after, lowered))


def _adjustment(case: _Case, place: tuple[float, float], diameter: float, amount: float) -> Adjustment:
    """Return the action in sizes that can be told, its circle moved forward where it would enter the deck."""
    step, radius = SIZES[case.seat.units].step, 0.5 * diameter
    x = step * round(place[0] / step)
    y = step * round(place[1] / step)
    while y < case.seat.blank.depth_mm and _reaches_deck(case.seat.blank, x, y, radius):
        y += step
    return Adjustment(x, y, radius, amount, "both" if len(case.spots) > 1 and x != 0.0 else "one")


def _reaches_deck(blank: Blank, x: float, y: float, radius: float) -> bool:
    turn = np.linspace(0.0, 2.0 * np.pi, ROUND_POINTS, endpoint=False)
    ahead = blank.ahead_of_deck_mm(x + radius * np.cos(turn), y + radius * np.sin(turn))
    return bool(ahead.min() < -1e-9)


def _is_cut_off(case: _Case, adjustment: Adjustment) -> bool:
    """Tell whether floor, deck or the blank's edge keeps the action from taking what it says."""
    blank = case.seat.blank
    if abs(adjustment.x_mm) > 0.5 * blank.width_mm or adjustment.y_mm > blank.depth_mm:
        return True
    x, y = case.sitting.x_mm[None, :], case.sitting.y_mm[:, None]
    carved = replace(case.seat, adjustments=(*case.seat.adjustments, adjustment))
    missing = total_depth_mm([adjustment], x, y) - (carved.depth_mm(x, y) - case.depth)
    return bool(np.max(np.abs(missing), where=case.sitting.wood > 0, initial=0.0) > CUT_OFF_MM)


def _others_allow(case: _Case, after: Felt, lowered: float) -> bool:
    """Tell whether all that is not the action's own spots rises too little to spoil it."""
    mean = float(case.sitting.figures.mean_kpa)
    risen = after.maxima() & ~case.own
    pairs = [(case.nearby[risen], after.kpa[risen])]
    for spot in case.others:
        near = after.within(spot.x_mm, spot.y_mm) & ~case.own
        if near.any():
            pairs.append((case.before[near].max(keepdims=True), after.kpa[near].max(keepdims=True)))
    was, now = (np.concatenate(values) for values in zip(*pairs, strict=True))
    felt_more = (now > mean) & (now >= (1.0 + FELT_SHARE) * was)
    return bool(np.all(now - was < lowered) and not felt_more.any())

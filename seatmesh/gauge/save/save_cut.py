"""Saving a deep cut: wood cannot be put back, so the seat goes down to it, fairly and by the least wood there is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from seatmesh.adjustment import total_depth_mm
from seatmesh.arrays import Floats
from seatmesh.errors import NotAmongError, ValueRefusedError
from seatmesh.fit.bounded.bounds import bounds_over
from seatmesh.fit.fair.fairness import undulations
from seatmesh.front_roll import front_roll_depth
from seatmesh.gauge.check.check_readings import GaugeCheck
from seatmesh.gauge.save.gouge import Gouge
from seatmesh.gauge.save.least_wood import LeastWood, as_cut, least_overstep, solved_within, symmetric
from seatmesh.gauge.save.save_wood import WoodAsCut, refuse_doubted, wood_of
from seatmesh.place_words import roughly
from seatmesh.solution import Solution
from seatmesh.spline import BicubicSpline
from seatmesh.surface import Seat
from seatmesh.units import format_length, real_number, shown

Sides = Literal["symmetric", "as cut"]
SIDES: tuple[Sides, ...] = ("symmetric", "as cut")

CURVATURES = (1.2e-3, 8e-4, 5e-4, 3e-4)
"""Most curvature, per mm, of what is taken beyond the drawn seat; the first that leaves no new undulation is taken. At
the first, 80 mm long waves are 0.4 mm crest to trough at most; a hollow's own walls have some 7e-3."""
SURFACE_STEP_MM = 3.0
HELD_MM = 1e-3
"""By how much a new seat may miss the wood or the seat as drawn: what an interior-point answer leaves."""


@dataclass(frozen=True)
class Saved:
    """What becomes of a deep cut.

    Attributes
    ----------
    seat
        The nearest fair seat; None where there is none.
    verdict
        "saved", or in words why there is none.
    further_cm3
        Wood that it takes beyond the drawn seat.
    most_mm
        How much deeper than drawn it is where that is most, and where (x, y).
    floor_left_mm
        Least wood under it; without a seat, what the cut, or the fairest seat through it, would leave.
    fair
        Whether it has no more undulations than the drawn seat.
    curvature_per_mm
        Most curvature of what is taken beyond the drawn seat.
    programme, solution
        What was solved last.
    notes
        What was left out of account, in words.

    Examples
    --------
    >>> from seatmesh import Gouge, Order, OrderedSitter, estimate_body, save_cut, shape_seat
    >>> seat = shape_seat(Order("Anna", (OrderedSitter(estimate_body("female", 1640, 61)),)))
    >>> saved = save_cut(seat, gouges=[Gouge(60.0, 150.0, 30.0, 1.0)])
    >>> saved.verdict, saved.fair, saved.most_mm >= 1.0
    ('saved', True, True)
    """

    seat: Seat | None
    verdict: str
    further_cm3: float
    most_mm: float
    most_at_mm: tuple[float, float]
    floor_left_mm: float
    fair: bool
    curvature_per_mm: float
    programme: LeastWood
    solution: Solution[Floats]
    notes: tuple[str, ...]


def save_cut(
    seat: Seat,
    check: GaugeCheck | None = None,
    gouges: Sequence[Gouge] = (),
    sides: Sides = "symmetric",
    scatter_mm: float = 0.0,
) -> Saved:
    """Return the nearest fair seat at or below the wood at every reading that is borne out and inside stated gouges.

    It is nowhere shallower than the drawn seat, keeps floor, joints and deck, and takes the least further wood.

    Parameters
    ----------
    check
        Readings, checked against this seat; None without any.
    gouges
        Bowls known by middle, radius and depth.
    sides
        "symmetric" takes alike on both sides; "as cut" may leave left and right unlike.
    scatter_mm
        How far single readings that were not confirmed may stay below the seat: their scatter. With 0 all are met.

    Raises
    ------
    ValueRefusedError
        The seat is flat, there is nothing to save, a gouge lies off the blank, or a word or length is out of range.
    FileRefusedError
        Readings are in doubt that would make the seat another one: they are to be read again first.

    Examples
    --------
    >>> from seatmesh import Gouge, Order, OrderedSitter, estimate_body, save_cut, shape_seat
    >>> seat = shape_seat(Order("Anna", (OrderedSitter(estimate_body("female", 1640, 61)),)))
    >>> saved = save_cut(seat, gouges=[Gouge(60.0, 150.0, 30.0, 1.0)])
    >>> float(saved.seat.depth_mm(60.0, 150.0) - seat.depth_mm(60.0, 150.0)) >= 1.0
    True
    """
    _refuse_words(check, gouges, sides, scatter_mm)
    hollow = seat.hollow
    if hollow is None:
        raise ValueRefusedError("seat", "a flat seat", "a carved one is allowed", "copy the readings instead")
    wood = wood_of(seat, check, gouges, scatter_mm)
    if not wood.ahead.all():
        on_deck = _asked(seat, hollow, wood, sides, CURVATURES[0])
        return _lost(seat, *on_deck, wood)
    before = undulations(seat)
    best: Saved | None = None
    for curvature in CURVATURES:
        programme, solution = _asked(seat, hollow, wood, sides, curvature)
        if not solution.converged:
            break
        new = replace(
            seat,
            hollow=programme.hollow(solution.value),
            title=f"{seat.title}, saved",
            ending=solution.ending,
        )
        if not _holds(seat, new, wood):
            break
        if check is not None:
            refuse_doubted(check, new, scatter_mm)
        best = _saved(seat, new, programme, solution, curvature, before, wood.notes)
        if best.fair:
            return best
    if best is None:
        return _lost(seat, programme, solution, wood)
    return replace(best, notes=(*best.notes, "a hand may feel where the new surface turns: fair it by eye"))


def _refuse_words(check: GaugeCheck | None, gouges: Sequence[Gouge], sides: str, scatter_mm: float) -> None:
    if sides not in SIDES:
        raise NotAmongError("sides", shown(sides), SIDES)
    if check is None and not gouges:
        raise ValueRefusedError("cut", "none", "readings, gouges or both", "state what was cut too deep")
    if not 0.0 <= real_number("scatter_mm", scatter_mm) <= 2.0:
        raise ValueRefusedError("scatter_mm", shown(scatter_mm), "allowed is 0 to 2 mm", "give 0.25 or so")


def _asked(
    seat: Seat, hollow: BicubicSpline, wood: WoodAsCut, sides: Sides, curvature: float
) -> tuple[LeastWood, Solution[Floats]]:
    """Lay out and solve the programme for the wood as it is."""
    x, y = wood.x_mm, wood.y_mm
    # Nothing is asked of the hollow where the seat as drawn, gutter and adjustments and all, lies below the wood.
    asks = (seat.blank.ahead_of_deck_mm(x, y) > 0.0) & (wood.depth_mm > seat.depth_mm(x, y))
    x, y = x[asks], y[asks]
    roll = front_roll_depth(seat.blank.depth_mm - y, seat.front_roll_mm)
    # Adjustments stay on the new seat as they are: folded into a spline they would come out shallower in places.
    below = wood.depth_mm[asks] - roll - total_depth_mm(seat.adjustments, x, y)
    bounds = bounds_over(seat, hollow.knots_x, hollow.knots_y)
    spread = symmetric(hollow) if sides == "symmetric" else as_cut(hollow)
    return solved_within(hollow, spread, (x, y), below, curvature, bounds)


def _holds(seat: Seat, new: Seat, wood: WoodAsCut) -> bool:
    """Tell whether a new seat lies at or below the wood at all places, and nowhere above the seat as drawn."""
    x, y = np.broadcast_arrays(*seat.blank.grid_mm(SURFACE_STEP_MM))
    ahead = seat.blank.ahead_of_deck_mm(wood.x_mm, wood.y_mm) > 0.0
    met = wood.depth_mm[ahead] - new.depth_mm(wood.x_mm[ahead], wood.y_mm[ahead])
    shallower = seat.depth_mm(x, y) - new.depth_mm(x, y)
    return bool(max(met.max(initial=0.0), shallower.max()) <= HELD_MM)


def _saved(
    seat: Seat,
    new: Seat,
    programme: LeastWood,
    solution: Solution[Floats],
    curvature: float,
    before: int,
    notes: tuple[str, ...],
) -> Saved:
    blank = seat.blank
    x, y = np.broadcast_arrays(*blank.grid_mm(SURFACE_STEP_MM))
    cell_mm2 = (x[0, 1] - x[0, 0]) * (y[1, 0] - y[0, 0])
    wood = blank.inside_mm(x, y) >= 0.0
    deeper = np.where(wood, new.depth_mm(x, y) - seat.depth_mm(x, y), 0.0)
    left = np.where(wood, new.wood_left_mm(x, y), np.inf)
    most = np.unravel_index(int(np.argmax(deeper)), deeper.shape)
    return Saved(
        seat=new,
        verdict="saved",
        further_cm3=float(deeper.sum() * cell_mm2) / 1000.0,
        most_mm=float(deeper[most]),
        most_at_mm=(float(x[most]), float(y[most])),
        floor_left_mm=float(left.min()),
        fair=undulations(new) <= before,
        curvature_per_mm=curvature,
        programme=programme,
        solution=solution,
        notes=notes,
    )


def _lost(seat: Seat, programme: LeastWood, solution: Solution[Floats], wood: WoodAsCut) -> Saved:
    """Say why there is no fair seat, and what wood would be left."""
    units, blank = seat.units, seat.blank
    floor = blank.wood_under_mm(wood.x_mm, wood.y_mm, wood.depth_mm)
    worst = int(np.argmin(floor))
    at, left = (float(wood.x_mm[worst]), float(wood.y_mm[worst])), float(floor[worst])
    over = 0.0
    if not wood.ahead.all():
        k = int(np.argmax(np.where(wood.ahead, -np.inf, wood.depth_mm)))
        place = roughly(float(wood.x_mm[k]), float(wood.y_mm[k]), units)
        why = f"the cut goes into the deck ({place}), which stays flat"
    elif left < blank.floor_mm:
        why = (
            f"the cut itself leaves {format_length(left, units)} of wood ({roughly(*at, units)}) where the floor "
            f"asks for {format_length(blank.floor_mm, units)}"
        )
    else:
        give = least_overstep(programme)
        over = give.value[0] if give.converged else float("nan")
        if over > 0.01:
            left = min(left, blank.floor_mm - over)
            why = (
                f"the fairest seat through it would pass the bounds of floor, joints or deck line by "
                f"{format_length(over, units, decimals=2)}; about {format_length(left, units)} of wood would be left"
            )
        else:
            why = solution.verdict
    return Saved(
        seat=None,
        verdict=f"no fair seat saves this cut: {why}. A patch let in, or a thicker blank, is what is left",
        further_cm3=0.0,
        most_mm=over,
        most_at_mm=at,
        floor_left_mm=left,
        fair=False,
        curvature_per_mm=CURVATURES[0],
        programme=programme,
        solution=solution,
        notes=wood.notes,
    )

"""From an order to a seat: fit, improve, adjust, and press every sitter on what came of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from seatmesh.design.deck_that_bears import refuse_deck
from seatmesh.design.log.fitting_log import adjusted, effects, peak_on
from seatmesh.design.orders.order import Order
from seatmesh.design.steps import part, step
from seatmesh.errors import NotSolvedError
from seatmesh.fit.bounded.cost_of_bounds import NOTHING, HeldBack, most_held_back
from seatmesh.fit.hollow import FAIRNESS_MM, Guest, HollowFit, fair, prepare
from seatmesh.fit.search.best import best_hollow
from seatmesh.fit.search.lowest_place import with_lowest_place
from seatmesh.seating.settle import settle
from seatmesh.seating.sit import press
from seatmesh.seating.sitter import lay_over
from seatmesh.seating.sitting import Sitting
from seatmesh.solution import Ending, Solution
from seatmesh.surface import Seat
from seatmesh.units import MM_PER_INCH

SHARED_SHARE = 0.25
"""Share of the work for several sitters that the seat they share takes; a seat for each alone takes the rest."""
DEPTHS_MM = {
    "mm": (0.0, 6.0, 10.0, 14.0, 18.0, 22.0),
    "in": tuple(MM_PER_INCH * eighths / 8.0 for eighths in (0, 2, 3, 4, 5, 6, 7)),
}
"""Depths at which the peak is stated, round in the order's unit, so that a maker sees what each step buys."""


@dataclass(frozen=True)
class SitterResult:
    """One sitter on the flat blank, on the seats that came of the order, and on seats of other depths.

    Attributes
    ----------
    best
        On the finished seat: the best that was found, adjusted as the order says.
    before_adjustments_kpa
        Peak on the best seat before any adjustment.
    own_seat_kpa, own_seat_ending
        Peak on a seat made for this sitter alone with the same wood and wishes, and how the search for it ended; None
        where the seat is that.
    """

    flat: Sitting
    closed_form: Sitting
    best: Sitting
    peak_by_depth: tuple[tuple[float, float], ...]
    before_adjustments_kpa: float
    own_seat_kpa: float | None = None
    own_seat_ending: Ending | None = None


@dataclass(frozen=True)
class Design:
    """A seat and the reasons for it.

    Attributes
    ----------
    seat
        The finished seat: the best that was found, adjusted as the order says.
    closed_form, unadjusted
        The seat that the best was improved from, and the best before any adjustment.
    guests, results
        One for each sitter of the order: laid over the blank, and pressed on the seats.
    effects
        What each adjustment in turn does to every sitter's peak; see `seatmesh.design.log.fitting_log.effects`.
    fairness_mm
        Length below which the best seat prefers a fair curve to what the pressure asks for.
    held_back
        The greatest depth that it cost the closed form that its bounds hold everywhere, and where.
    """

    order: Order
    seat: Seat
    closed_form: Seat
    unadjusted: Seat
    guests: tuple[Guest, ...]
    results: tuple[SitterResult, ...]
    effects: tuple[dict[str, Any], ...] = ()
    fairness_mm: float = FAIRNESS_MM
    held_back: HeldBack = NOTHING


def shape_seat(order: Order) -> Seat:
    """Return the seat for an order.

    Raises
    ------
    NotSolvedError
        A sitter does not balance, or the spline programme found no answer; the message says why. A search for the best
        hollow that stopped before it settled raises nothing: the seat's `ending` says so.

    Examples
    --------
    >>> from seatmesh import Order, OrderedSitter, estimate_body, flat_seat, shape_seat, sit
    >>> body = estimate_body("female", 1640, 61)
    >>> seat = shape_seat(Order("Anna", (OrderedSitter(body),)))
    >>> sit(body, seat).figures.peak_kpa < sit(body, flat_seat()).figures.peak_kpa
    True
    """
    return adjusted(_shape(order).best, order.log)


def design(order: Order) -> Design:
    """Return the seat for an order with all that a report says about it; raises as `shape_seat`."""
    count = len(order.sitters)
    with part(0.0, SHARED_SHARE if count > 1 else 0.7):
        made = _shape(order)
    guests, fit, best = made.guests, made.fit, made.best
    depth = order.wishes.depth_mm
    seat = adjusted(best, order.log)
    # At the wished depth it is what the best was improved from.
    shaped = {one: _solved(fit.shaped(one)) for one in depths_of(order) if one != depth} | {depth: made.first}
    with part(SHARED_SHARE, 0.95):
        owns = _own_seats(order, guests)
    step("pressing every sitter on the seats", 0.95)
    closed = [_bearing(press(guest.sitter, shaped[depth]), order) for guest in guests]
    results = tuple(
        SitterResult(
            flat=guest.on_flat,
            closed_form=on_closed,
            best=_balanced(press(guest.sitter, seat)),
            peak_by_depth=_peaks_by_depth(guest, shaped, depths_of(order)),
            before_adjustments_kpa=peak_on(guest.sitter, best),
            own_seat_kpa=None if own is None else peak_on(guest.sitter, own),
            own_seat_ending=None if own is None else own.ending,
        )
        for guest, own, on_closed in zip(guests, owns, closed, strict=True)
    )
    did = effects(best, order.log, [guest.sitter for guest in guests])
    cost = most_held_back(fit, shaped[depth])
    return Design(order, seat, shaped[depth], best, guests, results, tuple(did), made.fairness_mm, cost)


def best_seat(guests: Sequence[Guest], order: Order) -> Seat:
    """Return the best seat, before any adjustment, for sitters who are laid over an order's blank.

    Raises
    ------
    NotSolvedError
        The spline programme found no answer.
    """
    return _fitted(tuple(guests), _bare(order), order).best


def log_effects(order: Order) -> tuple[Seat, list[dict[str, Any]]]:
    """Return the best seat before any adjustment, and what each does to every sitter's peak; raises as `shape_seat`."""
    made = _shape(order)
    return made.best, effects(made.best, order.log, [guest.sitter for guest in made.guests])


def _peaks_by_depth(
    guest: Guest, shaped: Mapping[float, Seat], depths: Sequence[float]
) -> tuple[tuple[float, float], ...]:
    """Return a sitter's peak at each depth at which the sitter finds a balance."""
    out: list[tuple[float, float]] = []
    pose = guest.on_flat.pose
    for depth in depths:
        settled = settle(guest.sitter, shaped[depth], start=pose)
        if settled.solution.converged:
            pose = settled.solution.value
            out.append((depth, settled.peak_kpa))
    return tuple(out)


def _own_seats(order: Order, guests: Sequence[Guest]) -> list[Seat | None]:
    """Return a seat made for each sitter alone; None for one who has the seat alone anyway."""
    if len(guests) == 1:
        return [None]
    owns: list[Seat | None] = []
    for done, guest in enumerate(guests):
        step(f"shaping a seat for {guest.sitter.body.name} alone", done, len(guests))
        owns.append(best_seat((guest,), order))
    return owns


def _bare(order: Order) -> Seat:
    return Seat(blank=order.blank, chair=order.chair, title=order.title, units=order.units)


@dataclass(frozen=True)
class _Made:
    """What is made of an order before adjustments: closed form, best seat, its fairness length, and the fit behind."""

    guests: tuple[Guest, ...]
    fit: HollowFit
    fairness_mm: float
    first: Seat
    best: Seat


def _shape(order: Order) -> _Made:
    bare = _bare(order)
    guests = []
    for done, one in enumerate(order.sitters):
        step(f"seating {one.body.name} on the bare blank", 0.3 * done, len(order.sitters))
        sitter = lay_over(one.body, bare)
        guests.append(Guest(sitter, _bearing(press(sitter, bare), order), one.weight))
    step("looking for the best seat", 0.3)
    return _fitted(tuple(guests), bare, order)


def _fitted(guests: tuple[Guest, ...], bare: Seat, order: Order) -> _Made:
    """Fit a seat to some sitters, and improve it."""
    depth = order.wishes.depth_mm
    fit, first = fair(with_lowest_place(prepare(guests, bare, order.wishes), guests, depth), depth)
    if _solved(first).hollow is None:
        return _Made(guests, fit, fit.fairness_mm, first.value, first.value)
    length, best = best_hollow(fit, guests, depth, first)
    return _Made(guests, fit, length, first.value, replace(best.value, ending=best.ending))


def depths_of(order: Order) -> tuple[float, ...]:
    """Return the depths at which an order's peaks are stated: those that its blank leaves room for."""
    return tuple(depth for depth in DEPTHS_MM[order.units] if depth <= order.blank.greatest_depth_mm)


def _bearing(sitting: Sitting, order: Order) -> Sitting:
    """Return a sitting that found its balance; whoever topples for too much deck is told how much there may be."""
    if not sitting.converged and order.blank.deck_mm > 0.0:
        refuse_deck(order, sitting.body)
    return _balanced(sitting)


def _balanced(sitting: Sitting) -> Sitting:
    if not sitting.converged:
        raise NotSolvedError(f"{sitting.body.name} on '{sitting.seat.title}': {sitting.verdict}")
    return sitting


def _solved(solution: Solution[Seat]) -> Seat:
    if not solution.converged:
        raise NotSolvedError(solution.verdict)
    return solution.value

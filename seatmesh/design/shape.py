"""From an order to a seat: fit, improve, and press every sitter on what came of it."""

from __future__ import annotations

from dataclasses import dataclass

from seatmesh.design.order import Order
from seatmesh.errors import NotSolvedError
from seatmesh.fit.best import best_hollow
from seatmesh.fit.hollow import Guest, HollowFit, fair, prepare
from seatmesh.seating.settle import settle
from seatmesh.seating.sit import press
from seatmesh.seating.sitter import lay_over
from seatmesh.seating.sitting import Sitting
from seatmesh.solution import Solution
from seatmesh.surface import Seat

DEPTHS_MM = (0.0, 6.0, 10.0, 14.0, 18.0, 22.0)
"""Depths at which the peak is stated, so that a maker sees what each millimetre buys."""


@dataclass(frozen=True)
class SitterResult:
    """One sitter on the flat blank, on the closed-form seat, on the best seat, and on seats of other depths."""

    flat: Sitting
    closed_form: Sitting
    best: Sitting
    peak_by_depth: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Design:
    """A seat and the reasons for it.

    Attributes
    ----------
    seat
        The best seat that was found; `closed_form` the one that it was improved from.
    guests, results
        One for each sitter of the order: laid over the blank, and pressed on the seats.
    """

    order: Order
    seat: Seat
    closed_form: Seat
    guests: tuple[Guest, ...]
    results: tuple[SitterResult, ...]


def shape_seat(order: Order) -> Seat:
    """Return the seat for an order.

    Raises
    ------
    NotSolvedError
        A sitter does not balance, or the spline programme found no answer; the message says why.
    """
    _, _, best = _shape(order)
    return best


def design(order: Order) -> Design:
    """Return the seat for an order with all that a report says about it; raises as `shape_seat`."""
    guests, fit, best = _shape(order)
    depth = order.wishes.depth_mm
    shaped = {one: _solved(fit.shaped(one)) for one in {*_depths(order), depth}}
    results = tuple(
        SitterResult(
            flat=guest.on_flat,
            closed_form=_balanced(press(guest.sitter, shaped[depth])),
            best=_balanced(press(guest.sitter, best)),
            peak_by_depth=tuple((one, settle(guest.sitter, shaped[one]).peak_kpa) for one in _depths(order)),
        )
        for guest in guests
    )
    return Design(order, best, shaped[depth], guests, results)


def _shape(order: Order) -> tuple[tuple[Guest, ...], HollowFit, Seat]:
    bare = Seat(blank=order.blank, chair=order.chair, title=order.title, units=order.units)
    guests = []
    for one in order.sitters:
        sitter = lay_over(one.body, bare)
        guests.append(Guest(sitter, _balanced(press(sitter, bare)), one.weight))
    fit, first = fair(prepare(guests, bare, order.wishes), order.wishes.depth_mm)
    _solved(first)
    if first.value.hollow is None:
        return tuple(guests), fit, first.value
    return tuple(guests), fit, _solved(best_hollow(fit, guests, order.wishes.depth_mm, first))


def _depths(order: Order) -> tuple[float, ...]:
    return tuple(depth for depth in DEPTHS_MM if depth <= order.blank.greatest_depth_mm)


def _balanced(sitting: Sitting) -> Sitting:
    if not sitting.converged:
        raise NotSolvedError(f"{sitting.body.name} on '{sitting.seat.title}': {sitting.verdict}")
    return sitting


def _solved(solution: Solution[Seat]) -> Seat:
    if not solution.converged:
        raise NotSolvedError(solution.verdict)
    return solution.value

"""A seat at once: the closed form alone, for a maker who is still moving a wish."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from seatmesh.body.body import Body
from seatmesh.design.log.fitting_log import adjusted
from seatmesh.design.orders.order import Order
from seatmesh.errors import NotSolvedError
from seatmesh.fit.hollow import Guest, fair, prepare
from seatmesh.fit.search.lowest_place import with_lowest_place
from seatmesh.seating.sit import press
from seatmesh.seating.sitter import Sitter, lay_over
from seatmesh.seating.sitting import Sitting
from seatmesh.surface import Seat


@dataclass(frozen=True)
class Preview:
    """The closed-form seat of an order, adjusted as it says, and every sitter on it."""

    seat: Seat
    sittings: tuple[Sitting, ...]


def preview(order: Order) -> Preview:
    """Return the closed-form seat of an order: what `design` improves on, in a fraction of its time.

    Raises
    ------
    NotSolvedError
        A sitter does not balance, or the spline programme found no answer; the message says why.
    """
    bare = Seat(blank=order.blank, chair=order.chair, title=order.title, units=order.units)
    guests = [_guest(one.body, bare, one.weight) for one in order.sitters]
    depth = order.wishes.depth_mm
    fit = with_lowest_place(prepare(guests, bare, order.wishes), guests, depth)
    _, first = fair(fit, depth)
    if not first.converged:
        raise NotSolvedError(first.verdict)
    seat = replace(adjusted(first.value, order.log), ending=first.ending)
    sittings = tuple(press(guest.sitter, seat) for guest in guests)
    for one in (*(guest.on_flat for guest in guests), *sittings):
        if not one.converged:
            raise NotSolvedError(f"{one.body.name} on '{seat.title}': {one.verdict}")
    return Preview(seat, sittings)


def _guest(body: Body, bare: Seat, weight: float) -> Guest:
    """Return a guest; a wish that moves changes neither the body over the blank nor how it presses the flat."""
    sitter, on_flat = _on_flat(body, bare)
    return Guest(sitter.again(), on_flat, weight)


@lru_cache(maxsize=12)
def _on_flat(body: Body, bare: Seat) -> tuple[Sitter, Sitting]:
    sitter = lay_over(body, bare)
    return sitter, press(sitter, bare)

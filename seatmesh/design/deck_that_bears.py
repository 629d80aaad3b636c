"""A deck that leaves too little of the seat: the sitter topples, and a smaller deck is what helps."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from seatmesh.body.body import Body
from seatmesh.design.orders.order import Order
from seatmesh.errors import SeatmeshError, ValueRefusedError
from seatmesh.fit.hollow import Guest, fair, prepare
from seatmesh.fit.search.lowest_place import with_lowest_place
from seatmesh.refused import Advice, at, bare, less, said, word
from seatmesh.seating.sit import press
from seatmesh.seating.sitter import lay_over
from seatmesh.surface import Seat

STEP_MM = 5.0
LESS_MM = (0.0, 10.0, 20.0, 40.0, 60.0)
"""How much less deck than the next round figure is tried, in turn."""


def refuse_deck(order: Order, body: Body) -> None:
    """Refuse an order's deck if it is why a body finds no balance: if on a seat with less deck all do.

    Raises
    ------
    ValueRefusedError
        It names the deck, and one with which everybody balances.
    """
    round_mm = STEP_MM * (np.ceil(order.blank.deck_mm / STEP_MM) - 1.0)
    for deck_mm in (float(round_mm - off) for off in LESS_MM if round_mm - off > 0.0):
        if _bears(replace(order, blank=replace(order.blank, deck_mm=deck_mm))):
            raise ValueRefusedError(
                at("blank.deck_mm"),
                said("{}", bare("blank.deck_mm", order.blank.deck_mm)),
                said("so little of the seat is left before the deck that '{}' topples", word(body.name)),
                Advice((less("blank.deck_mm", deck_mm),), text=f"give {deck_mm:g} or less"),
            )


def _bears(order: Order) -> bool:
    """Whether all find a balance on the bare blank and on the fitted seat of an order."""
    flat = Seat(blank=order.blank, chair=order.chair, title=order.title, units=order.units)
    depth, guests = order.wishes.depth_mm, []
    for one in order.sitters:
        sitter = lay_over(one.body, flat)
        guests.append(Guest(sitter, press(sitter, flat), one.weight))
    if not all(guest.on_flat.converged for guest in guests):
        return False
    try:
        seat = fair(with_lowest_place(prepare(guests, flat, order.wishes), guests, depth), depth)[1]
    except SeatmeshError:
        return False
    return seat.converged and all(press(guest.sitter, seat.value).converged for guest in guests)

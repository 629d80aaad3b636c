"""A deck that leaves too little of the seat: the sitter topples, and a smaller deck is what helps."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from seatmesh.body.body import Body
from seatmesh.design.orders.order import Order
from seatmesh.design.preview import preview
from seatmesh.errors import SeatmeshError, ValueRefusedError
from seatmesh.refused import Advice, at, bare, less, said, word

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
    try:
        preview(order)
    except SeatmeshError:
        return False
    return True

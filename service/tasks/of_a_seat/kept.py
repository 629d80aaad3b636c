"""A kept seat and its order as the library has them."""

from __future__ import annotations

from typing import Any

from seatmesh.body.body import Body
from seatmesh.body.body_file import body_from_table
from seatmesh.design.orders.order import Order, order_from_table
from seatmesh.design.orders.order_sitters import find_body
from seatmesh.errors import InputError, ValueRefusedError
from seatmesh.formats.seat_file import seat_from_bytes
from seatmesh.surface import Seat
from seatmesh.units import shown

from ...keeping.kept import KeptSeat
from ..carry_out import SeatGoneError


def kept_order(kept: KeptSeat) -> Order:
    """Return the order of a kept seat."""
    return read_order_table(kept.order)


def read_order_table(table: dict[str, Any]) -> Order:
    """Return the order that was posted; no path in it reaches the file system."""
    return order_from_table(table, "order", "seat")


def seat_file(kept: KeptSeat) -> bytes:
    """Return the seat file, which commands and Python read."""
    return kept.seat_file


def kept_seat(kept: KeptSeat) -> Seat:
    """Return a kept seat.

    Raises
    ------
    SeatGoneError
        Its file is damaged.
    """
    try:
        return seat_from_bytes(kept.seat_file)
    except InputError as error:
        # It was written by this service, so it is damaged: made again it is whole.
        raise SeatGoneError from error


def nth_sitter(kept: KeptSeat, number: int) -> Body:
    """Return the body of a sitter of a kept seat's order, corrected by its marks; they are numbered from 1.

    Raises
    ------
    ValueRefusedError
        The order has no such sitter.
    """
    sitters = kept_order(kept).sitters
    if number > len(sitters):
        raise ValueRefusedError(
            "sitter",
            f"{number}",
            f"1 to {len(sitters)} on this seat",
            "give the place of a sitter in the order",
        )
    return sitters[number - 1].body


def bodies_of(given: list[Any]) -> list[Body]:
    """Return bodies that are written out as tables, or named among those that come with the tool.

    Raises
    ------
    InputError
        One is neither.
    """
    return [_body(one, number) for number, one in enumerate(given, start=1)]


def _body(given: Any, number: int) -> Body:
    if isinstance(given, dict):
        return body_from_table(given, f"bodies {number}", f"sitter {number}")
    if isinstance(given, str) and given:
        return find_body(given, None)
    raise ValueRefusedError(
        f"bodies {number}", shown(given), "a name or a table", "name a body, or write its measures out"
    )

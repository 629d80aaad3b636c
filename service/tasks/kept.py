"""A kept seat and its order, read back by a worker."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from seatmesh.body.body import Body
from seatmesh.body.body_file import body_from_table
from seatmesh.design.orders.order import Order, order_from_table
from seatmesh.design.orders.order_sitters import find_body
from seatmesh.errors import InputError, ValueRefusedError
from seatmesh.formats.seat_file import read_seat
from seatmesh.surface import Seat
from seatmesh.units import shown

from ..keeping.seat_folders import ORDER, SEAT, is_file, is_folder, read_bytes, seat_folder
from .carry_out import SeatGoneError


def kept_order_table(folder: Path, seat: str) -> dict[str, Any]:
    """Return the order of a kept seat as it was posted, in canonical form."""
    try:
        table: dict[str, Any] = json.loads(read_bytes(folder, seat, ORDER))
    except (OSError, ValueError) as error:
        raise SeatGoneError from error
    return table


def kept_order(folder: Path, seat: str) -> Order:
    """Return the order of a kept seat."""
    return read_order_table(kept_order_table(folder, seat))


def read_order_table(table: dict[str, Any]) -> Order:
    """Return the order that was posted; no path in it reaches the file system."""
    return order_from_table(table, "order", "seat")


def kept_seat(folder: Path, seat: str) -> Seat:
    """Return a kept seat."""
    path = seat_folder(folder, seat) / SEAT
    if not is_folder(path.parent) or not is_file(path):
        raise SeatGoneError
    try:
        return read_seat(path)
    except InputError as error:
        # It was written by this service, so it is damaged: made again it is whole.
        raise SeatGoneError from error


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

"""The boards of an order in the report and on the job sheet: what they are, what they weigh, how much they move."""

from __future__ import annotations

from typing import Any

from seatmesh.design.orders.order import Order
from seatmesh.surface import Seat
from seatmesh.units import format_change, format_length, format_mass
from seatmesh.wood.boards.plank import rough_boards
from seatmesh.woodwork.masses import masses
from seatmesh.woodwork.seat_movement import seat_movement


def boards_report(order: Order, seat: Seat) -> dict[str, Any] | None:
    """Return boards, mass and movement of a seat; None where the order has no boards."""
    if not order.boards:
        return None
    layup = order.layup
    return {
        "boards": [
            {
                "width_mm": board.width_mm,
                "species": board.species.name,
                "rings": board.cut_word,
                "bark": board.bark,
                "turned": board.is_turned,
            }
            for board in layup.boards
        ],
        "mass_kg": masses(seat, layup, rough_boards(layup, order.wood)).mass_kg,
        "movement": [
            {"room": one.room.name, "to_percent": one.to_percent, "width_change_mm": one.width_change_mm}
            for one in seat_movement(seat.blank, layup, order.wood)
        ],
    }


def board_lines(wood: dict[str, Any], units: str) -> list[str]:
    """Return boards, mass and movement in words."""
    parts = [
        f"{format_length(one['width_mm'], units)} {one['species']}, {one['rings']}, bark {one['bark']}"
        + (", turned" if one["turned"] else "")
        for one in wood["boards"]
    ]
    mass = wood["mass_kg"]
    rooms = "; ".join(
        f"{one['room']} (wood at {one['to_percent']:.1f} %) {format_change(one['width_change_mm'], units)}"
        for one in wood["movement"]
    )
    return [
        "From the sitter's left: " + "; ".join(parts) + ".",
        f"The finished seat weighs about {format_mass(mass, units)}.",
        f"Its width moves: {rooms}.",
    ]

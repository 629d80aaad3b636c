"""seatmesh: carved solid-wood seats, fitted to their sitters.

Public names are loaded when they are first used, so that importing the package costs nothing.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from seatmesh.body.body import Body, Habit, Measure
    from seatmesh.body.body_file import read_body
    from seatmesh.body.survey.estimate import estimate_body
    from seatmesh.chair import Chair
    from seatmesh.design.orders.order import Order, read_order
    from seatmesh.design.shape import shape_seat
    from seatmesh.errors import InputError, NotSolvedError, SeatmeshError
    from seatmesh.fit.wishes import Wishes
    from seatmesh.formats.mesh_file import write_mesh
    from seatmesh.formats.seat_file import read_seat, write_seat
    from seatmesh.mesh import Mesh
    from seatmesh.seating.sit import sit
    from seatmesh.seating.sitting import Sitting
    from seatmesh.solids.carved import solid
    from seatmesh.surface import Seat, flat_seat
    from seatmesh.wood.blank import Blank

__version__ = "0.1.0"

_HOME = {
    "Blank": "wood.blank",
    "Body": "body.body",
    "Chair": "chair",
    "Habit": "body.body",
    "InputError": "errors",
    "Measure": "body.body",
    "Mesh": "mesh",
    "NotSolvedError": "errors",
    "Order": "design.orders.order",
    "Seat": "surface",
    "SeatmeshError": "errors",
    "Sitting": "seating.sitting",
    "Wishes": "fit.wishes",
    "estimate_body": "body.survey.estimate",
    "flat_seat": "surface",
    "read_body": "body.body_file",
    "read_order": "design.orders.order",
    "read_seat": "formats.seat_file",
    "shape_seat": "design.shape",
    "sit": "seating.sit",
    "solid": "solids.carved",
    "write_mesh": "formats.mesh_file",
    "write_seat": "formats.seat_file",
}

__all__ = [
    "Blank",
    "Body",
    "Chair",
    "Habit",
    "InputError",
    "Measure",
    "Mesh",
    "NotSolvedError",
    "Order",
    "Seat",
    "SeatmeshError",
    "Sitting",
    "Wishes",
    "estimate_body",
    "flat_seat",
    "read_body",
    "read_order",
    "read_seat",
    "shape_seat",
    "sit",
    "solid",
    "write_mesh",
    "write_seat",
]


def __getattr__(name: str) -> Any:
    """Load a public name from the module where it lives."""
    if name in _HOME:
        return getattr(importlib.import_module(f"{__name__}.{_HOME[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")

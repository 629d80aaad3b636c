"""The wood of a kept seat: boards, movement, plank, floor, the way to cut."""

from __future__ import annotations

from seatmesh.design.wood.wood_report import wood_report
from seatmesh.design.wood.wood_study import wood_study

from ...keeping.kept import KeptSeat
from ..plain import json_bytes
from .kept import kept_order, kept_seat


def wood(kept: KeptSeat) -> bytes:
    """Return all that is known of the wood of an order's seat."""
    order = kept_order(kept)
    return json_bytes({"id": kept.seat, **wood_report(wood_study(order, kept_seat(kept)))})

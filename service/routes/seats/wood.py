"""The wood of a seat: boards, movement, the plank, the floor."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ...answers import kept_answer
from ...keeping.kept_or_made import desk_of
from ...models import WoodOut
from ...models.answers import got
from ...tasks import wood as tasks
from .seat_id import SeatId

router = APIRouter(prefix="/seats", tags=["wood"])


@router.get("/{seat_id}/wood", operation_id="get_wood", response_model=WoodOut, responses=got(404, 422, 503))
async def wood(request: Request, seat_id: SeatId) -> Response:
    """Return boards, movement, weight, short grain and the floor under load; slow the first time."""
    desk = desk_of(request)
    seat = desk.seat(seat_id)
    await desk.file(request, seat, "wood.json", True, tasks.wood)
    return kept_answer(request, desk.store, seat, "wood.json", "json")

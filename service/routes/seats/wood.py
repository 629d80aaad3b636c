"""The wood of a seat: boards, movement, the plank, the floor; and its rings, to draw."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ...models import RingsOut, WoodOut
from ...models.answers import got
from ...models.refusals import WORKING
from .file_answer import file_answer
from .seat_id import SeatId

router = APIRouter(prefix="/seats", tags=["wood"])


@router.get(
    "/{seat_id}/wood",
    operation_id="get_wood",
    response_model=WoodOut,
    responses=got(404, 422, *WORKING, made=True),
)
async def wood(request: Request, seat_id: SeatId) -> Response:
    """Return boards, movement, weight, short grain and the floor under load; slow the first time."""
    return await file_answer(request, seat_id, "wood.json", "json", "wood")


@router.get(
    "/{seat_id}/rings",
    operation_id="get_rings",
    response_model=RingsOut,
    responses=got(404, 422, *WORKING, made=True),
)
async def rings(request: Request, seat_id: SeatId) -> Response:
    """Return the rings of the boards as a solid, how they are drawn, and the underside: what a view in 3D needs."""
    return await file_answer(request, seat_id, "rings.json", "json", "rings")

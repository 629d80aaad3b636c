"""The seat file, for commands and Python."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ...models.answers import got_file
from ...models.refusals import WORKING
from .file_answer import file_answer
from .seat_id import SeatId

router = APIRouter(prefix="/seats", tags=["files"])


@router.get(
    "/{seat_id}/seat.json",
    operation_id="get_seat_file",
    response_class=Response,
    responses=got_file("the seat file", ("application/json",), 404, 422, *WORKING, made=True),
)
async def seat_file(request: Request, seat_id: SeatId) -> Response:
    """Return the seat as a file, as `seatmesh shape` writes it and every command reads it."""
    return await file_answer(request, seat_id, "seat-file.json", "json", "seat-file", tail="-seat.json")

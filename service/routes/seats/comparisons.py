"""Comparisons: several bodies on a seat and on the bare blank, side by side."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ...answers import json_answer
from ...keeping.kept_or_made import desk_of
from ...models import Comparison
from ...models.answers import posted
from ...models.refusals import POSTED
from ...schema import MAPS_EXAMPLE, body_of_request, maps_schema
from ...tasks import sittings
from .question import read_question
from .seat_id import SeatId

router = APIRouter(prefix="/seats", tags=["sitting"])


@router.post(
    "/{seat_id}/comparisons",
    operation_id="compare_bodies",
    response_model=Comparison,
    responses=posted(404, *POSTED),
    openapi_extra=body_of_request(maps_schema(), MAPS_EXAMPLE, "who sits, and how"),
)
async def compare(request: Request, seat_id: SeatId) -> Response:
    """Set bodies against one another on a seat, and each against the bare blank."""
    desk = desk_of(request)
    seat, asked = desk.seat(seat_id), await read_question(request)
    folder = desk.store.folder
    return json_answer(request, await desk.passing(request, sittings.comparisons, folder, seat, asked))

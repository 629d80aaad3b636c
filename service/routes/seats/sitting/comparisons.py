"""Comparisons: several bodies on a seat and on the bare blank, side by side."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ....desk import desk_of
from ....keeping.identity import canonical_bytes, digest
from ....models import Comparison
from ....models.answers import posted_long
from ....models.refusals import POSTED
from ....schema import MAPS_EXAMPLE, body_of_request, maps_schema
from ..file_answer import file_answer
from ..seat_id import SeatId
from .question import read_question

router = APIRouter(prefix="/seats", tags=["sitting"])


@router.post(
    "/{seat_id}/comparisons",
    operation_id="compare_bodies",
    response_model=Comparison,
    responses=posted_long(404, *POSTED),
    openapi_extra=body_of_request(maps_schema(), MAPS_EXAMPLE, "who sits, and how"),
)
async def compare(request: Request, seat_id: SeatId) -> Response:
    """Set bodies against one another on a seat, and each against the bare blank."""
    desk_of(request).seat(seat_id)
    asked = await read_question(request)
    name = f"comparison-{digest(canonical_bytes(asked))}.json"
    return await file_answer(request, seat_id, name, "json", "comparisons", asked)

"""The full report of a seat: every sitter in every posture, how sure it is, hot spots in words."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ...answers import kept_answer
from ...keeping.kept_or_made import desk_of
from ...models import Report
from ...models.answers import got
from ...tasks import sittings
from .seat_id import SeatId

router = APIRouter(prefix="/seats", tags=["seats"])


@router.get(
    "/{seat_id}/report", operation_id="get_report", response_model=Report, responses=got(404, 422, 503)
)
async def report(request: Request, seat_id: SeatId) -> Response:
    """Return all that is known of the order's sitters on their seat."""
    desk = desk_of(request)
    seat = desk.seat(seat_id)
    await desk.file(request, seat, "report.json", True, sittings.full_report)
    return kept_answer(request, desk.store, seat, "report.json", "json")

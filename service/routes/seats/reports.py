"""The full report of a seat: every sitter in every posture, how sure it is, hot spots in words."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ...models import Report
from ...models.answers import got, got_file
from ...models.refusals import WORKING
from .file_answer import file_answer
from .seat_id import SeatId

router = APIRouter(prefix="/seats", tags=["seats"])


@router.get(
    "/{seat_id}/report",
    operation_id="get_report",
    response_model=Report,
    responses=got(404, 422, *WORKING, made=True),
)
async def report(request: Request, seat_id: SeatId) -> Response:
    """Return all that is known of the order's sitters on their seat."""
    return await file_answer(request, seat_id, "report.json", "json", "report")


@router.get(
    "/{seat_id}/report.txt",
    operation_id="get_report_text",
    response_class=Response,
    responses=got_file("the report", ("text/plain",), 404, 422, *WORKING, made=True),
)
async def report_text(request: Request, seat_id: SeatId) -> Response:
    """Return the report to read: why the seat has its shape, figures, hot spots and cautions in words."""
    return await file_answer(request, seat_id, "report.txt", "txt", "report-text", tail="-report.txt")

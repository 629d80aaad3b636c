"""Figures of the service for those who watch it."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import PlainTextResponse, Response

from ..desk import desk_of
from ..models.answers import TEXT
from ..models.refusals import refusals
from ..requests.metrics import MEDIA_TYPE

router = APIRouter(tags=["service"])
TOLD = {"description": "the figures", "content": {MEDIA_TYPE.partition(";")[0]: {"schema": TEXT}}}


@router.get(
    "/metrics",
    operation_id="get_metrics",
    response_class=PlainTextResponse,
    responses={200: TOLD, **refusals()},
)
async def metrics(request: Request) -> Response:
    """Return requests, times, queue, workers and bytes kept, in the Prometheus text format."""
    text = request.app.state.journal.metrics.text(desk_of(request).figures())
    return Response(text, 200, {"Cache-Control": "no-store"}, MEDIA_TYPE)

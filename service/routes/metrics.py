"""Figures of the service for those who watch it."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ..desk import desk_of
from ..requests.metrics import MEDIA_TYPE

router = APIRouter()


@router.get("/metrics", include_in_schema=False)
async def metrics(request: Request) -> Response:
    """Return requests, times, queue, workers and bytes kept, in the Prometheus text format."""
    text = request.app.state.journal.metrics.text(desk_of(request).figures())
    return Response(text, 200, {"Cache-Control": "no-store"}, MEDIA_TYPE)

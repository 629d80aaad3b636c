"""Whether the service is up, its version, and the formats that it writes."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

import seatmesh
from seatmesh.formats.registry import formats_written

from ..answers import json_answer
from ..models import Health
from ..models.answers import got
from ..tasks.plain import json_bytes

router = APIRouter(tags=["service"])


@router.get("/health", operation_id="get_health", response_model=Health, responses=got())
async def health(request: Request) -> Response:
    """Say that the service is up."""
    formats = [one.name for one in formats_written().values() if one.at_hand]
    return json_answer(
        request, json_bytes({"status": "ok", "version": seatmesh.__version__, "formats": formats})
    )

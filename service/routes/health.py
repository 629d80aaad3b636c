"""Whether the service is up, its version, and the formats that it writes."""

from __future__ import annotations

import importlib.util

from fastapi import APIRouter, Request
from fastapi.responses import Response

import seatmesh

from ..answers import json_answer
from ..models import Health, refusals
from ..tasks.plain import json_bytes
from .meshes import MESHES, STEP

router = APIRouter()


@router.get("/health", response_model=Health, responses=refusals())
async def health(request: Request) -> Response:
    """Say that the service is up."""
    formats = [*MESHES, *((STEP,) if importlib.util.find_spec("OCP") else ()), "png", "txt"]
    return json_answer(
        request, json_bytes({"status": "ok", "version": seatmesh.__version__, "formats": formats})
    )

"""The body measures: what to take, and how."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ..answers import json_answer
from ..models import MeasuresOut
from ..models.answers import got
from ..tasks.of_a_seat.fields import measures as table_of_measures

router = APIRouter(tags=["bodies"])


@router.get("/measures", operation_id="list_measures", response_model=MeasuresOut, responses=got())
async def measures(request: Request) -> Response:
    """List the body measures, how each is taken, and what is plausible for an adult."""
    return json_answer(request, table_of_measures())

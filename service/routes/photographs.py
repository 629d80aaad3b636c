"""Photographs of a marked blank: pixels of points come in, places on the blank go out; pictures are never sent."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ..answers import json_answer
from ..desk import desk_of
from ..models import PhotographMarks, PhotographPoints
from ..models.answers import posted
from ..models.refusals import POSTED
from ..photograph_schema import PHOTOGRAPH_EXAMPLE, WOOD_EXAMPLE, photograph_schema, wood_schema
from ..requests.intake import read_table
from ..schema import body_of_request
from ..tasks import photographs as tasks

router = APIRouter(prefix="/photographs", tags=["bench"])


@router.post(
    "/marks",
    operation_id="place_marks",
    response_model=PhotographMarks,
    responses=posted(*POSTED),
    openapi_extra=body_of_request(
        photograph_schema(), PHOTOGRAPH_EXAMPLE, "pixels of known points, of edge points and of marks"
    ),
)
async def marks(request: Request) -> Response:
    """Say where a photograph shows marks: lens and plane are found from known points, and how surely is said."""
    table = await read_table(request)
    return json_answer(request, await desk_of(request).passing(request, tasks.marks, table))


@router.post(
    "/points",
    operation_id="suggest_points",
    response_model=PhotographPoints,
    responses=posted(*POSTED),
    openapi_extra=body_of_request(wood_schema(), WOOD_EXAMPLE, "the blank, with the keys of an order's"),
)
async def points(request: Request) -> Response:
    """Name points of a blank whose places need no measuring, those that make the best four first."""
    table = await read_table(request)
    return json_answer(request, await desk_of(request).passing(request, tasks.points, table))

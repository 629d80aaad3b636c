"""Bodies: those that come with the tool, and estimates from a few measures."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ..answers import json_answer
from ..desk import desk_of
from ..models import Bodies, KnownBody
from ..models.answers import got, posted
from ..models.refusals import POSTED, WORKING
from ..requests.intake import read_table
from ..schema import BODY_EXAMPLE, body_of_request, body_schema
from ..tasks import orders

router = APIRouter(prefix="/bodies", tags=["bodies"])


@router.get("", operation_id="list_bodies", response_model=Bodies, responses=got(*WORKING))
async def bodies(request: Request) -> Response:
    """List the bodies that come with the tool; an order may name them."""
    state = request.app.state
    if state.bodies is None:
        state.bodies = await desk_of(request).passing(request, orders.bodies)
    return json_answer(request, state.bodies)


@router.post(
    "/estimate",
    operation_id="estimate_body",
    response_model=KnownBody,
    responses=posted(*POSTED),
    openapi_extra=body_of_request(body_schema(), BODY_EXAMPLE, "measures that were taken"),
)
async def estimate(request: Request) -> Response:
    """Estimate what was not measured; the keys are those of a body file."""
    table = await read_table(request)
    return json_answer(request, await desk_of(request).passing(request, orders.estimate, table))

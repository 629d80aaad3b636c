"""The depths of a seat as a grid to draw from."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from ...answers import kept_answer
from ...keeping.kept_or_made import desk_of
from ...models import DepthGrid
from ...models.answers import got
from ...tasks import fields
from .seat_id import SeatId

router = APIRouter(prefix="/seats", tags=["files"])


@router.get(
    "/{seat_id}/depth-grid",
    operation_id="get_depth_grid",
    response_model=DepthGrid,
    responses=got(404, 422, 503),
)
async def depth_grid(
    request: Request,
    seat_id: SeatId,
    spacing_mm: Annotated[
        float, Query(ge=1.0, le=50.0, description="how far apart at most", examples=[10])
    ] = 5.0,
) -> Response:
    """Return depths below the top face over the rectangle round the blank, and the blank's outline."""
    desk = desk_of(request)
    seat, name = desk.seat(seat_id), f"depth-grid-{spacing_mm!r}.json"
    await desk.file(request, seat, name, True, fields.depth_grid, spacing_mm, desk.limits.grid_points)
    return kept_answer(request, desk.store, seat, name, "json")

"""The depths of a seat as a grid to draw from."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from ...desk import desk_of
from ...models import DepthGrid
from ...models.answers import got
from ...models.refusals import WORKING
from .file_answer import file_answer
from .seat_id import SeatId

router = APIRouter(prefix="/seats", tags=["files"])


@router.get(
    "/{seat_id}/depth-grid",
    operation_id="get_depth_grid",
    response_model=DepthGrid,
    responses=got(404, 422, *WORKING, made=True),
)
async def depth_grid(
    request: Request,
    seat_id: SeatId,
    spacing_mm: Annotated[
        float, Query(ge=1.0, le=50.0, description="how far apart at most", examples=[10])
    ] = 5.0,
) -> Response:
    """Return depths below the top face over the rectangle round the blank, and the blank's outline."""
    most = desk_of(request).limits.grid_points
    name = f"depth-grid-{spacing_mm!r}.json"
    return await file_answer(request, seat_id, name, "json", "depth-grid", spacing_mm, most)

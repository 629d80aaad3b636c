"""The gauge sheet on paper: pages to write on, and the whole table as text."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from seatmesh.paper.paper_sizes import paper_named

from ...keeping.identity import digest
from ...models.answers import got_file
from ...models.refusals import WORKING
from .file_answer import file_answer
from .gauge_checks import BarHeight, RodOffset, SheetSpacing
from .seat_id import SeatId
from .sheets import Paper
from .units import Units

router = APIRouter(prefix="/seats", tags=["bench"])
Share = Annotated[
    float,
    Query(gt=0.0, le=1.0, description="share of the depth, for a stage of the carving", examples=[0.5]),
]


@router.get(
    "/{seat_id}/gauge-sheet.pdf",
    operation_id="get_gauge_pages",
    response_class=Response,
    responses=got_file("the pages", ("application/pdf",), 404, 422, *WORKING, made=True),
)
async def pages(
    request: Request,
    seat_id: SeatId,
    bar_height_mm: BarHeight,
    spacing_mm: SheetSpacing = 40.0,
    rod_offset_mm: RodOffset = 0.0,
    share: Share = 1.0,
    paper: Paper = "A4",
    units: Units = None,
) -> Response:
    """Return the gauge sheet to write on: the crossings that tell most, two readings each, and left against right."""
    paper_named(paper)
    given = ((spacing_mm, bar_height_mm, rod_offset_mm), share, units, paper)
    name = f"gauge-{digest(repr(given))}.pdf"
    return await file_answer(
        request, seat_id, name, "pdf", "gauge-paper", "pdf", *given, tail="-gauge-sheet.pdf"
    )


@router.get(
    "/{seat_id}/gauge-sheet.txt",
    operation_id="get_gauge_table",
    response_class=Response,
    responses=got_file("the table", ("text/plain",), 404, 422, *WORKING, made=True),
)
async def table(
    request: Request,
    seat_id: SeatId,
    bar_height_mm: BarHeight,
    spacing_mm: SheetSpacing = 40.0,
    rod_offset_mm: RodOffset = 0.0,
    share: Share = 1.0,
    units: Units = None,
) -> Response:
    """Return the gauge sheet as a table to print whole, left and right side by side."""
    given = ((spacing_mm, bar_height_mm, rod_offset_mm), share, units, "A4")
    name = f"gauge-{digest(repr(given))}.txt"
    return await file_answer(
        request, seat_id, name, "txt", "gauge-paper", "txt", *given, tail="-gauge-sheet.txt"
    )

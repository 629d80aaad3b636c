"""Sheets to print or to cut from, at full size, and the job sheet for maker and client."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from seatmesh.paper.paper_sizes import paper_named
from seatmesh.wood.species import wood_named

from ...answers import MEDIA_TYPES
from ...keeping.identity import digest
from ...models import WORKING, refusals
from .file_answer import file_answer
from .seat_id import SeatId
from .units import Units

router = APIRouter(prefix="/seats", tags=["bench"])
Suffix = Literal["pdf", "dxf", "svg"]
Paper = Annotated[str, Query(description="such as A4, A3, letter", max_length=40)]
Wood = Annotated[str, Query(description="for stages: such as white oak", max_length=40)]
ANY_SHEET: dict[str, Any] = {MEDIA_TYPES[one]: {} for one in ("pdf", "dxf", "svg")}


@router.get(
    "/{seat_id}/sheets.{suffix}",
    response_class=Response,
    responses={200: {"description": "the sheets", "content": ANY_SHEET}, **refusals(404, 422, *WORKING)},
)
async def sheets(
    request: Request,
    seat_id: SeatId,
    suffix: Suffix,
    paper: Paper = "A4",
    units: Units = None,
    wood: Wood = "white oak",
) -> Response:
    """Return plan, section cards and stages: tiled PDF to print at 100 %, or one drawing as DXF or SVG."""
    _refuse_unknown(paper, wood)
    name, given = f"sheets-{digest(paper, units or '', wood)}.{suffix}", (suffix, paper, units, wood)
    return await file_answer(request, seat_id, name, suffix, "sheets", *given, tail=f"-sheets.{suffix}")


@router.get(
    "/{seat_id}/job-sheet.pdf",
    response_class=Response,
    responses={200: {"content": {"application/pdf": {}}}, **refusals(404, 422, *WORKING)},
)
async def job_sheet(
    request: Request, seat_id: SeatId, paper: Paper = "A4", units: Units = None, wood: Wood = "white oak"
) -> Response:
    """Return the job sheet: whose seat it is, of what, why it has its shape, and what to agree on."""
    _refuse_unknown(paper, wood)
    name, given = f"job-{digest(paper, units or '', wood)}.pdf", (paper, units, wood)
    return await file_answer(request, seat_id, name, "pdf", "job-sheet", *given, tail="-job-sheet.pdf")


def _refuse_unknown(paper: str, wood: str) -> None:
    paper_named(paper)
    wood_named(wood)

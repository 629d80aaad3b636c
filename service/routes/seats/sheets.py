"""Sheets to print or to cut from, at full size, and the job sheet for maker and client."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from seatmesh.paper.paper_sizes import paper_named
from seatmesh.sheets.sheet_wishes import SheetWishes
from seatmesh.wood.species import wood_named

from ...answers import MEDIA_TYPES, kept_answer, unchanged_answer
from ...keeping.identity import digest
from ...keeping.kept_or_made import desk_of
from ...models import refusals
from ...tasks import sheets as tasks
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
    responses={200: {"description": "the sheets", "content": ANY_SHEET}, **refusals(404, 422, 503)},
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
    wishes = _wishes(paper, units, wood)
    desk = desk_of(request)
    seat, name = desk.seat(seat_id), f"sheets-{digest(paper, units or '', wood)}.{suffix}"
    if told := unchanged_answer(request, seat, name, suffix):
        return told
    await desk.file(request, seat, name, True, tasks.sheets, suffix, wishes)
    saved = f"{desk.store.folder_name(seat)}-sheets.{suffix}"
    return kept_answer(request, desk.store, seat, name, suffix, saved)


@router.get(
    "/{seat_id}/job-sheet.pdf",
    response_class=Response,
    responses={200: {"content": {"application/pdf": {}}}, **refusals(404, 422, 503)},
)
async def job_sheet(
    request: Request, seat_id: SeatId, paper: Paper = "A4", units: Units = None, wood: Wood = "white oak"
) -> Response:
    """Return the job sheet: whose seat it is, of what, why it has its shape, and what to agree on."""
    wishes = _wishes(paper, units, wood)
    desk = desk_of(request)
    seat, name = desk.seat(seat_id), f"job-{digest(paper, units or '', wood)}.pdf"
    if told := unchanged_answer(request, seat, name, "pdf"):
        return told
    await desk.file(request, seat, name, True, tasks.job, wishes)
    saved = f"{desk.store.folder_name(seat)}-job-sheet.pdf"
    return kept_answer(request, desk.store, seat, name, "pdf", saved)


def _wishes(paper: str, units: str | None, wood: str) -> SheetWishes:
    paper_named(paper)
    wood_named(wood)
    return SheetWishes(paper=paper, units=units, wood=wood)

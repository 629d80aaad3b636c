"""Sheets to print or to cut from, at full size, and the job sheet for maker and client."""

from __future__ import annotations

from typing import Annotated, Literal, get_args

from fastapi import APIRouter, Path, Query, Request
from fastapi.responses import Response

from seatmesh.paper.paper_sizes import paper_named
from seatmesh.wood.species import wood_named

from ...answers import MEDIA_TYPES
from ...keeping.identity import digest
from ...models.answers import got_file
from ...models.refusals import WORKING
from ...models.words import named_words
from .file_answer import file_answer
from .seat_id import SeatId
from .units import Units

router = APIRouter(prefix="/seats", tags=["bench"])
Suffixes = Literal["pdf", "dxf", "svg"]
Suffix = Annotated[
    Suffixes,
    Path(
        description="pdf to print, dxf or svg to draw on with",
        examples=["pdf"],
        json_schema_extra=named_words("SheetSuffix", get_args(Suffixes)),
    ),
]
Paper = Annotated[str, Query(description="such as A4, A3, letter", max_length=40, examples=["A3"])]
Wood = Annotated[
    str, Query(description="for stages: such as white oak", max_length=40, examples=["white oak"])
]
ANY_SHEET = [MEDIA_TYPES[one] for one in get_args(Suffixes)]


@router.get(
    "/{seat_id}/sheets.{suffix}",
    operation_id="get_sheets",
    response_class=Response,
    responses=got_file("the sheets", ANY_SHEET, 404, 422, *WORKING, made=True),
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
    operation_id="get_job_sheet",
    response_class=Response,
    responses=got_file("the job sheet", ("application/pdf",), 404, 422, *WORKING, made=True),
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

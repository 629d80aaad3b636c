"""Parts of a mock-up for a printer: the seat cut to its bed, the sitter to hold against it, a shell."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from seatmesh.files.names import scale_word
from seatmesh.formats.mesh_scale import parse_scale
from seatmesh.mock_up.stock import LEAST_BED_MM, MOST_BED_MM, MOST_WALL_MM

from ...keeping.identity import digest
from ...models.answers import got_file
from ...models.refusals import WORKING
from .file_answer import file_answer
from .meshes import SCALE
from .seat_id import SeatId

router = APIRouter(prefix="/seats", tags=["files"])
Scale = Annotated[str, Query(description="1:4, 1/4, 25% or 0.25", pattern=SCALE, examples=["1:4"])]
Bed = Annotated[
    float,
    Query(ge=LEAST_BED_MM, le=MOST_BED_MM, description="what the printer can reach, mm", examples=[220]),
]
Wall = Annotated[
    float, Query(ge=0.1, le=MOST_WALL_MM, description="least wall that the printer holds", examples=[1.2])
]
WithSitter = Annotated[
    int,
    Query(
        ge=0,
        le=100,
        description="place in the order of a sitter whose underside is made too, from 1; 0: nobody's",
        examples=[0],
    ),
]
Shell = Annotated[
    float | None,
    Query(gt=0.0, le=100.0, description="thickness of a shell of the carved face at full size", examples=[3]),
]


@router.get(
    "/{seat_id}/mock-up.zip",
    operation_id="get_mock_up",
    response_class=Response,
    responses=got_file("the parts", ("application/zip",), 404, 422, *WORKING, made=True),
)
async def mock_up(
    request: Request,
    seat_id: SeatId,
    scale: Scale = "1:4",
    bed_width_mm: Bed = 220.0,
    bed_depth_mm: Bed = 220.0,
    bed_height_mm: Bed = 220.0,
    wall_mm: Wall = 1.2,
    sitter: WithSitter = 0,
    shell_mm: Shell = None,
) -> Response:
    """Return the seat at a scale, cut to a printer's bed with loose pegs: STL files in mm, and a list of them."""
    factor = parse_scale(scale)
    given = (scale, (bed_width_mm, bed_depth_mm, bed_height_mm), wall_mm, sitter, shell_mm)
    name = f"mock-up-{digest(repr((factor, *given[1:])))}.zip"
    tail = f"-mock-up-{scale_word(factor)}-mm.zip"
    return await file_answer(request, seat_id, name, "zip", "mock-up", *given, tail=tail)

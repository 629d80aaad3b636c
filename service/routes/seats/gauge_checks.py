"""The gauge: a sheet of expected readings, and readings of the carving held against the seat."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from seatmesh.choices import one_of
from seatmesh.errors import MissingKeyError, ValueRefusedError
from seatmesh.files.toml_file import refuse_unknown
from seatmesh.units import ALLOWED_UNITS, shown

from ...answers import json_answer
from ...desk import desk_of
from ...models import GaugeCheckOut
from ...models.answers import got_file, posted
from ...models.refusals import POSTED, WORKING
from ...problems import ProblemError
from ...requests.intake import CSV, JSON, media_type, read_body
from ...requests.json_text import parse_table
from ...schema import READINGS_EXAMPLE, body_of_request, file_of_request, gauge_schema
from ...tasks.of_a_seat import gauge
from .file_answer import file_answer
from .seat_id import SeatId
from .units import Units

router = APIRouter(prefix="/seats", tags=["bench"])
MOST_BAR_MM = 1000.0
BarHeight = Annotated[
    float, Query(ge=0.0, le=MOST_BAR_MM, description="underside of bar over the rests", examples=[40])
]
SheetSpacing = Annotated[
    float, Query(ge=5.0, le=200.0, description="how far apart crossings are", examples=[25])
]
RodOffset = Annotated[
    float,
    Query(
        ge=-MOST_BAR_MM,
        le=MOST_BAR_MM,
        description="what the rod reads more than its tip is below the bar",
        examples=[0],
    ),
]
EXTRA = body_of_request(
    gauge_schema(),
    READINGS_EXAMPLE,
    "rows of a gauge sheet with readings; or its CSV, as bytes or as text/csv",
)
EXTRA["requestBody"]["content"] |= file_of_request("text/csv", None, "")["requestBody"]["content"]


@router.get(
    "/{seat_id}/gauge-sheet.csv",
    operation_id="get_gauge_sheet",
    response_class=Response,
    responses=got_file("the sheet", ("text/csv",), 404, 422, *WORKING, made=True),
)
async def sheet(
    request: Request,
    seat_id: SeatId,
    bar_height_mm: BarHeight,
    spacing_mm: SheetSpacing = 40.0,
    rod_offset_mm: RodOffset = 0.0,
    units: Units = None,
) -> Response:
    """Return the gauge sheet: what a rod through a bar should read at each crossing, to type readings into."""
    given = (spacing_mm, bar_height_mm, rod_offset_mm)
    name = f"gauge-{'-'.join(map(repr, given))}-{units or 'own'}.csv"
    tail = f"-gauge{'-' + units if units else ''}.csv"
    return await file_answer(request, seat_id, name, "csv", "gauge-sheet", *given, units, tail=tail)


@router.post(
    "/{seat_id}/gauge-checks",
    operation_id="check_readings",
    response_model=GaugeCheckOut,
    responses=posted(404, *POSTED),
    openapi_extra=EXTRA,
)
async def check(request: Request, seat_id: SeatId) -> Response:
    """Say how the bar sat, where wood is to take, what is too deep or questioned, if it is even, where to cut next."""
    desk = desk_of(request)
    seat = desk.seat(seat_id)
    given = await _given(request, await read_body(request, (*JSON, *CSV)))
    return json_answer(request, await desk.passing(request, gauge.check, desk.kept(seat), *given))


async def _given(request: Request, data: bytes) -> tuple[Any, Any, str | None, bool]:
    """Return readings, tolerance, units, and whether to set aside what cannot be meant."""
    if media_type(request) in CSV:
        try:
            return data.decode("utf-8-sig"), None, None, False
        except UnicodeDecodeError as error:
            raise ProblemError(400, "The body is not UTF-8", "send CSV as UTF-8") from error
    desk = desk_of(request)
    table = await desk.parsing(request, parse_table, data, desk.limits.json_depth)
    refuse_unknown(table, ("readings", "tolerance_mm", "units", "set_aside"), "body")
    if "readings" not in table:
        raise MissingKeyError("readings", "body", "give the rows of a gauge sheet with what was read")
    units, aside = table.get("units"), table.get("set_aside")
    if not isinstance(aside, bool | None):
        raise ValueRefusedError("set_aside", shown(aside), "allowed are true and false", "give one of them")
    chosen = units and one_of("units", units, ALLOWED_UNITS)
    return table["readings"], table.get("tolerance_mm"), chosen, bool(aside)

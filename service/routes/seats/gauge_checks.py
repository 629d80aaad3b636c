"""The gauge: a sheet of expected readings, and readings of the carving held against the seat."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from seatmesh.choices import one_of
from seatmesh.errors import MissingKeyError
from seatmesh.files.toml_file import refuse_unknown
from seatmesh.units import ALLOWED_UNITS

from ...answers import json_answer, kept_answer
from ...keeping.kept_or_made import desk_of
from ...models import GaugeCheckOut
from ...models.answers import got_file, posted
from ...models.refusals import POSTED
from ...problems import ProblemError
from ...requests.intake import CSV, JSON, media_type, parse_table, read_body
from ...schema import READINGS_EXAMPLE, body_of_request, file_of_request, gauge_schema
from ...tasks import gauge
from .seat_id import SeatId
from .units import Units

router = APIRouter(prefix="/seats", tags=["bench"])
MOST_BAR_MM = 1000.0
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
    responses=got_file("the sheet", ("text/csv",), 404, 422, 503),
)
async def sheet(
    request: Request,
    seat_id: SeatId,
    bar_height_mm: Annotated[
        float, Query(ge=0.0, le=MOST_BAR_MM, description="underside of bar over the rests", examples=[40])
    ],
    spacing_mm: Annotated[
        float, Query(ge=5.0, le=200.0, description="how far apart crossings are", examples=[25])
    ] = 40.0,
    rod_offset_mm: Annotated[
        float,
        Query(
            ge=-MOST_BAR_MM,
            le=MOST_BAR_MM,
            description="what the rod reads more than its tip is below the bar",
            examples=[0],
        ),
    ] = 0.0,
    units: Units = None,
) -> Response:
    """Return the gauge sheet: what a rod through a bar should read at each crossing, to type readings into."""
    desk = desk_of(request)
    seat, given = desk.seat(seat_id), (spacing_mm, bar_height_mm, rod_offset_mm)
    name = f"gauge-{'-'.join(map(repr, given))}-{units or 'own'}.csv"
    await desk.file(request, seat, name, True, gauge.sheet, *given, units)
    saved = f"{desk.store.folder_name(seat)}-gauge{'-' + units if units else ''}.csv"
    return kept_answer(request, desk.store, seat, name, "csv", saved)


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
    folder = desk.store.folder
    return json_answer(request, await desk.passing(request, gauge.check, folder, seat, *given))


async def _given(request: Request, data: bytes) -> tuple[Any, Any, str | None]:
    """Return readings, tolerance and units."""
    if media_type(request) in CSV:
        try:
            return data.decode("utf-8-sig"), None, None
        except UnicodeDecodeError as error:
            raise ProblemError(400, "The body is not UTF-8", "send CSV as UTF-8") from error
    table = parse_table(data, desk_of(request).limits.json_depth)
    refuse_unknown(table, ("readings", "tolerance_mm", "units"), "body")
    if "readings" not in table:
        raise MissingKeyError("readings", "body", "give the rows of a gauge sheet with what was read")
    units = table.get("units")
    return table["readings"], table.get("tolerance_mm"), units and one_of("units", units, ALLOWED_UNITS)

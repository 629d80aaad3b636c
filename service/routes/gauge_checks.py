"""Gauge checks: readings of the carving held against the seat."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from seatmesh.design.keys import one_of
from seatmesh.errors import MissingKeyError
from seatmesh.toml_file import refuse_unknown
from seatmesh.units import ALLOWED_UNITS

from ..answers import json_answer
from ..desk import desk_of
from ..intake import CSV, JSON, media_type, parse_table, read_body
from ..models import POSTED, GaugeCheckOut, refusals
from ..problems import ProblemError
from ..schema import READINGS_EXAMPLE, body_of_request, gauge_schema
from ..tasks import gauge
from .seat_id import SeatId

router = APIRouter(prefix="/seats", tags=["bench"])
EXTRA = body_of_request(gauge_schema(), READINGS_EXAMPLE, "rows of a gauge sheet with readings; or its CSV")
EXTRA["requestBody"]["content"]["text/csv"] = {"schema": {"type": "string"}}


@router.post(
    "/{seat_id}/gauge-checks",
    response_model=GaugeCheckOut,
    responses=refusals(404, *POSTED),
    openapi_extra=EXTRA,
)
async def check(request: Request, seat_id: SeatId) -> Response:
    """Say where wood is still to take, what is too deep or misread, whether it is even and fair, where to cut next."""
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

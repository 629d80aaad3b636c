"""Many bodies on one seat, as one table."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from seatmesh.errors import MissingKeyError

from ....answers.accepted import form_asked_for
from ....desk import desk_of
from ....keeping.identity import canonical_bytes, digest
from ....models import SittingsTable
from ....models.answers import BINARY, TEXT, posted_long
from ....models.refusals import POSTED
from ....schema import MAPS_EXAMPLE, body_of_request, many_schema
from ...batches import MEDIA, TableForm
from ..file_answer import file_answer
from ..seat_id import SeatId
from .question import read_question

router = APIRouter(prefix="/seats", tags=["sitting"])
OTHERS = {"content": {"text/csv": {"schema": TEXT}, MEDIA["parquet"]: {"schema": BINARY}}}


@router.post(
    "/{seat_id}/sittings",
    operation_id="seat_bodies",
    response_model=SittingsTable,
    responses=posted_long(404, *POSTED, answer=OTHERS),
    openapi_extra=body_of_request(many_schema(), MAPS_EXAMPLE, "who sits, and how"),
)
async def sittings(
    request: Request,
    seat_id: SeatId,
    form: Annotated[
        TableForm | None,
        Query(alias="format", description="left out: what the header Accept asks for", examples=["csv"]),
    ] = None,
) -> Response:
    """Sit many bodies on a seat; the answer is a row of figures each, as JSON, CSV or Parquet."""
    desk = desk_of(request)
    desk.seat(seat_id)
    suffix, asked = (
        form_asked_for(form, request, MEDIA),
        await read_question(request, desk.limits.batch_bodies),
    )
    if not asked["bodies"]:
        raise MissingKeyError("bodies", "body", "give a list of bodies, named or written out")
    name = f"sittings-{digest(canonical_bytes(asked))}.{suffix}"
    answer = await file_answer(
        request, seat_id, name, suffix, "sittings", asked, suffix, tail=f"-sittings.{suffix}"
    )
    answer.headers.add_vary_header("Accept")
    return answer

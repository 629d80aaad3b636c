"""Contact maps: bodies on a seat, as JSON, CSV or a picture."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from ....answers import MEDIA_TYPES
from ....answers.accepted import form_asked_for
from ....desk import desk_of
from ....keeping.identity import canonical_bytes, digest
from ....models import ContactMaps
from ....models.answers import BINARY, TEXT, posted_long
from ....models.refusals import POSTED
from ....models.words import one_of
from ....schema import MAPS_EXAMPLE, body_of_request, maps_schema
from ..file_answer import file_answer
from ..seat_id import SeatId
from .question import read_question

router = APIRouter(prefix="/seats", tags=["sitting"])
FORMS = ("json", "csv", "png")
MEDIA = {one: MEDIA_TYPES[one].partition(";")[0] for one in FORMS}

MapFormat = Annotated[str, one_of("MapFormat", FORMS)]
OTHERS = {"content": {"text/csv": {"schema": TEXT}, "image/png": {"schema": BINARY}}}


@router.post(
    "/{seat_id}/contact-maps",
    operation_id="map_contact",
    response_model=ContactMaps,
    responses=posted_long(404, *POSTED, answer=OTHERS),
    openapi_extra=body_of_request(maps_schema(), MAPS_EXAMPLE, "who sits, and how"),
)
async def contact_maps(
    request: Request,
    seat_id: SeatId,
    form: Annotated[
        MapFormat | None,
        Query(alias="format", description="left out: what the header Accept asks for", examples=["json"]),
    ] = None,
) -> Response:
    """Sit bodies on a seat; the answer is JSON, CSV or PNG by `format` or by the header Accept."""
    desk_of(request).seat(seat_id)
    suffix, asked = form_asked_for(form, request, MEDIA), await read_question(request)
    name, task = f"map-{digest(canonical_bytes(asked))}.{suffix}", f"contact-maps-{suffix}"
    answer = await file_answer(request, seat_id, name, suffix, task, asked, tail=f"-contact.{suffix}")
    answer.headers.add_vary_header("Accept")
    return answer

"""Contact maps: bodies on a seat, as JSON, CSV or a picture."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from seatmesh.errors import NotAmongError
from seatmesh.units import shown

from ...answers import MEDIA_TYPES, kept_answer
from ...keeping.identity import canonical_bytes, digest
from ...keeping.kept_or_made import desk_of
from ...models import ContactMaps
from ...models.answers import BINARY, TEXT, posted
from ...models.refusals import POSTED
from ...models.words import one_of
from ...schema import MAPS_EXAMPLE, body_of_request, maps_schema
from ...tasks import sittings
from .question import read_question
from .seat_id import SeatId

router = APIRouter(prefix="/seats", tags=["sitting"])
FORMS: dict[str, Callable[..., bytes]] = {
    "json": sittings.contact_maps_json,
    "csv": sittings.contact_maps_csv,
    "png": sittings.contact_maps_png,
}

MapFormat = Annotated[str, one_of("MapFormat", FORMS)]
OTHERS = {"content": {"text/csv": {"schema": TEXT}, "image/png": {"schema": BINARY}}}


@router.post(
    "/{seat_id}/contact-maps",
    operation_id="map_contact",
    response_model=ContactMaps,
    responses=posted(404, *POSTED, answer=OTHERS),
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
    desk = desk_of(request)
    seat, asked = desk.seat(seat_id), await read_question(request)
    suffix = _form(form, request)
    name = f"map-{digest(canonical_bytes(asked))}.{suffix}"
    await desk.file(request, seat, name, suffix != "png", FORMS[suffix], asked)
    saved = f"{desk.store.folder_name(seat)}-contact.{suffix}"
    return kept_answer(request, desk.store, seat, name, suffix, saved)


def _form(given: str | None, request: Request) -> str:
    if given is not None:
        if given in FORMS:
            return given
        raise NotAmongError("format", shown(given), FORMS)
    accepted = [one.partition(";")[0].strip() for one in request.headers.get("accept", "").lower().split(",")]
    types = {MEDIA_TYPES[form].partition(";")[0]: form for form in FORMS}
    return next((types[one] for one in accepted if one in types), "json")

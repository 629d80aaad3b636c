"""Contact maps: bodies on a seat, as JSON, CSV or a picture."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from seatmesh.errors import NotAmongError
from seatmesh.units import shown

from ...answers import MEDIA_TYPES, PACKED, kept_answer, unchanged_answer
from ...answers.accepted import negotiated
from ...keeping.identity import canonical_bytes, digest
from ...keeping.kept_or_made import desk_of
from ...models import POSTED, ContactMaps, refusals
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


@router.post(
    "/{seat_id}/contact-maps",
    response_model=ContactMaps,
    responses={
        200: {"content": {"text/csv": {"schema": {"type": "string"}}, "image/png": {}}},
        **refusals(404, *POSTED),
    },
    openapi_extra=body_of_request(maps_schema(), MAPS_EXAMPLE, "who sits, and how"),
)
async def contact_maps(
    request: Request,
    seat_id: SeatId,
    form: Annotated[str | None, Query(alias="format", description="json, csv or png")] = None,
) -> Response:
    """Sit bodies on a seat; the answer is JSON, CSV or PNG by `format` or by the header Accept."""
    desk = desk_of(request)
    seat, suffix = desk.seat(seat_id), _form(form, request)
    asked = await read_question(request)
    name = f"map-{digest(canonical_bytes(asked))}.{suffix}"
    if told := unchanged_answer(request, seat, name, suffix):
        return told
    await desk.file(request, seat, name, suffix in PACKED, FORMS[suffix], asked)
    saved = f"{desk.store.folder_name(seat)}-contact.{suffix}"
    answer = kept_answer(request, desk.store, seat, name, suffix, saved)
    answer.headers.add_vary_header("Accept")
    return answer


def _form(given: str | None, request: Request) -> str:
    if given is not None:
        if given in FORMS:
            return given
        raise NotAmongError("format", shown(given), FORMS)
    types = {MEDIA_TYPES[form].partition(";")[0]: form for form in FORMS}
    return types[negotiated(request, list(types))]

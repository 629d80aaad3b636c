"""Pictures of a seat."""

from __future__ import annotations

from typing import Annotated, Literal, get_args

from fastapi import APIRouter, Path, Request
from fastapi.responses import Response

from ...answers import kept_answer
from ...keeping.kept_or_made import desk_of
from ...models.answers import got_file
from ...models.words import named_words
from ...tasks import pictures
from .seat_id import SeatId
from .units import Units

router = APIRouter(prefix="/seats", tags=["pictures"])
Words = Literal[
    "contact", "sections", "plan", "light-lines", "view", "figure", "figure-variants", "way-to-cut"
]  # fmt: skip
Kind = Annotated[
    Words,
    Path(
        description="what it shows",
        examples=["sections"],
        json_schema_extra=named_words("PictureKind", get_args(Words)),
    ),
]


@router.get(
    "/{seat_id}/pictures/{kind}.png",
    operation_id="draw_seat",
    response_class=Response,
    responses=got_file("the picture", ("image/png",), 404, 422, 503),
)
async def picture(request: Request, seat_id: SeatId, kind: Kind, units: Units = None) -> Response:
    """Draw a seat and its first sitter (contact and view: all), or its boards; `view` needs OpenGL where it runs."""
    desk = desk_of(request)
    seat, name = desk.seat(seat_id), f"{kind}-{units or 'own'}.png"
    await desk.file(request, seat, name, False, pictures.picture, kind, units or "")
    saved = f"{desk.store.folder_name(seat)}-{kind}.png"
    return kept_answer(request, desk.store, seat, name, "png", saved)

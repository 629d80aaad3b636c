"""Pictures of a seat."""

from __future__ import annotations

from typing import Annotated, Literal, get_args

from fastapi import APIRouter, Path, Request
from fastapi.responses import Response

from ...models.answers import got_file
from ...models.refusals import WORKING
from ...models.words import named_words
from .file_answer import file_answer
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
    responses=got_file("the picture", ("image/png",), 404, 422, *WORKING, made=True),
)
async def picture(request: Request, seat_id: SeatId, kind: Kind, units: Units = None) -> Response:
    """Draw a seat and its first sitter (contact and view: all), or its boards; `view` needs OpenGL where it runs."""
    name = f"{kind}-{units or 'own'}.png"
    return await file_answer(request, seat_id, name, "png", "picture", kind, units or "", tail=f"-{kind}.png")

"""Pictures of a seat."""

from __future__ import annotations

from typing import Literal

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ...answers import kept_answer, unchanged_answer
from ...keeping.kept_or_made import desk_of
from ...models import refusals
from ...tasks import pictures
from .seat_id import SeatId
from .units import Units

router = APIRouter(prefix="/seats", tags=["pictures"])
Kind = Literal[
    "contact", "sections", "plan", "light-lines", "view", "figure", "figure-variants", "way-to-cut"
]  # fmt: skip


@router.get(
    "/{seat_id}/pictures/{kind}.png",
    response_class=Response,
    responses={200: {"content": {"image/png": {}}}, **refusals(404, 422, 503)},
)
async def picture(request: Request, seat_id: SeatId, kind: Kind, units: Units = None) -> Response:
    """Draw a seat and its first sitter (contact and view: all), or its boards; `view` needs OpenGL where it runs."""
    desk = desk_of(request)
    seat, name = desk.seat(seat_id), f"{kind}-{units or 'own'}.png"
    if told := unchanged_answer(request, seat, name, "png"):
        return told
    await desk.file(request, seat, name, False, pictures.picture, kind, units or "")
    saved = f"{desk.store.folder_name(seat)}-{kind}.png"
    return kept_answer(request, desk.store, seat, name, "png", saved)

"""Pictures of a seat."""

from __future__ import annotations

from typing import Literal

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ...models import WORKING, refusals
from .file_answer import file_answer
from .seat_id import SeatId
from .units import Units

router = APIRouter(prefix="/seats", tags=["pictures"])
Kind = Literal[
    "contact", "sections", "plan", "light-lines", "view", "figure", "figure-variants", "way-to-cut"
]  # fmt: skip


@router.get(
    "/{seat_id}/pictures/{kind}.png",
    response_class=Response,
    responses={200: {"content": {"image/png": {}}}, **refusals(404, 422, *WORKING)},
)
async def picture(request: Request, seat_id: SeatId, kind: Kind, units: Units = None) -> Response:
    """Draw a seat and its first sitter (contact and view: all), or its boards; `view` needs OpenGL where it runs."""
    name = f"{kind}-{units or 'own'}.png"
    return await file_answer(request, seat_id, name, "png", "picture", kind, units or "", tail=f"-{kind}.png")

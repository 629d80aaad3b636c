"""Order files: from TOML to the JSON that /seats takes, and back."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ..answers import json_answer, kept_answer, unchanged_answer
from ..keeping.kept_or_made import desk_of
from ..models import POSTED, refusals
from ..requests.intake import TOML, read_body
from ..tasks import orders
from .seats.seat_id import SeatId

router = APIRouter(tags=["orders"])
EXAMPLE = 'title = "Anna\'s chair"\n\n[[sitter]]\nbody = "viola"\n\n[wishes]\ndepth_mm = 16\n'
CONTENT = {"application/toml": {"schema": {"type": "string"}, "example": EXAMPLE}}


@router.post(
    "/orders",
    response_model=dict[str, Any],
    responses=refusals(*POSTED),
    openapi_extra={"requestBody": {"required": True, "content": CONTENT}},
)
async def read(request: Request) -> Response:
    """Read an order file; the answer is the order as JSON, as POST /seats takes it."""
    data = await read_body(request, TOML)
    return json_answer(request, await desk_of(request).parsing(request, orders.order_from_text, data))


@router.get(
    "/seats/{seat_id}/order.toml",
    response_class=Response,
    responses={
        200: {"content": {"application/toml": {"schema": {"type": "string"}}}},
        **refusals(404, 422, 503),
    },
)
async def text(request: Request, seat_id: SeatId) -> Response:
    """Return the order of a seat as an order file."""
    desk = desk_of(request)
    seat = desk.seat(seat_id)
    if told := unchanged_answer(request, seat, "order.toml", "toml"):
        return told
    await desk.file(request, seat, "order.toml", True, orders.order_text)
    saved = f"{desk.store.folder_name(seat)}.toml"
    return kept_answer(request, desk.store, seat, "order.toml", "toml", saved)

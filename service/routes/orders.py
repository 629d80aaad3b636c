"""Order files: from TOML to the JSON that /seats takes, and back."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ..answers import json_answer
from ..desk import desk_of
from ..models import POSTED, WORKING, refusals
from ..requests.intake import TOML, read_body
from ..tasks import orders
from .seats.file_answer import file_answer
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
        **refusals(404, 422, *WORKING),
    },
)
async def text(request: Request, seat_id: SeatId) -> Response:
    """Return the order of a seat as an order file."""
    return await file_answer(request, seat_id, "order.toml", "toml", "order", tail=".toml")

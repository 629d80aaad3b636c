"""Order files: from TOML to the JSON that /seats takes, and back."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ..answers import json_answer
from ..desk import desk_of
from ..models.answers import got_file, posted
from ..models.refusals import POSTED, WORKING
from ..requests.intake import TOML, read_body
from ..schema import file_of_request, order_schema
from ..tasks import orders
from .seats.file_answer import file_answer
from .seats.seat_id import SeatId

router = APIRouter(tags=["orders"])
EXAMPLE = 'title = "Anna\'s chair"\n\n[[sitter]]\nbody = "viola"\n\n[wishes]\ndepth_mm = 16\n'
SENT = file_of_request(
    "application/toml", EXAMPLE, "the text of an order file; application/toml and text/plain do as well"
)
ANSWER = {"description": "the order as JSON", "content": {"application/json": {"schema": order_schema()}}}


@router.post(
    "/orders",
    operation_id="read_order",
    response_class=Response,
    responses=posted(*POSTED, answer=ANSWER),
    openapi_extra=SENT,
)
async def read(request: Request) -> Response:
    """Read an order file; the answer is the order as JSON, as POST /seats takes it."""
    data = await read_body(request, TOML)
    return json_answer(request, await desk_of(request).parsing(request, orders.order_from_text, data))


@router.get(
    "/seats/{seat_id}/order.toml",
    operation_id="get_order",
    response_class=Response,
    responses=got_file("the order file", ("application/toml",), 404, 422, *WORKING, made=True),
)
async def text(request: Request, seat_id: SeatId) -> Response:
    """Return the order of a seat as an order file."""
    return await file_answer(request, seat_id, "order.toml", "toml", "order", tail=".toml")

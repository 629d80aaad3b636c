"""Seats: shape one from an order, and fetch what came of it."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from seatmesh.errors import ValueRefusedError

from ...answers import json_answer, kept_answer, unchanged_answer
from ...desk import desk_of
from ...keeping.identity import seat_id as id_of
from ...models import PreviewOut, SeatOut
from ...models.answers import created, got, posted
from ...models.refusals import POSTED
from ...requests.intake import read_table
from ...schema import ORDER_EXAMPLE, body_of_request, order_schema
from ...tasks import seats
from .seat_id import SeatId

router = APIRouter(prefix="/seats", tags=["seats"])
ORDER = body_of_request(
    order_schema(), ORDER_EXAMPLE, "the keys of an order file; bodies written out or named"
)


@router.post(
    "",
    operation_id="shape_seat",
    status_code=201,
    response_model=SeatOut,
    responses=created(SeatOut, 404, *POSTED),
    openapi_extra=ORDER,
)
async def shape(request: Request) -> Response:
    """Shape the seat of an order; the same order has the same id and the same answer, so it is safe to repeat."""
    order = await _order(request)
    desk, seat = desk_of(request), id_of(order)
    unchanged_answer(request, seat, "", "json", desk.store.has(seat))
    await desk.shaped(request, seat, order)
    return kept_answer(request, desk.store, seat, "", "json", status=201, location=f"/seats/{seat}")


@router.post(
    "/previews",
    operation_id="preview_seat",
    response_model=PreviewOut,
    responses=posted(*POSTED),
    openapi_extra=ORDER,
)
async def look_ahead(request: Request) -> Response:
    """Return the closed-form seat of an order at once, with depths and pressures; it is not kept."""
    order = await _order(request)
    return json_answer(request, await desk_of(request).passing(request, seats.look_ahead, order))


@router.get("/{seat_id}", operation_id="get_seat", response_model=SeatOut, responses=got(404))
async def read(request: Request, seat_id: SeatId) -> Response:
    """Return a seat's figures, byte for byte as POST /seats answered."""
    desk = desk_of(request)
    return kept_answer(request, desk.store, desk.seat(seat_id), "", "json")


async def _order(request: Request) -> dict[str, Any]:
    order = await read_table(request)
    refuse_many_sitters(order, desk_of(request).limits.sitters)
    return order


def refuse_many_sitters(order: dict[str, Any], most: int) -> None:
    """Refuse an order with more than so many sitters."""
    sitters = order.get("sitter")
    if isinstance(sitters, list) and len(sitters) > most:
        raise ValueRefusedError(
            "sitter", f"{len(sitters)} of them", f"at most {most}", "order for a few at a time"
        )

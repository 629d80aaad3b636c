"""The shelf: which seats are kept, pinned ones, and an end to one."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from ...answers import json_answer
from ...desk import Desk, desk_of
from ...keeping.identity import is_id
from ...keeping.kept import SeatRow
from ...models import Seats
from ...models.answers import done, got
from ...problems import REFUSED, ProblemError
from ...tasks.plain import json_bytes
from .seat_id import SeatId

router = APIRouter(prefix="/seats", tags=["seats"])


@router.get("", operation_id="list_seats", response_model=Seats, responses=got(422))
async def seats(
    request: Request,
    limit: Annotated[int, Query(ge=1, le=500, description="seats in one answer", examples=[50])] = 50,
    after: Annotated[
        str | None,
        Query(description="the id of the last seat of the answer before", max_length=32, examples=["0" * 32]),
    ] = None,
) -> Response:
    """List the kept seats, those made last first."""
    desk = desk_of(request)
    rows = desk.store.seats(limit + 1, None if after is None else _place(desk, after))
    more = rows[limit - 1].seat if len(rows) > limit else None
    return json_answer(request, json_bytes({"seats": [_told(one) for one in rows[:limit]], "after": more}))


@router.delete("/{seat_id}", operation_id="delete_seat", status_code=204, responses=done("It is gone", 404))
async def delete(request: Request, seat_id: SeatId) -> Response:
    """Delete a seat and all its files, pinned or not; its order makes it again."""
    desk = desk_of(request)
    desk.store.drop(desk.seat(seat_id))
    return Response(status_code=204)


@router.put(
    "/{seat_id}/pin",
    operation_id="pin_seat",
    status_code=204,
    responses=done("It makes room for no other", 404),
)
async def pin(request: Request, seat_id: SeatId) -> Response:
    """Pin a seat: it makes room for no other."""
    return _pinned(request, seat_id, True)


@router.delete(
    "/{seat_id}/pin",
    operation_id="unpin_seat",
    status_code=204,
    responses=done("It makes room as others do", 404),
)
async def unpin(request: Request, seat_id: SeatId) -> Response:
    """Unpin a seat."""
    return _pinned(request, seat_id, False)


def _pinned(request: Request, seat_id: str, pinned: bool) -> Response:
    desk = desk_of(request)
    seat = desk.seat(seat_id)
    desk.store.pin(seat, pinned)
    return Response(status_code=204)


def _place(desk: Desk, seat: str) -> tuple[float, str]:
    row = desk.store.seat_row(seat) if is_id(seat) else None
    if row is None:
        raise ProblemError(
            422, REFUSED, f"after = {seat!r}: no seat is kept that has this id; begin without it"
        )
    return row.made, row.seat


def _told(row: SeatRow) -> dict[str, Any]:
    return {
        "id": row.seat,
        "title": row.title,
        "made": _time(row.made),
        "used": _time(row.used),
        "size_bytes": row.size,
        "pinned": row.pinned,
    }


def _time(seconds: float) -> str:
    return datetime.fromtimestamp(seconds, UTC).isoformat(timespec="milliseconds")

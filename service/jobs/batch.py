"""A batch: many orders at once, each a piece of work of its own, one that is refused keeping no other from its seat."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from typing import Any

from ..keeping.identity import seat_id
from ..refusal import ProblemError
from .work import SHAPE, Work

AT_ONCE = 8
"""Pieces of one batch that are under way or wait for a worker."""


async def made_of(
    orders: list[dict[str, Any]],
    files: list[dict[str, Any]],
    have: Callable[[Work], Awaitable[None]],
    tell: Callable[[str, float], None],
) -> list[dict[str, Any]]:
    """Have the seats of some orders shaped and files made of each; return a row for each order.

    Parameters
    ----------
    files
        Of each file the fields of its work, but for the seat.
    have
        Has a piece of work done; raises ProblemError where it is refused.
    tell
        Takes how far it is.
    """
    room, done = asyncio.Semaphore(AT_ONCE), 0

    async def one(order: dict[str, Any]) -> dict[str, Any]:
        nonlocal done
        async with room:
            row = await _row(order, files, have)
        done += 1
        tell(f"{done} of {len(orders)} orders are done", done / len(orders))
        return row

    # One that fails as no refusal does ends the others.
    async with asyncio.TaskGroup() as group:
        tasks = [group.create_task(one(order)) for order in orders]
    return [task.result() for task in tasks]


async def _row(
    order: dict[str, Any], files: list[dict[str, Any]], have: Callable[[Work], Awaitable[None]]
) -> dict[str, Any]:
    seat = seat_id(order)
    row: dict[str, Any] = {
        "seat": seat,
        "title": str(order.get("title", "seat")),
        "refusal": None,
        "files": [],
    }
    try:
        await have(Work(SHAPE, seat, given=(order,)))
        for file in files:
            await have(Work(seat=seat, **file))
            row["files"].append(file["name"])
    except ProblemError as refused:
        if refused.status >= 500 and refused.status != 507:
            raise
        row["refusal"] = refused.detail
    return row

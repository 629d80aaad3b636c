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
FOR_GOOD = 422
"""The status of what is refused for what it is: all else may be granted another time."""
MOST_OF_A_TITLE = 500
"""Letters of a title that are written down; an order whose title is longer is refused."""


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
        Of each file the fields of its work, but for the seat; one that is refused keeps no other from being made.
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
    """Return what came of an order; `again` where what was refused may be granted another time."""
    seat, refused = seat_id(order), []
    title = str(order.get("title", "seat"))[:MOST_OF_A_TITLE]
    row: dict[str, Any] = {"seat": seat, "title": title, "files": [], "made": False}
    try:
        await have(Work(SHAPE, seat, given=(order,)))
        row["made"] = True
    except ProblemError as error:
        refused.append((error.status, error.detail))
    for file in files if row["made"] else ():
        try:
            await have(Work(seat=seat, **file))
            row["files"].append(file["name"])
        except ProblemError as error:
            refused.append((error.status, f"{file['suffix']}: {error.detail}"))
    row["refusal"] = "; ".join(words for _, words in refused) or None
    row["again"] = any(status != FOR_GOOD for status, _ in refused)
    return row

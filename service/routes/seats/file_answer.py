"""The answer with a file of a kept seat: what the client has already, what is kept, or what is made now."""

from __future__ import annotations

from typing import Any

from fastapi import Request
from fastapi.responses import Response

from ...answers import PACKED, kept_answer, unchanged_answer
from ...answers.kept_answer import NOT_KEPT
from ...desk import desk_of
from ...refusal import ProblemError


async def file_answer(
    request: Request, seat_id: str, name: str, suffix: str, task: str, *given: Any, tail: str | None = None
) -> Response:
    """Answer with a file of a kept seat.

    Parameters
    ----------
    name
        What it is kept as; the same name always has the same bytes.
    task, given
        A name of `tasks.of_a_seat.registry.FILE_TASKS`, and what that takes besides the seat.
    tail
        The end of the name that it is saved under, after the seat's title; without it it is read at once.
    """
    desk = desk_of(request)
    seat = desk.seat(seat_id)
    if told := unchanged_answer(request, seat, name, suffix):
        return told
    saved = "" if tail is None else desk.store.folder_name(seat) + tail
    try:
        await desk.file(request, seat, name, suffix in PACKED, task, *given, saved_as=saved)
        return kept_answer(request, desk.store, seat, name, suffix, saved)
    except ProblemError as error:
        if error.title != NOT_KEPT:
            raise
    # It made room for others in between: once more.
    await desk.file(request, seat, name, suffix in PACKED, task, *given, saved_as=saved)
    return kept_answer(request, desk.store, seat, name, suffix, saved)

"""Answers with kept files: streamed from disk, their tag known before they are made."""

from __future__ import annotations

import os
from collections.abc import AsyncIterator
from contextlib import ExitStack
from pathlib import Path
from typing import BinaryIO

from anyio.to_thread import run_sync
from fastapi import Request
from fastapi.responses import Response, StreamingResponse

from ..keeping.identity import digest
from ..keeping.room import is_short
from ..keeping.store import Store
from ..refusal import ProblemError
from .accepted import asks_for_bytes, packing
from .bytes_answer import tag_headers
from .conditions import is_read, unchanged_tag
from .media_types import BYTES, MEDIA_TYPES, PACKED
from .parts import Part, part_asked_for
from .saved_names import attachment

CHUNK = 64 * 1024
"""Bytes that are read at once; about twice as much waits for a slow client."""
NOT_KEPT = "The file is kept no more"


def unchanged_answer(
    request: Request, seat: str, name: str, suffix: str, exists: bool = True
) -> Response | None:
    """Answer a conditional request for a kept file before any work, or return None when it is to be done.

    The tag follows from the name, as the same name always has the same bytes. A file that can be made `exists`.

    Raises
    ------
    ProblemError
        412 when a condition does not hold, 406 for a packing that there is not.
    """
    plain, packed = (
        tag_headers(digest(seat, name or "answer"), pack, suffix in PACKED) for pack in (False, True)
    )
    may_pack = suffix in PACKED and (not is_read(request) or packing(request, True) == "gzip")
    ways = [packed, plain] if may_pack else [plain]
    tag = unchanged_tag(request, [one["ETag"] for one in ways], exists)
    if tag is None:
        return None
    return Response(status_code=304, headers=next(one for one in ways if one["ETag"] == tag))


def kept_answer(
    request: Request,
    store: Store,
    seat: str,
    name: str,
    suffix: str,
    saved_as: str = "",
    status: int = 200,
    location: str = "",
) -> Response:
    """Answer with a kept file; `location` is the path of what was created, without a prefix.

    Raises
    ------
    ProblemError
        404 for a file that is kept no more, 406, 412 and 416 as the request's headers ask.
    """
    kind = MEDIA_TYPES[suffix]
    if saved_as and asks_for_bytes(request, kind):
        kind = BYTES
    told = unchanged_answer(request, seat, name, suffix) if is_read(request) else None
    if told is not None:
        return told
    # Open before anything else: it may make room for others while it is sent.
    with ExitStack() as opened:
        handle, size, pack = _open(request, store, seat, name, suffix)
        opened.push(handle)
        headers = tag_headers(digest(seat, name or "answer"), pack, suffix in PACKED)
        if saved_as:
            headers["Content-Disposition"] = attachment(saved_as)
            headers["Vary"] = ", ".join(("Accept", *([headers["Vary"]] if "Vary" in headers else [])))
        if location:
            headers["Location"] = request.scope.get("root_path", "") + location
        part = None
        if is_read(request):
            headers["Accept-Ranges"] = "bytes"
            part = part_asked_for(request, headers["ETag"], size) if status == 200 else None
        if part is not None:
            headers["Content-Range"], status = part.header, 206
        part = part or Part(0, size, size)
        headers["Content-Length"] = str(part.length)
        if request.scope.get("seatmesh.head"):
            return Response(None, status, headers, kind)
        opened.pop_all()
        return StreamingResponse(_chunks(handle, part), status, headers, kind)


def opened_answer(request: Request, handle: BinaryIO, media_type: str, saved_as: str) -> Response:
    """Answer with an open file that is kept nowhere; it is closed when it is sent."""
    size = os.fstat(handle.fileno()).st_size
    headers = {
        "Content-Length": str(size),
        "Content-Disposition": attachment(saved_as),
        "Cache-Control": "no-store",
    }
    if request.scope.get("seatmesh.head"):
        handle.close()
        return Response(None, 200, headers, media_type)
    return StreamingResponse(_chunks(handle, Part(0, size, size)), 200, headers, media_type)


def _open(request: Request, store: Store, seat: str, name: str, suffix: str) -> tuple[BinaryIO, int, bool]:
    """Return an open file, its size, and whether it is the packed one, which is taken where it is smaller."""
    try:
        plain = store.located(seat, name)
        packed = _packed(store, seat, name) if suffix in PACKED else None
        smaller = packed is not None and packed.stat().st_size < plain.stat().st_size
        pack = packing(request, smaller) == "gzip"
        path = packed if packed is not None and pack else plain
        handle = path.open("rb")
        return handle, os.fstat(handle.fileno()).st_size, pack
    except (KeyError, OSError) as error:
        if is_short(error):
            raise
        if name and store.has(seat):
            detail = "it made room for others, and its seat is kept still; ask for the file again, and it is made again"
            raise ProblemError(404, NOT_KEPT, detail) from error
        detail = "it made room for others; post its order to /seats again"
        raise ProblemError(404, "There is no such seat", detail) from error


def _packed(store: Store, seat: str, name: str) -> Path | None:
    try:
        return store.located(seat, name, True)
    except KeyError:
        return None


async def _chunks(handle: BinaryIO, part: Part) -> AsyncIterator[bytes]:
    with handle:
        handle.seek(part.first)
        left = part.length
        while left > 0 and (data := await run_sync(handle.read, min(CHUNK, left))):
            left -= len(data)
            yield data

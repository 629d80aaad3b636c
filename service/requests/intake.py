"""Bodies of requests: counted and unpacked while they arrive, timed, and parsed by a worker."""

from __future__ import annotations

import asyncio
from typing import Any

from fastapi import Request
from starlette.requests import ClientDisconnect

from ..desk import desk_of
from ..limits import ServiceLimits
from ..refusal import ProblemError
from .json_text import parse_table
from .packed_body import Unpacked

JSON = ("application/json",)
BYTES = "application/octet-stream"
TOML = ("application/toml", "text/plain", BYTES)
CSV = ("text/csv", BYTES)
CLOSE = {"Connection": "close"}


async def read_body(request: Request, kinds: tuple[str, ...]) -> bytes:
    """Return the body of a request whose media type is one of `kinds`.

    Raises
    ------
    ProblemError
        415 for another type or packing, 413 for too many bytes, 408 when they take too long.
    """
    limits: ServiceLimits = request.app.state.limits
    given = media_type(request)
    if given not in kinds:
        detail = f"Content-Type = '{given[:80]}': allowed is {' or '.join(kinds)}; send the body as that"
        raise ProblemError(415, "Another media type is needed", detail, CLOSE)
    most = limits.body_kb * 1000
    announced = request.headers.get("content-length", "0")
    if announced.isdecimal() and int(announced[:20]) > most:
        raise _too_large(limits)
    arrived, body = 0, Unpacked(request.headers.getlist("content-encoding"), most)
    try:
        async with asyncio.timeout(limits.body_s):
            async for part in request.stream():
                arrived += len(part)
                body.add(part)
                if max(arrived, body.size) > most:
                    raise _too_large(limits)
    except TimeoutError as error:
        detail = f"the body took longer than {limits.body_s:g} s to arrive; send it again, faster"
        raise ProblemError(408, "The body came too slowly", detail, CLOSE) from error
    except ClientDisconnect as error:
        raise ProblemError(400, "The client is gone", "the connection ended within the body") from error
    return body.whole()


def media_type(request: Request) -> str:
    """Return the media type of a request's body without its parameters."""
    return request.headers.get("content-type", "").partition(";")[0].strip().lower()


async def read_table(request: Request) -> dict[str, Any]:
    """Return the JSON object in a request's body, its values canonical.

    Raises
    ------
    ProblemError, ValueRefusedError
        As `read_body`; 400 for what is no JSON, 422 for JSON that is no object or is nested too deeply.
    """
    data, depth = await read_body(request, JSON), request.app.state.limits.json_depth
    return await desk_of(request).parsing(request, parse_table, data, depth)


def _too_large(limits: ServiceLimits) -> ProblemError:
    detail = f"the body has more than {limits.body_kb} kB, which is the most; send less"
    return ProblemError(413, "The body is too large", detail, CLOSE)

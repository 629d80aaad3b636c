"""Bodies of requests: counted while they arrive, timed, and parsed under limits."""

from __future__ import annotations

import asyncio
import json
import re
from collections import Counter
from typing import Any, NoReturn

import numpy as np
from fastapi import Request
from starlette.requests import ClientDisconnect

from ..keeping.identity import canonical
from ..limits import ServiceLimits
from ..problems import REFUSED, ProblemError

JSON = ("application/json",)
BYTES = "application/octet-stream"
TOML = ("application/toml", "text/plain", BYTES)
CSV = ("text/csv", BYTES)
CLOSE = {"Connection": "close"}
TEXT = re.compile(rb'"(?:[^"\\]++|\\.)*+"?', re.DOTALL)
"""A JSON string, or one that never ends."""


async def read_body(request: Request, kinds: tuple[str, ...]) -> bytes:
    """Return the body of a request whose media type is one of `kinds`.

    Raises
    ------
    ProblemError
        415 for another type, 413 for too many bytes, 408 when they take too long.
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
    parts, size = [], 0
    try:
        async with asyncio.timeout(limits.body_s):
            async for part in request.stream():
                size += len(part)
                if size > most:
                    raise _too_large(limits)
                parts.append(part)
    except TimeoutError as error:
        detail = f"the body took longer than {limits.body_s:g} s to arrive; send it again, faster"
        raise ProblemError(408, "The body came too slowly", detail, CLOSE) from error
    except ClientDisconnect as error:
        raise ProblemError(400, "The client is gone", "the connection ended within the body") from error
    return b"".join(parts)


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
    return parse_table(await read_body(request, JSON), request.app.state.limits.json_depth)


def parse_table(data: bytes, depth: int) -> dict[str, Any]:
    """Return the JSON object in some bytes, its values canonical; raises as `read_table`."""
    refuse_deep(data, depth)
    try:
        value = json.loads(data.decode("utf-8-sig"), parse_constant=_refuse_constant, object_pairs_hook=_once)
    except UnicodeDecodeError as error:
        raise ProblemError(
            400, "The body is not UTF-8", f"byte {error.start} is no UTF-8; send JSON as UTF-8"
        ) from error
    except ValueError as error:
        raise ProblemError(
            400, "The body is not JSON", f"{str(error)[:200]}; send one JSON object"
        ) from error
    if not isinstance(value, dict):
        raise ProblemError(422, REFUSED, f"the body is a {type(value).__name__}; allowed is one JSON object")
    table: dict[str, Any] = canonical(value, "body")
    return table


def refuse_deep(data: bytes, most: int) -> None:
    """Refuse JSON with more than `most` lists and tables inside one another, before it is parsed."""
    bare = np.frombuffer(TEXT.sub(b"", data), dtype=np.uint8)
    steps = np.isin(bare, list(b"[{")).astype(np.int32) - np.isin(bare, list(b"]}"))
    if len(steps) and steps.cumsum().max() > most:
        detail = f"the body has more than {most} lists and tables inside one another; write it flatter"
        raise ProblemError(422, REFUSED, detail)


def _too_large(limits: ServiceLimits) -> ProblemError:
    detail = f"the body has more than {limits.body_kb} kB, which is the most; send less"
    return ProblemError(413, "The body is too large", detail, CLOSE)


def _refuse_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is no finite number")


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    table = dict(pairs)
    if len(table) < len(pairs):
        twice = Counter(key for key, _ in pairs).most_common(1)[0][0]
        raise ValueError(f"the key {twice[:80]!r} is there twice in one table")
    return table

"""Answers whose bytes are at hand; their tag is their hash."""

from __future__ import annotations

from collections.abc import Callable

from fastapi import Request
from fastapi.responses import Response

from ..keeping.identity import digest
from ..tasks.plain import packed
from .accepted import packing
from .conditions import is_read, unchanged_tag
from .media_types import JSON
from .parts import part_asked_for

LEAST_TO_PACK = 1000


def json_answer(request: Request, data: bytes, media_type: str = JSON) -> Response:
    """Answer with JSON that is not kept."""
    return bytes_answer(request, data, media_type, True)


def bytes_answer(
    request: Request,
    data: bytes,
    media_type: str,
    is_text: bool,
    tag: str | None = None,
    make_packed: Callable[[], bytes] | None = None,
) -> Response:
    """Answer with some bytes; tag and packed bytes are made of them where they are not known."""
    may_pack = is_text and len(data) >= LEAST_TO_PACK
    pack = packing(request, may_pack) == "gzip"
    headers = tag_headers(tag or digest(data), pack, is_text)
    if is_read(request) and unchanged_tag(request, (headers["ETag"],)):
        return Response(status_code=304, headers=headers)
    sent = (make_packed() if make_packed else packed(data)) if pack else data
    headers["Accept-Ranges"] = "bytes"
    part = part_asked_for(request, headers["ETag"], len(sent))
    if part is None:
        return Response(sent, 200, headers, media_type)
    headers["Content-Range"] = part.header
    return Response(sent[part.first : part.first + part.length], 206, headers, media_type)


def tag_headers(tag: str, pack: bool, may_pack: bool) -> dict[str, str]:
    """Return tag, packing, and what they hang on."""
    headers = {"ETag": f'"{tag}{"-gz" if pack else ""}"', "Cache-Control": "no-cache"}
    if may_pack:
        headers["Vary"] = "Accept-Encoding"
    if pack:
        headers["Content-Encoding"] = "gzip"
    return headers

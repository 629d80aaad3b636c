"""Answers: media type, entity tag, packing, and the name that a file is saved under."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from urllib.parse import quote

from fastapi import Request
from fastapi.responses import Response

from seatmesh.formats.registry import FORMATS

from .keeping.identity import digest
from .keeping.kept_index import Store
from .problems import ProblemError
from .tasks.plain import packed

JSON = "application/json"
BYTES = "application/octet-stream"
MEDIA_TYPES: Mapping[str, str] = {
    **{one.name: one.media_type for one in FORMATS},
    "csv": "text/csv; charset=utf-8",
    "toml": "application/toml",
    "json": JSON,
    "pdf": "application/pdf",
    "svg": "image/svg+xml",
    "dxf": "image/vnd.dxf",
}
TEXTS = (*(one.name for one in FORMATS if one.is_text), "toml", "json", "svg", "dxf")
"""Formats that are texts, which packing makes several times smaller."""
LEAST_TO_PACK = 1000


def kept_answer(
    request: Request, store: Store, seat: str, name: str, suffix: str, saved_as: str = ""
) -> Response:
    """Answer with a kept file; its tag follows from its name, as the same name always has the same bytes."""
    pack = suffix in TEXTS and accepts_gzip(request)
    headers = _headers(digest(seat, name or "answer"), pack, suffix in TEXTS)
    if saved_as:
        headers["Content-Disposition"] = attachment(saved_as)
        headers["Vary"] = ", ".join(("Accept", *([headers["Vary"]] if "Vary" in headers else [])))
    if unchanged(request, headers["ETag"]):
        return Response(status_code=304, headers=headers)
    try:
        data = store.read(seat, name, pack)
    except KeyError as error:
        detail = "it made room for others; post its order to /seats again"
        raise ProblemError(404, "There is no such seat", detail) from error
    kind = MEDIA_TYPES[suffix]
    return Response(data, 200, headers, BYTES if saved_as and asks_for_bytes(request, kind) else kind)


def attachment(name: str) -> str:
    """Return the header that names a file to save: letters beyond ASCII as RFC 6266 and RFC 8187 write them.

    A client that does not know these gets what is left of the name in ASCII.
    """
    if name.isascii():
        return f'attachment; filename="{name}"'
    parts = re.sub(r"[^\x20-\x7e]+", "", unicodedata.normalize("NFKD", name)).split("-")
    plain = "-".join(part for part in parts if part)
    return f"attachment; filename=\"{plain}\"; filename*=UTF-8''{quote(name, safe='')}"


def json_answer(request: Request, data: bytes, media_type: str = JSON) -> Response:
    """Answer with JSON that is not kept."""
    return bytes_answer(request, data, media_type, True)


def bytes_answer(request: Request, data: bytes, media_type: str, is_text: bool) -> Response:
    """Answer with some bytes; their tag is their hash."""
    pack = is_text and len(data) >= LEAST_TO_PACK and accepts_gzip(request)
    headers = _headers(digest(data), pack, is_text)
    if request.method == "GET" and unchanged(request, headers["ETag"]):
        return Response(status_code=304, headers=headers)
    return Response(packed(data) if pack else data, 200, headers, media_type)


def accepts_gzip(request: Request) -> bool:
    """Tell whether the client takes gzip."""
    for part in request.headers.get("accept-encoding", "").lower().split(","):
        name, _, weight = part.partition(";")
        if name.strip() in ("gzip", "*"):
            return re.fullmatch(r"\s*q\s*=\s*0(\.0*)?\s*", weight) is None
    return False


def asks_for_bytes(request: Request, media_type: str) -> bool:
    """Tell whether the client takes plain bytes and does not take the media type that they have."""
    taken = {one.partition(";")[0].strip() for one in request.headers.get("accept", "").lower().split(",")}
    own = media_type.partition(";")[0]
    return BYTES in taken and not taken & {own, f"{own.partition('/')[0]}/*", "*/*"}


def unchanged(request: Request, tag: str) -> bool:
    """Tell whether the client has what the tag stands for already."""
    given = request.headers.get("if-none-match", "")
    return given.strip() == "*" or tag in {one.strip().removeprefix("W/") for one in given.split(",")}


def _headers(tag: str, pack: bool, may_pack: bool) -> dict[str, str]:
    headers = {"ETag": f'"{tag}{"-gz" if pack else ""}"', "Cache-Control": "no-cache"}
    if may_pack:
        headers["Vary"] = "Accept-Encoding"
    if pack:
        headers["Content-Encoding"] = "gzip"
    return headers

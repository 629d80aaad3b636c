"""The page and its files: from the package, read once; nothing of a request reaches the file system."""

from __future__ import annotations

import mimetypes
from functools import cache
from pathlib import Path

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ..answers import bytes_answer
from ..problems import ProblemError

router = APIRouter(include_in_schema=False)
FOLDER = Path(__file__).resolve().parents[1] / "page"
TEXTS = ("text/", "application/json", "image/svg")
OWN_TYPES = {".js": "text/javascript", ".mjs": "text/javascript", ".css": "text/css", ".woff2": "font/woff2",
             ".svg": "image/svg+xml", ".json": "application/json", ".html": "text/html", ".map": "application/json",
             ".webmanifest": "application/manifest+json", ".ico": "image/x-icon"}  # fmt: skip


@cache
def _files(folder: Path) -> dict[str, Path]:
    """Return the page's files by their path below the folder; a request only chooses among these."""
    found = (one for one in sorted(folder.rglob("*")) if one.is_file() and not one.name.startswith("."))
    return {one.relative_to(folder).as_posix(): one for one in found}


@router.get("/")
async def index(request: Request) -> Response:
    """Return the page."""
    return _file(
        request, "index.html", "the page is not installed here; the service answers below /openapi.json"
    )


@router.get("/page/{name:path}")
async def page_file(request: Request, name: str) -> Response:
    """Return a file of the page."""
    return _file(request, name, "no file of the page has this name")


def _file(request: Request, name: str, missing: str) -> Response:
    files = _files(FOLDER)
    if name not in files:
        raise ProblemError(404, "There is nothing here", missing)
    kind = OWN_TYPES.get(files[name].suffix) or mimetypes.guess_type(name)[0] or "application/octet-stream"
    is_text = kind.startswith(TEXTS)
    words = f"{kind}; charset=utf-8" if kind.startswith("text/") else kind
    return bytes_answer(request, files[name].read_bytes(), words, is_text)

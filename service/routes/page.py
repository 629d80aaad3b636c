"""The page and its files: from the package, read once; nothing of a request reaches the file system."""

from __future__ import annotations

import re

from fastapi import APIRouter, Request
from fastapi.responses import Response

from .. import page_release
from ..answers import bytes_answer
from ..page_release import PageFile, Release, release_of
from ..problems import ProblemError

router = APIRouter(include_in_schema=False)
FOREVER = "public, max-age=31536000, immutable"
"""A year is the longest that caches need to know (RFC 9111 and RFC 8246): the path holds a hash of what it gives."""
OTHER_RELEASE = re.compile(r"[0-9a-f]{16}/")


@router.get("/")
async def index(request: Request) -> Response:
    """Return the page."""
    release = _release()
    found = release.index_with_token if request.app.state.asks_token else release.index
    if found is None:
        detail = "the page is not installed here; the service answers below /openapi.json"
        raise ProblemError(404, "There is nothing here", detail)
    return _answer(request, found)


@router.get("/page/{name:path}")
async def page_file(request: Request, name: str) -> Response:
    """Return a file of the page: by its name alone as it is now, by the release as it is for good."""
    release = _release()
    first, _, rest = name.partition("/")
    is_named = first == release.name
    found = release.files.get(rest if is_named else name)
    if found is None:
        is_other = OTHER_RELEASE.match(name) is not None and not is_named
        why = (
            "the page has been renewed since it was opened; load it again"
            if is_other
            else "no file of the page has this name"
        )
        raise ProblemError(404, "There is nothing here", why)
    answer = _answer(request, found)
    if is_named:
        answer.headers["Cache-Control"] = FOREVER
    return answer


def _release() -> Release:
    return release_of(page_release.FOLDER)


def _answer(request: Request, file: PageFile) -> Response:
    return bytes_answer(request, file.data, file.media_type, file.is_text, file.tag, lambda: file.packed)

"""Paths: below a proxy's prefix, with a version before them, and HEAD wherever GET is."""

from __future__ import annotations

import re

from starlette.datastructures import Headers
from starlette.types import ASGIApp, Receive, Scope, Send

VERSION = "/v1"
PREFIX = re.compile(r"(/[A-Za-z0-9_~-][A-Za-z0-9._~-]{0,60}){1,8}", re.ASCII)
"""What a prefix may be, so that it may stand in a link and in a header as it is."""
OWN_PATHS = ("v1", "seats", "bodies", "measures", "orders", "jobs", "batches", "vocabulary", "guide", "page", "health",
             "metrics", "openapi.json", "favicon.ico")  # fmt: skip
"""What the service's own paths begin with."""


def own_path(scope: Scope) -> str:
    """Return the path of a request without prefix and version."""
    path: str = scope["path"]
    return path.removeprefix(scope.get("root_path", ""))


class Paths:
    """Give the application paths as it knows them; what stood before them is its `root_path`.

    The prefix is `prefix`, whether the proxy takes it off the path or not. Without one it is what a proxy says in
    X-Forwarded-Prefix; that changes nothing but the links in the answer to the same request.
    """

    def __init__(self, app: ASGIApp, prefix: str = "") -> None:
        self._app, self._prefix = app, prefix

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request under its plain path."""
        if scope["type"] == "http":
            path, before = scope["path"], self._prefix
            if before and (path == before or path.startswith(before + "/")):
                path = path[len(before) :] or "/"
            elif not before:
                forwarded = Headers(scope=scope).get("x-forwarded-prefix", "").rstrip("/")
                before = forwarded if PREFIX.fullmatch(forwarded) else ""
            if path == VERSION or path.startswith(VERSION + "/"):
                before, path = before + VERSION, path[len(VERSION) :] or "/"
            scope = {**scope, "root_path": before, "path": before + path}
            if scope["method"] == "HEAD":
                scope.update({"method": "GET", "seatmesh.head": True})
        await self._app(scope, receive, send)

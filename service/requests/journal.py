"""The journal: every request is counted, and written down where a log is kept."""

from __future__ import annotations

import time
from collections.abc import MutableMapping
from typing import Any

from starlette.datastructures import Headers
from starlette.types import ASGIApp, Receive, Scope, Send

from .metrics import Metrics
from .request_log import RequestLog

GONE = 499
"""The status of a request whose client was gone before an answer began."""


class Journal:
    """Metrics and log of one service."""

    def __init__(self, log: RequestLog) -> None:
        self.metrics, self.log = Metrics(), log

    def cut(self, client: str, why: str, status: int, size: int = 0) -> None:
        """Enter a connection that was refused or cut before there was a request."""
        self.metrics.refused[why] += 1
        self.log.line(client, "-", status, size)


class Journalled:
    """Enter every request into a journal when its answer has ended."""

    def __init__(self, app: ASGIApp, journal: Journal) -> None:
        self._app, self._journal = app, journal

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request and note how."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        status, size, began = GONE, 0, time.monotonic()
        noted: dict[str, Any] = {}

        async def counted(message: MutableMapping[str, Any]) -> None:
            nonlocal status, size
            if message["type"] == "http.response.start":
                status = message["status"]
            elif message["type"] == "http.response.body" and scope["method"] != "HEAD":
                size += len(message.get("body", b""))
            await send(message)

        try:
            await self._app({**scope, "seatmesh.noted": noted}, receive, counted)
        finally:
            self._enter(scope, noted.get("route", "none"), status, size, time.monotonic() - began)

    def _enter(self, scope: Scope, route: str, status: int, size: int, seconds: float) -> None:
        self._journal.metrics.count(scope["method"], route, status, seconds)
        query = scope.get("query_string", b"").decode("latin-1")
        target = scope.get("raw_path", scope["path"].encode()).decode("latin-1") + (
            "?" + query if query else ""
        )
        headers = Headers(scope=scope)
        self._journal.log.line(
            (scope.get("client") or ("-",))[0],
            f"{scope['method']} {target} HTTP/{scope.get('http_version', '1.1')}",
            status,
            size,
            headers.get("referer", "-"),
            headers.get("user-agent", "-"),
        )


class RouteNoted:
    """Tell the journal which route answered, by its pattern."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, then note the route."""
        try:
            await self._app(scope, receive, send)
        finally:
            route = getattr(scope.get("route"), "path", "")
            if route and "seatmesh.noted" in scope:
                scope["seatmesh.noted"]["route"] = route

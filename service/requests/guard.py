"""Who may ask, from where, and what every answer carries: one layer around the application."""

from __future__ import annotations

import logging
import secrets
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import Response
from starlette.types import ASGIApp, Receive, Scope, Send

from ..problems import fault, problem
from .hosts import is_foreign, is_host, is_loopback
from .paths import own_path

LOG = logging.getLogger("uvicorn.error")
SECURITY = {
    "Content-Security-Policy": (
        "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
        "object-src 'none'; base-uri 'none'; frame-ancestors 'none'; form-action 'self'"
    ),
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(self)",
}
OPEN = ("/", "/page", "/favicon.ico", "/guide")
Message = MutableMapping[str, Any]
Answer = Callable[[Scope, Receive, Send], Awaitable[None]]


class Guard:
    """Host name, origin, token and headers.

    With a token, everything but the page and its files asks for `Authorization: Bearer TOKEN`. Without one the service
    is for this machine alone: a Host header of another name is a page of the web that points its own name here.
    """

    def __init__(self, app: ASGIApp, token: str | None = None, allow_origin: str | None = None) -> None:
        self._app, self._token = app, token
        extra = {} if allow_origin is None else _cross_origin(allow_origin)
        self._origin = allow_origin
        self._headers = {**SECURITY, **extra}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or refuse it."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        started = False

        async def with_headers(message: Message) -> None:
            nonlocal started
            if message["type"] == "http.response.start":
                started = True
                headers = MutableHeaders(scope=message)
                for name, value in self._headers.items():
                    headers.setdefault(name, value)
            await send(message)

        headers = Headers(scope=scope)
        try:
            await self._answer(scope, headers)(scope, receive, with_headers)
        except Exception:
            if started:
                raise
            LOG.exception("a fault of the program")
            await fault()(scope, receive, with_headers)

    def _answer(self, scope: Scope, headers: Headers) -> Answer:
        refused = self._refused_host(headers)
        if refused is not None:
            return refused
        if is_foreign(scope["method"], headers, self._origin):
            return problem(
                403,
                "Another site's page asks",
                "a page of another origin may change nothing here; 'seatmesh serve --allow-origin' names one that may",
            )
        if self._origin is not None and scope["method"] == "OPTIONS":
            return Response(status_code=204)
        if self._token is None or _is_open(own_path(scope)) or self._has_token(headers):
            return self._app
        return problem(
            401,
            "A token is needed",
            "send the header 'Authorization: Bearer TOKEN'; the token was given to 'seatmesh serve'",
            {"WWW-Authenticate": "Bearer"},
        )

    def _refused_host(self, headers: Headers) -> Response | None:
        hosts = headers.getlist("host")
        if len(hosts) > 1:
            return problem(400, "The host is not clear", "there is more than one Host header; send one")
        host = hosts[0].strip() if hosts else "localhost"
        if self._token is None and not is_loopback(host):
            detail = "without a token allowed are localhost, 127.0.0.1 and [::1], with or without a port"
            return problem(421, "Another host is asked for", detail)
        if not is_host(host):
            return problem(
                400, "The host is not clear", "Host is no name or address with or without a port; send one"
            )
        return None

    def _has_token(self, headers: Headers) -> bool:
        scheme, _, given = headers.get("authorization", "").strip().partition(" ")
        same = secrets.compare_digest(given.strip().encode("latin-1"), (self._token or "").encode())
        return same and scheme.lower() == "bearer"


def _is_open(path: str) -> bool:
    return path in OPEN or path.startswith(("/page/", "/guide/"))


def _cross_origin(origin: str) -> dict[str, str]:
    return {
        "Access-Control-Allow-Origin": origin,
        "Access-Control-Allow-Methods": "GET, HEAD, POST, PUT, DELETE, OPTIONS",
        "Access-Control-Allow-Headers": "Authorization, Content-Type, If-Match, If-None-Match, Prefer, Range, If-Range",
        "Access-Control-Expose-Headers": "ETag, Content-Disposition, Content-Range, Link, Location, Retry-After",
        "Cross-Origin-Resource-Policy": "cross-origin",
    }

"""Who may ask, from where, and what every answer carries: one layer around the application."""

from __future__ import annotations

import ipaddress
import secrets
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import Response
from starlette.types import ASGIApp, Receive, Scope, Send

from ..problems import problem

LOOPBACK = ("127.0.0.1", "::1", "localhost")
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
    "Permissions-Policy": "geolocation=(), microphone=()",
}
OPEN = ("/", "/page", "/favicon.ico", "/guide")
Message = MutableMapping[str, Any]
Answer = Callable[[Scope, Receive, Send], Awaitable[None]]


class Guard:
    """Token, host name and headers.

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

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in self._headers.items():
                    headers.setdefault(name, value)
            await send(message)

        headers = Headers(scope=scope)
        await self._answer(scope, headers)(scope, receive, with_headers)

    def _answer(self, scope: Scope, headers: Headers) -> Answer:
        if self._origin is not None and scope["method"] == "OPTIONS":
            return Response(status_code=204)
        if self._token is None and not _is_loopback(headers.get("host", "localhost")):
            return problem(
                421, "Another host is asked for", "without a token allowed are localhost, 127.0.0.1 and [::1]"
            )
        if self._token is None or _is_open(scope["path"]):
            return self._app
        given = headers.get("authorization", "").encode("latin-1")
        if secrets.compare_digest(given, f"Bearer {self._token}".encode()):
            return self._app
        return problem(
            401,
            "A token is needed",
            "send the header 'Authorization: Bearer TOKEN'; the token was given to 'seatmesh serve'",
            {"WWW-Authenticate": "Bearer"},
        )


def _is_open(path: str) -> bool:
    return path in OPEN or path.startswith(("/page/", "/guide/"))


def _is_loopback(host: str) -> bool:
    name = host.rpartition("]")[0].lstrip("[") if host.startswith("[") else host.partition(":")[0]
    try:
        return name.lower() in LOOPBACK or ipaddress.ip_address(name).is_loopback
    except ValueError:
        return False


def _cross_origin(origin: str) -> dict[str, str]:
    return {
        "Access-Control-Allow-Origin": origin,
        "Access-Control-Allow-Methods": "GET, POST, OPTIONS",
        "Access-Control-Allow-Headers": "Authorization, Content-Type, If-None-Match",
        "Access-Control-Expose-Headers": "ETag, Content-Disposition, Retry-After",
        "Cross-Origin-Resource-Policy": "cross-origin",
    }

"""Refusals as problem details (RFC 9457): what was given, what is allowed, what to do."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import Response
from starlette.exceptions import HTTPException
from starlette.routing import Match

from seatmesh.errors import InputError, SeatmeshError
from seatmesh.units import shown

from .keeping.room import DISK_FULL, NO_ROOM, is_full, is_short
from .refusal import REFUSED, UNSOLVED, ProblemError

MEDIA_TYPE = "application/problem+json"
TOO_MUCH, SHORT_WORDS = "Too much to do", "the service has too many files open for now; ask again in 3 s"
__all__ = ["MEDIA_TYPE", "REFUSED", "UNSOLVED", "ProblemError", "add_handlers", "fault", "problem"]


def problem(status: int, title: str, detail: str, headers: Mapping[str, str] | None = None) -> Response:
    """Return a refusal as application/problem+json."""
    return _answer(ProblemError(status, title, detail, headers))


def _answer(error: ProblemError) -> Response:
    data = json.dumps(error.facts(), ensure_ascii=False).encode("utf-8", "replace")
    return Response(data, error.status, {"Cache-Control": "no-store", **error.headers}, MEDIA_TYPE)


def fault() -> Response:
    """Return what is said of a fault of the program: nothing of its inside."""
    return problem(500, "Something went wrong here", "this is a fault of the program; its log says more")


def add_handlers(app: FastAPI) -> None:
    """Let every error of the application end as a problem, those of the framework too."""

    @app.exception_handler(ProblemError)
    async def ours(_request: Request, error: ProblemError) -> Response:
        return _answer(error)

    @app.exception_handler(SeatmeshError)
    async def refused(_request: Request, error: SeatmeshError) -> Response:
        if isinstance(error, InputError):
            return _answer(ProblemError(422, REFUSED, str(error), refused=error.facts()))
        return problem(422, UNSOLVED, str(error))

    @app.exception_handler(RequestValidationError)
    async def invalid(_request: Request, error: RequestValidationError) -> Response:
        return problem(422, REFUSED, "; ".join(_in_words(one) for one in error.errors()))

    @app.exception_handler(HTTPException)
    async def of_the_framework(request: Request, error: HTTPException) -> Response:
        if error.status_code != 405:
            return problem(error.status_code, *_framework_words(request, error), error.headers)
        allowed = _allowed(app, request)
        if request.method == "OPTIONS":
            return Response(status_code=204, headers={"Allow": allowed})
        path = shown(request.url.path)
        detail = f"{request.method[:20]} {path}: allowed is {allowed}; see /openapi.json"
        return problem(405, "Not this method", detail, {"Allow": allowed})

    @app.exception_handler(sqlite3.OperationalError)
    async def of_the_index(_request: Request, error: sqlite3.OperationalError) -> Response:
        if is_full(error):
            return problem(507, NO_ROOM, DISK_FULL)
        return problem(503, "The store is busy", "it could not be reached; ask again", {"Retry-After": "3"})

    @app.exception_handler(OSError)
    async def of_the_machine(_request: Request, error: OSError) -> Response:
        if is_full(error):
            return problem(507, NO_ROOM, DISK_FULL)
        if is_short(error):
            return problem(503, TOO_MUCH, SHORT_WORDS, {"Retry-After": "3"})
        raise error

    @app.exception_handler(Exception)
    async def unforeseen(_request: Request, _error: Exception) -> Response:
        return fault()


def _in_words(error: Mapping[str, object]) -> str:
    place = error["loc"]
    name = ".".join(str(one) for one in place[1:]) if isinstance(place, tuple) else "request"
    message = str(error["msg"])
    return f"{name} = {shown(error.get('input'))}: {message[:1].lower()}{message[1:]}; correct it"


def _framework_words(request: Request, error: HTTPException) -> tuple[str, str]:
    path = shown(request.url.path)
    if error.status_code == 404:
        return "There is nothing here", f"{path} is no path of this service; /openapi.json lists them"
    return REFUSED, str(error.detail)


def _allowed(app: FastAPI, request: Request) -> str:
    """Return the methods that a path takes; what can be read has HEAD too."""
    found = [
        method
        for method in ("GET", "POST", "PUT", "PATCH", "DELETE")
        if any(one.matches({**request.scope, "method": method})[0] is Match.FULL for one in app.routes)
    ]
    return ", ".join(["GET", "HEAD", *found[1:]] if "GET" in found else found)

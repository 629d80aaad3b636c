"""The application: routes, the token, and refusals as problem details (RFC 9457)."""

from __future__ import annotations

import secrets
from collections.abc import Awaitable, Callable

from fastapi import FastAPI, Request
from fastapi.responses import JSONResponse, Response

import seatmesh
from seatmesh.errors import InputError, NotSolvedError

from . import bodies, seats
from .store import SeatStore, UnknownSeatError


def create_app(token: str | None = None) -> FastAPI:
    """Return the application; with a token every request has to bring `Authorization: Bearer TOKEN`."""
    app = FastAPI(
        title="seatmesh",
        version=seatmesh.__version__,
        description="Carved solid-wood seats, fitted to their sitters. Names of figures end in their unit.",
    )
    app.state.store = SeatStore()
    app.include_router(bodies.router)
    app.include_router(seats.router)

    @app.get("/health")
    def health() -> dict[str, str]:
        """Say that the service is up, and its version."""
        return {"status": "ok", "version": seatmesh.__version__}

    @app.exception_handler(InputError)
    def refused(_request: Request, error: InputError) -> JSONResponse:
        return problem(422, "The request is refused", str(error))

    @app.exception_handler(NotSolvedError)
    def not_solved(_request: Request, error: NotSolvedError) -> JSONResponse:
        return problem(422, "There is no answer", str(error))

    @app.exception_handler(UnknownSeatError)
    def unknown(_request: Request, error: UnknownSeatError) -> JSONResponse:
        return problem(404, "There is no such seat", str(error))

    @app.middleware("http")
    async def only_with_token(request: Request, answer: Callable[[Request], Awaitable[Response]]) -> Response:
        given = request.headers.get("authorization", "")
        if token is not None and not secrets.compare_digest(given.encode(), f"Bearer {token}".encode()):
            return problem(401, "A token is needed", "send the header 'Authorization: Bearer TOKEN'")
        return await answer(request)

    return app


def problem(status: int, title: str, detail: str) -> JSONResponse:
    """Return a refusal as application/problem+json."""
    return JSONResponse(
        {"title": title, "status": status, "detail": detail},
        status_code=status,
        media_type="application/problem+json",
    )

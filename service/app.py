"""The application: what answers where."""

from __future__ import annotations

import contextlib
import logging
import os
from collections.abc import AsyncIterator
from pathlib import Path

from fastapi import FastAPI, Request
from fastapi.responses import Response

import seatmesh
from seatmesh.cautions import IN_SHORT

from .answers import json_answer
from .desk import Desk
from .document.whole import describe
from .jobs.works import StillWorkingError
from .keeping.own_folder import claim
from .limits import ServiceLimits
from .problems import add_handlers
from .requests.guard import Guard
from .requests.journal import Journal, Journalled, RouteNoted
from .requests.paths import VERSION, Paths
from .requests.request_log import RequestLog
from .routes import (
    batches,
    bodies,
    guide,
    health,
    jobs,
    measures,
    metrics,
    orders,
    page,
    photographs,
    vocabulary,
)
from .routes.seats import (
    depth_grids,
    gauge_checks,
    meshes,
    mock_ups,
    pictures,
    printed_gauges,
    reports,
    seat_files,
    shaping,
    sheets,
    shelf,
    wood,
)
from .routes.seats.sitting import comparisons, contact_maps, many_sittings, people
from .tasks.plain import json_bytes
from .workers.lane import Workers

ROUTES = (
    health, guide, vocabulary, measures, bodies, orders, shelf, shaping, jobs, batches, depth_grids, meshes,
    contact_maps, comparisons, many_sittings, people, reports, pictures, sheets, gauge_checks, printed_gauges,
    mock_ups, seat_files, wood, photographs, metrics, page,
)  # fmt: skip
WORDS = (
    "Carved solid-wood seats, fitted to their sitters. Names of figures end in their unit: mm, kpa, cm2, n, kg, deg. "
    "Left and right are the sitter's; x goes to the sitter's right, y forward from the rear edge. Refusals are problem "
    "details (RFC 9457). " + IN_SHORT
)


def create_app(
    folder: Path,
    limits: ServiceLimits | None = None,
    token: str | None = None,
    allow_origin: str | None = None,
    prefix: str = "",
    log: logging.Handler | None = None,
    workers: Workers | None = None,
) -> FastAPI:
    """Return the application, its seats kept below `folder`; `workers` do the long work, else processes of its own.

    See `Guard` for token and origin, `Paths` for the prefix, `RequestLog` for the log.

    Raises
    ------
    FileRefusedError
        The folder is not the service's own, cannot be used, or another service has it.
    """
    limits = limits or ServiceLimits()
    claimed = claim(folder)
    desk = Desk(limits, folder, alone=claimed.alone, workers=workers)
    claimed.share()

    @contextlib.asynccontextmanager
    async def life(app: FastAPI) -> AsyncIterator[None]:
        app.state.desk = desk
        try:
            async with desk.open():
                yield
        finally:
            os.close(claimed.handle)

    app = FastAPI(
        title="seatmesh",
        version=seatmesh.__version__,
        description=WORDS,
        lifespan=life,
        openapi_url=None,
        docs_url=None,
        redoc_url=None,
    )
    app.state.limits = limits
    app.state.notes = (*claimed.notes, *desk.store.notes)
    app.state.journal = Journal(RequestLog(log, token))
    app.state.asks_token = token is not None
    app.state.bodies = None
    app.state.vocabulary = None
    for one in ROUTES:
        app.include_router(one.router)
    _add_document(app)
    add_handlers(app)
    _add_jobs(app)
    # What is added last comes first.
    app.add_middleware(RouteNoted)
    app.add_middleware(Guard, token=token, allow_origin=allow_origin)
    app.add_middleware(Paths, prefix=prefix)
    app.add_middleware(Journalled, journal=app.state.journal)
    return app


def _add_jobs(app: FastAPI) -> None:
    @app.exception_handler(StillWorkingError)
    async def told_of_a_job(request: Request, error: StillWorkingError) -> Response:
        return jobs.accepted(request, error.job)


def _add_document(app: FastAPI) -> None:
    describe(app)

    @app.get("/openapi.json", include_in_schema=False)
    async def document(request: Request) -> Response:
        if app.state.document is None:
            app.state.document = app.openapi()
        before = request.scope.get("root_path", "").removesuffix(VERSION)
        servers = [
            {"url": before + VERSION, "description": "paths with their version; without it they are the same"}
        ]
        return json_answer(request, json_bytes({**app.state.document, "servers": servers}))

    app.state.document = None

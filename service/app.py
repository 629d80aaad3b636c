"""The application: what answers where."""

from __future__ import annotations

import contextlib
import os
from collections.abc import AsyncIterator
from pathlib import Path

from fastapi import FastAPI, Request
from fastapi.responses import Response

import seatmesh
from seatmesh.cautions import IN_SHORT

from .answers import json_answer
from .document.whole import describe
from .keeping.kept_or_made import Desk
from .keeping.own_folder import claim
from .limits import ServiceLimits
from .problems import add_handlers
from .requests.guard import Guard
from .routes import bodies, guide, health, measures, orders, page, vocabulary
from .routes.seats import (
    comparisons,
    contact_maps,
    depth_grids,
    gauge_checks,
    meshes,
    pictures,
    reports,
    shaping,
    sheets,
    wood,
)
from .tasks.plain import json_bytes

ROUTES = (health, guide, vocabulary, measures, bodies, orders, shaping, depth_grids, meshes, contact_maps, comparisons,
          reports, pictures, sheets, gauge_checks, wood, page)  # fmt: skip
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
) -> FastAPI:
    """Return the application, its seats kept below `folder`; see `Guard` for the token.

    Raises
    ------
    FileRefusedError
        The folder is not the service's own, cannot be used, or another service has it.
    """
    limits = limits or ServiceLimits()
    claimed = claim(folder)
    desk = Desk(limits, folder)

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
    app.state.notes = claimed.notes
    app.state.bodies = None
    app.state.vocabulary = None
    for one in ROUTES:
        app.include_router(one.router)
    _add_document(app)
    add_handlers(app)
    app.add_middleware(Guard, token=token, allow_origin=allow_origin)
    return app


def _add_document(app: FastAPI) -> None:
    describe(app)

    @app.get("/openapi.json", include_in_schema=False)
    async def document(request: Request) -> Response:
        if app.state.document is None:
            app.state.document = json_bytes(app.openapi())
        return json_answer(request, app.state.document)

    app.state.document = None

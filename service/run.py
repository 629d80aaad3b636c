"""Run the service."""

from __future__ import annotations

from pathlib import Path

import uvicorn

from .app import create_app
from .limits import Limits


def serve(
    host: str, port: int, folder: Path, limits: Limits, token: str | None, allow_origin: str | None
) -> None:
    """Serve until stopped."""
    app = create_app(folder, limits, token, allow_origin)
    uvicorn.run(
        app,
        host=host,
        port=port,
        log_level="warning",
        server_header=False,
        timeout_graceful_shutdown=5,
    )

"""Run the service."""

from __future__ import annotations

import uvicorn

from .app import create_app


def serve(host: str, port: int, token: str | None) -> None:
    """Serve until stopped."""
    uvicorn.run(create_app(token), host=host, port=port, log_level="warning")

"""Run the service."""

from __future__ import annotations

import socket
from pathlib import Path

import uvicorn

from seatmesh.errors import ValueRefusedError

from .app import create_app
from .connection import PatientConnection
from .limits import Limits

WAITING = 256
"""Connections that may wait to be accepted."""


def bound(host: str, port: int) -> socket.socket:
    """Return a socket that listens at an address.

    Raises
    ------
    ValueRefusedError
        The port is taken, or the address is none of this machine.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    try:
        return socket.create_server((host, port), family=family, backlog=WAITING)
    except OSError as error:
        raise ValueRefusedError(
            "--host and --port", f"{host} {port}", f"it cannot be listened at ({error.strerror or error})",
            "choose a free port, or another address of this machine",
        ) from error  # fmt: skip


def serve(
    listening: socket.socket, folder: Path, limits: Limits, token: str | None, allow_origin: str | None
) -> None:
    """Serve until stopped."""
    app = create_app(folder, limits, token, allow_origin)
    config = uvicorn.Config(
        app,
        http=PatientConnection,
        log_level="warning",
        server_header=False,
        timeout_graceful_shutdown=5,
        backlog=WAITING,
    )
    uvicorn.Server(config).run([listening])

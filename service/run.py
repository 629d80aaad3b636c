"""Run the service."""

from __future__ import annotations

import socket

import uvicorn
from fastapi import FastAPI

from seatmesh.errors import ValueRefusedError

from .app import create_app
from .requests.connection import PatientConnection
from .workers.cluster import cluster

__all__ = ["bound", "cluster", "create_app", "serve"]
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


def serve(app: FastAPI, listening: socket.socket) -> None:
    """Serve until stopped."""
    config = uvicorn.Config(
        app,
        http=PatientConnection,
        log_level="warning",
        server_header=False,
        timeout_graceful_shutdown=5,
        backlog=WAITING,
    )
    uvicorn.Server(config).run([listening])

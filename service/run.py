"""Run the service."""

from __future__ import annotations

import socket

import uvicorn
from fastapi import FastAPI

from seatmesh.errors import ValueRefusedError
from seatmesh.units import shown

from .app import create_app
from .requests.connection import PatientConnection
from .requests.paths import OWN_PATHS, PREFIX
from .requests.request_log import open_log
from .workers.cluster import cluster

__all__ = ["bound", "cluster", "create_app", "open_log", "prefix_from", "serve"]
WAITING = 256
"""Connections that may wait to be accepted."""
SEND_BUFFER = 256 * 1024
"""Bytes that the kernel keeps for a client; Linux doubles it for its own needs."""


def bound(host: str, port: int) -> socket.socket:
    """Return a socket that listens at an address.

    Raises
    ------
    ValueRefusedError
        The port is taken, or the address is none of this machine.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    try:
        listening = socket.create_server((host, port), family=family, backlog=WAITING)
    except OSError as error:
        raise ValueRefusedError(
            "--host and --port", f"{host} {port}", f"it cannot be listened at ({error.strerror or error})",
            "choose a free port, or another address of this machine",
        ) from error  # fmt: skip
    # Connections inherit it: what waits for a client that reads nothing is bounded in the kernel too.
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, SEND_BUFFER)
    return listening


def prefix_from(text: str) -> str:
    """Return the path below which a proxy serves the service, without a slash behind; "" for none.

    Raises
    ------
    ValueRefusedError
        It is no path, or begins like a path of the service itself, so that nobody could tell one from the other.
    """
    prefix = text.rstrip("/")
    if prefix and PREFIX.fullmatch(prefix) is None:
        raise ValueRefusedError(
            "--prefix", shown(text), "a path of letters, digits, '-', '_', '.' and '~', such as /seats-of-mine",
            "write it with a slash before it",
        )  # fmt: skip
    if prefix and prefix.split("/")[1] in OWN_PATHS:
        raise ValueRefusedError(
            "--prefix", shown(text), f"none that begins with {', '.join(OWN_PATHS)}", "choose another"
        )
    return prefix


def serve(app: FastAPI, listening: socket.socket) -> None:
    """Serve until stopped."""
    config = uvicorn.Config(
        app,
        http=PatientConnection,
        ws="none",
        log_level="warning",
        server_header=False,
        timeout_graceful_shutdown=5,
        backlog=WAITING,
    )
    uvicorn.Server(config).run([listening])

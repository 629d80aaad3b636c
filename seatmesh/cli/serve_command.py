"""`seatmesh serve`: answer over HTTP. The web framework is loaded here and in the service alone."""

from __future__ import annotations

import argparse
import importlib

from seatmesh.cli.output import print_json, say
from seatmesh.errors import ValueRefusedError

LOOPBACK = ("127.0.0.1", "::1", "localhost")


def run(options: argparse.Namespace) -> None:
    """Serve until stopped."""
    if not 1 <= options.port <= 65535:
        raise ValueRefusedError("--port", options.port, "1 to 65535", "choose a free port")
    if options.host not in LOOPBACK and not options.token:
        raise ValueRefusedError(
            "--host",
            options.host,
            f"{', '.join(LOOPBACK)} without a token",
            "give --token to listen beyond this machine",
        )
    address = f"http://{options.host}:{options.port}"
    if options.json:
        print_json({"address": address})
    say(f"listening at {address}; stop with Ctrl-C")
    importlib.import_module("seatmesh_service.run").serve(options.host, options.port, options.token)

"""`seatmesh serve`: answer over HTTP. The web framework is loaded here and in the service alone."""

from __future__ import annotations

import argparse
import importlib
import ipaddress
import os
import re
from pathlib import Path

from seatmesh.cli.output import print_json, say
from seatmesh.errors import ValueRefusedError
from seatmesh.units import shown

TOKEN_VARIABLE = "SEATMESH_TOKEN"
SHORTEST_TOKEN = 16


def run(options: argparse.Namespace) -> None:
    """Serve until stopped."""
    if not 1 <= options.port <= 65535:
        raise ValueRefusedError("--port", options.port, "1 to 65535", "choose a free port")
    token = options.token or os.environ.get(TOKEN_VARIABLE) or None
    beyond = not is_loopback(options.host)
    _check_token(options.host, token, beyond)
    limits_module = importlib.import_module("seatmesh_service.limits")
    limits = limits_module.limits_from(limits_module.settings_of(options.limit, os.environ))
    _check_origin(options.allow_origin)
    service = importlib.import_module("seatmesh_service.run")
    prefix = service.prefix_from(options.prefix)
    log = None if options.log is None else service.open_log(options.log, options.json)
    # The port first: one that is taken leaves no folder behind.
    with service.bound(options.host, options.port) as listening:
        workers = service.cluster(options.scheduler) if options.scheduler else None
        app = service.create_app(
            Path(options.folder), limits, token, options.allow_origin, prefix, log, workers
        )
        for note in app.state.notes:
            say(f"note: {note}")
        _say_where(options, beyond)
        service.serve(app, listening)


def _say_where(options: argparse.Namespace, beyond: bool) -> None:
    name = f"[{options.host}]" if ":" in options.host else options.host
    address = f"http://{name}:{options.port}{options.prefix.rstrip('/')}"
    if options.json:
        print_json({"address": address})
    say(f"listening at {address}; stop with Ctrl-C")
    if beyond:
        say(
            "others can reach it; every request but the page needs 'Authorization: Bearer TOKEN', unencrypted"
        )


def is_loopback(host: str) -> bool:
    """Tell whether an address is for this machine alone."""
    try:
        return host == "localhost" or ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def _check_origin(origin: str | None) -> None:
    if origin is not None and re.fullmatch(r"\*|null|https?://[^/?#@\s]+", origin) is None:
        raise ValueRefusedError(
            "--allow-origin", shown(origin), "scheme and host, maybe a port, and nothing behind",
            "write it like https://shop.example",
        )  # fmt: skip


def _check_token(host: str, token: str | None, beyond: bool) -> None:
    if beyond and token is None:
        raise ValueRefusedError(
            "--host",
            shown(host),
            "localhost, 127.0.0.1 and ::1 without a token",
            f"give --token or {TOKEN_VARIABLE} to listen beyond this machine",
        )
    if token is not None and not (token.isascii() and token.isprintable() and " " not in token):
        raise ValueRefusedError(
            "--token", "other letters", "ASCII letters, digits and signs", "choose another"
        )
    if beyond and token is not None and len(token) < SHORTEST_TOKEN:
        raise ValueRefusedError(
            "--token",
            f"{len(token)} letters",
            f"at least {SHORTEST_TOKEN} beyond this machine",
            "make one with: python -c 'import secrets; print(secrets.token_urlsafe())'",
        )

"""The command line: parse, call one public function, format."""

from __future__ import annotations

from seatmesh.cli.entry import main

__all__ = ["main"]

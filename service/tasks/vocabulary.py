"""The vocabulary of orders, sheets and pictures."""

from __future__ import annotations

from seatmesh.design.vocabulary import vocabulary

from .plain import json_bytes


def told() -> bytes:
    """Return the vocabulary as JSON."""
    return json_bytes(vocabulary())

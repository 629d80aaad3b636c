"""All that workers need, loaded once before they are started, so that a replaced worker is there at once."""

from __future__ import annotations

from . import (
    carry_out,
    fields,
    gauge,
    meshes,
    orders,
    pictures,
    registry,
    seats,
    sheets,
    sittings,
    vocabulary,
    wood,
)

__all__ = [
    "carry_out",
    "fields",
    "gauge",
    "meshes",
    "orders",
    "pictures",
    "registry",
    "seats",
    "sheets",
    "sittings",
    "vocabulary",
    "wood",
]

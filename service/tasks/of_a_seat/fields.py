"""What a page draws a seat from: a fine grid of depths; and the table of measures to take."""

from __future__ import annotations

from typing import Any

import numpy as np

from seatmesh.design.report.plain import rounded
from seatmesh.design.vocabulary import measures as table_of_measures
from seatmesh.errors import ValueRefusedError
from seatmesh.surface import Seat

from ...keeping.kept import KeptSeat
from ..plain import json_bytes
from .kept import kept_seat


def depth_grid(kept: KeptSeat, spacing_mm: float, most_points: int) -> bytes:
    """Return depths over the rectangle round the blank; no further apart than `spacing_mm`, both edges included.

    Raises
    ------
    ValueRefusedError
        More points than allowed.
    """
    made = kept_seat(kept)
    x, y = places(made, spacing_mm)
    if x.size * y.size > most_points:
        raise ValueRefusedError(
            "spacing_mm",
            f"{spacing_mm:g} asks for {x.size * y.size} points",
            f"at most {most_points} here",
            "give a wider spacing",
        )
    return json_bytes(grid_of(made, spacing_mm))


def grid_of(seat: Seat, spacing_mm: float) -> dict[str, Any]:
    """Return depths as plain values: `depth_mm[row][column]` at `y_mm[row]`, `x_mm[column]`, and the outline."""
    x, y = places(seat, spacing_mm)
    return {
        "x_mm": x.round(3).tolist(),
        "y_mm": y.round(3).tolist(),
        "depth_mm": seat.depth_mm(x[None, :], y[:, None]).round(3).tolist(),
        "outline_mm": rounded(seat.blank.polygon_mm().tolist()),
    }


def places(seat: Seat, spacing_mm: float) -> tuple[np.ndarray[Any, Any], np.ndarray[Any, Any]]:
    """Return x and y of a grid that is even from edge to edge and holds the centre line."""
    half, depth = 0.5 * seat.blank.width_mm, seat.blank.depth_mm
    columns = 2 * int(np.ceil(half / spacing_mm)) + 1
    rows = int(np.ceil(depth / spacing_mm)) + 1
    return np.linspace(-half, half, columns), np.linspace(0.0, depth, rows)


def measures() -> bytes:
    """Return every body measure: what it is called, how it is taken, what is plausible for an adult."""
    return json_bytes({"measures": table_of_measures()})

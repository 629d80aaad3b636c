"""Shape the seat of an order and keep it; and the same at once, without keeping."""

from __future__ import annotations

from typing import Any

import numpy as np

from seatmesh.design.preview import preview
from seatmesh.design.report.plain import ending_report
from seatmesh.design.report.seat_report import report, sitting_report
from seatmesh.design.shape import design
from seatmesh.formats.seat_file import seat_bytes
from seatmesh.seating.sitting import Sitting

from ..keeping.identity import canonical_bytes
from ..keeping.seat_folders import ANSWER, ORDER, SEAT
from ..keeping.signed_names import GZ
from .of_a_seat.fields import grid_of
from .of_a_seat.kept import read_order_table
from .plain import json_bytes, packed

DEPTH_SPACING_MM = 10.0
FARTHEST_GAP_MM = 60.0


def shape(seat: str, table: dict[str, Any]) -> dict[str, bytes]:
    """Return the files of the seat of an order, by name: the order, the seat, and the answer with its packed form."""
    made = design(read_order_table(table))
    answer = json_bytes({"id": seat, **report(made)})
    return {
        ORDER: canonical_bytes(table),
        SEAT: seat_bytes(made.seat),
        ANSWER + GZ: packed(answer),
        ANSWER: answer,
    }


def look_ahead(table: dict[str, Any]) -> bytes:
    """Return the closed-form seat of an order: figures, a grid of depths, and pressures."""
    seen = preview(read_order_table(table))
    return json_bytes(
        {
            "title": seen.seat.title,
            "units": seen.seat.units,
            "ending": ending_report(seen.seat.ending),
            "depth_grid": grid_of(seen.seat, DEPTH_SPACING_MM),
            "sittings": [{**sitting_report(one), **pressure_grid(one)} for one in seen.sittings],
        }
    )


def pressure_grid(sitting: Sitting) -> dict[str, Any]:
    """Return the grid of a sitting, its pressure, `pressure_kpa[row][column]` at `y_mm[row]`, `x_mm[column]`, and gap.

    Maps end where the gap is 0: pressure alone would end somewhere in a cell.
    """
    gap = sitting.skin_mm + sitting.seat.depth_mm(sitting.x_mm[None, :], sitting.y_mm[:, None])
    return {
        "x_mm": sitting.x_mm.round(3).tolist(),
        "y_mm": sitting.y_mm.round(3).tolist(),
        "pressure_kpa": sitting.pressure_kpa.round(3).tolist(),
        "gap_mm": np.minimum(gap, FARTHEST_GAP_MM).round(3).tolist(),
    }

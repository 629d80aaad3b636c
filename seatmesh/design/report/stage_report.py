"""Stages of a first seat: the seat at each, and how much wood is to be taken to get there."""

from __future__ import annotations

from typing import Any

import numpy as np

from seatmesh.design.orders.order import Order
from seatmesh.fit.fair.fairness import undulations
from seatmesh.fit.hollow import deepest_place
from seatmesh.fit.stages import stage
from seatmesh.surface import Seat
from seatmesh.units import format_no_more, format_volume
from seatmesh.wood.outline.shapes import contains

CELL_MM = 2.0


def stage_seats(order: Order, seat: Seat) -> list[tuple[float, Seat]]:
    """Return the seat at each of an order's stages, with the share of its depth."""
    return [(share, stage(seat, share)) for share in order.stages]


def stage_name(share: float) -> str:
    """Return the name of a stage in the names of its files."""
    return f"stage-{round(100.0 * share)}"


def carved_cm3(seat: Seat) -> float:
    """Return the wood that is taken from the top face inside the outline, cm3; round-over and joints not counted.

    The midpoint rule on cells of `CELL_MM`.
    """
    half = 0.5 * seat.blank.width_mm
    x = np.arange(-half + 0.5 * CELL_MM, half, CELL_MM)[None, :]
    y = np.arange(0.5 * CELL_MM, seat.blank.depth_mm, CELL_MM)[:, None]
    depth = np.where(contains(seat.blank.polygon_mm(), x, y), seat.depth_mm(x, y), 0.0)
    return float(depth.sum()) * CELL_MM**2 / 1000.0


def stages_report(order: Order, seat: Seat) -> list[dict[str, Any]]:
    """Return each stage and the finished seat: depth, wood to take, fairness; nothing without stages."""
    if not order.stages:
        return []
    rows, before = [], 0.0
    for share, one in [*stage_seats(order, seat), (1.0, seat)]:
        taken = carved_cm3(one)
        rows.append(
            {
                "share": share,
                "deepest_mm": deepest_place(one)[2],
                "to_take_cm3": taken - before,
                "fairness_count": undulations(one),
                "front_roll_mm": one.front_roll_mm,
            }
        )
        before = taken
    return rows


def stage_lines(rows: list[dict[str, Any]], units: str) -> list[str]:
    """Return the report's lines on stages."""
    return [
        f"  {row['share']:4.0%}  {format_no_more(row['deepest_mm'], units):>9} at its deepest, "
        f"take {format_volume(row['to_take_cm3'], units)}"
        + (", front roll and all" if row["front_roll_mm"] > 0.0 else "")
        for row in rows
    ]

"""The way to cut: with the grain over the carved surface, where the direction turns, and where no direction is good.

A cutter that moves so that the fibres come up out of the surface ahead of it cuts with the grain; in a hollow of level
fibres that is downhill. Where fibres dive ahead of it, it tears them out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from contourpy import LineType, contour_generator
from numpy.typing import NDArray
from scipy.interpolate import RegularGridInterpolator

from seatmesh.arrays import Floats
from seatmesh.surface import Seat
from seatmesh.wood.boards.layup import Layup

STEP_MM = 4.0
TOLERANCE_DEG = 1.5
"""Fibres nearer to parallel with the surface let a sharp edge go either way (common practice, no source)."""
CONTACT_MM = 14.0
"""A cutter's edge rests on so much wood before and behind where it cuts (common practice, no source)."""
STEEP_DEG = 5.0
"""Fibres that meet the surface as steeply on both sides within that reach leave no good direction between them."""
SLOPE_MM = 1.0
LEAST_LINE_MM = 15.0
"""Shorter lines where the direction turns help nobody."""
NEITHER, FORWARD, REARWARD, NONE_GOOD = 0, 1, -1, 2


@dataclass(frozen=True)
class WayToCut:
    """Which way to cut, on a grid.

    Attributes
    ----------
    x_mm, y_mm
        Columns and rows, shapes (nx,), (ny,).
    way
        `FORWARD`, `REARWARD`, `NEITHER` where either will do, `NONE_GOOD` where no direction is good; shape (ny, nx).
    angle_deg
        How steeply the fibres, followed to the front, come up out of the surface; negative where they dive.
    direction
        In the plan, which way to push the cutter, length 1, zero where either will do or none is good; (ny, nx, 2).
    carved
        Where there is carved wood at all, but for the gutter.
    """

    x_mm: Floats
    y_mm: Floats
    way: NDArray[np.int64]
    angle_deg: Floats
    direction: Floats
    carved: NDArray[np.bool_]


def fibre_angle_deg(seat: Seat, layup: Layup, x_mm: Floats, y_mm: Floats) -> Floats:
    """Return how steeply fibres, followed to the front, come up out of the carved surface at places, degrees."""
    fibre = layup.fibre_at(x_mm)
    left, right = seat.depth_mm(x_mm - SLOPE_MM, y_mm), seat.depth_mm(x_mm + SLOPE_MM, y_mm)
    rear, front = seat.depth_mm(x_mm, y_mm - SLOPE_MM), seat.depth_mm(x_mm, y_mm + SLOPE_MM)
    by_x, by_y = (left - right) / (2.0 * SLOPE_MM), (rear - front) / (2.0 * SLOPE_MM)
    # Normal of the height -depth, out of the wood.
    normal = np.stack([-by_x, -by_y, np.ones_like(by_x)], axis=-1)
    out = np.sum(normal * fibre, axis=-1) / np.linalg.norm(normal, axis=-1)
    return np.asarray(np.degrees(np.arcsin(np.clip(out, -1.0, 1.0))))


def way_to_cut(seat: Seat, layup: Layup, step_mm: float = STEP_MM) -> WayToCut:
    """Return which way to cut all over the carved surface."""
    x, y = (axis.ravel() for axis in seat.blank.grid_mm(step_mm))
    across, along = np.meshgrid(x, y)
    angle = fibre_angle_deg(seat, layup, across, along)
    depth = seat.depth_mm(across, along)
    carved = (seat.blank.inside_mm(across, along) > 0.0) & (depth > 0.05)
    # A gutter is cut lengthwise, by a gouge.
    carved &= depth > seat.blank.gutter_mm(across, along) + 1e-6
    way = np.where(angle > TOLERANCE_DEG, FORWARD, np.where(angle < -TOLERANCE_DEG, REARWARD, NEITHER))
    way = np.where(_no_good(seat, layup, across, along), NONE_GOOD, way)
    fibre = layup.fibre_at(across)[..., :2]
    unit = fibre / np.linalg.norm(fibre, axis=-1)[..., None]
    sign = np.where(np.abs(way) == 1, way, 0)
    return WayToCut(x, y, np.where(carved, way, NEITHER), angle, unit * sign[..., None], carved)


def _no_good(seat: Seat, layup: Layup, x: Floats, y: Floats) -> NDArray[np.bool_]:
    """Tell where a cutter with the grain ahead would go against it within its own reach, or across a glue line."""
    fibre = layup.fibre_at(x)
    ahead = fibre_angle_deg(seat, layup, x + CONTACT_MM * fibre[..., 0], y + CONTACT_MM * fibre[..., 1])
    behind = fibre_angle_deg(seat, layup, x - CONTACT_MM * fibre[..., 0], y - CONTACT_MM * fibre[..., 1])
    # From behind fibres rise ahead, from ahead they rise behind: cuts meet here.
    inside = seat.depth_mm(x + CONTACT_MM * fibre[..., 0], y + CONTACT_MM * fibre[..., 1]) > 0.0
    inside &= seat.depth_mm(x - CONTACT_MM * fibre[..., 0], y - CONTACT_MM * fibre[..., 1]) > 0.0
    meet = inside & (behind > STEEP_DEG) & (ahead < -STEEP_DEG)
    rows = y[:, :1]
    for line in layup.glue_lines_mm:
        # One column of places on either side of the line says it for the whole grid.
        left = fibre_angle_deg(seat, layup, np.full_like(rows, line - 0.01), rows)
        right = fibre_angle_deg(seat, layup, np.full_like(rows, line + 0.01), rows)
        differ = (np.abs(left) > TOLERANCE_DEG) & (np.abs(right) > TOLERANCE_DEG) & (left * right < 0.0)
        meet |= differ & (np.abs(x - line) <= CONTACT_MM)
    return np.asarray(meet)


def turning_lines(way: WayToCut, valleys: bool) -> list[Floats]:
    """Return lines in the plan where the direction turns: in valleys, where cuts meet, or on ridges, where they part.

    One line of level fibres may be both, so each is cut where it changes.
    """
    rising = np.where(way.carved, np.sin(np.radians(way.angle_deg)), np.nan)
    lines = contour_generator(way.x_mm, way.y_mm, rising, line_type=LineType.Separate).lines(0.0)
    # Followed to the front, fibres rise first and dive then where cuts meet.
    change = RegularGridInterpolator(
        (way.y_mm, way.x_mm), np.gradient(np.nan_to_num(rising), way.y_mm, axis=0)
    )
    out = []
    for points in map(np.asarray, lines):
        falls = change(points[:, ::-1]) < 0.0
        cuts = np.flatnonzero(falls[1:] != falls[:-1]) + 1
        for piece, kind in zip(np.split(points, cuts), np.split(falls, cuts), strict=True):
            length = float(np.linalg.norm(np.diff(piece, axis=0), axis=1).sum())
            if bool(kind[0]) == valleys and length >= LEAST_LINE_MM:
                out.append(piece)
    return out


def arrows(way: WayToCut, spacing_mm: float) -> list[tuple[Floats, Floats]]:
    """Return arrows as (place, direction) in the plan, evenly spaced over the carved surface."""
    every = max(1, round(spacing_mm / float(way.x_mm[1] - way.x_mm[0])))
    middle = len(way.x_mm) // 2
    columns = range(middle % every, len(way.x_mm), every)
    out = []
    for row in range(every // 2, len(way.y_mm), every):
        for column in columns:
            if way.carved[row, column] and abs(int(way.way[row, column])) == 1:
                out.append((np.array([way.x_mm[column], way.y_mm[row]]), way.direction[row, column]))
    return out


def share_none_good(way: WayToCut) -> float:
    """Return the share of the carved surface where no direction is good."""
    return float(np.mean(way.way[way.carved] == NONE_GOOD)) if way.carved.any() else 0.0

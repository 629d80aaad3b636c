"""What the finished seat weighs, board by board, and how much wood is taken off on the way to it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.surface import Seat
from seatmesh.wood.boards.layup import Layup
from seatmesh.wood.boards.plank import RoughBoard

STEP_MM = 2.0


@dataclass(frozen=True)
class Masses:
    """Volumes and masses; mortises count as filled by their tenons.

    Attributes
    ----------
    volumes_mm3
        Wood left of each board in the finished seat.
    mass_kg
        Of the finished seat, air-dry.
    carved_mm3
        Taken out by hollow, gutter and front roll.
    off_rough_mm3, off_rough_kg
        Taken off in all, from the rough boards to the finished seat.
    """

    volumes_mm3: tuple[float, ...]
    mass_kg: float
    carved_mm3: float
    off_rough_mm3: float
    off_rough_kg: float


def masses(seat: Seat, layup: Layup, rough: tuple[RoughBoard, ...]) -> Masses:
    """Return what a seat of these boards weighs; by cells of 2 mm, without the round along the top edge."""
    half = 0.5 * seat.blank.width_mm
    columns = int(np.ceil(2.0 * half / STEP_MM))
    rows = int(np.ceil(seat.blank.depth_mm / STEP_MM))
    wide, deep = 2.0 * half / columns, seat.blank.depth_mm / rows
    x: Floats = -half + wide * (np.arange(columns, dtype=float) + 0.5)[None, :]
    y = deep * (np.arange(rows) + 0.5)[:, None]
    inside = seat.blank.inside_mm(x, y)
    # A cell on the outline counts by how much of it lies inside, nearly.
    share = np.clip(0.5 + inside / np.sqrt(wide * deep), 0.0, 1.0) * wide * deep
    left = share * np.maximum(seat.wood_left_mm(x, y), 0.0)
    which = np.broadcast_to(layup.board_at(np.asarray(x)), left.shape)
    volumes = tuple(float(left[which == k].sum()) for k in range(len(layup.boards)))
    weights = [board.species.density_kg_m3 * 1e-9 for board in layup.boards]
    mass = sum(volume * weight for volume, weight in zip(volumes, weights, strict=True))
    rough_kg = sum(one.volume_mm3 * weight for one, weight in zip(rough, weights, strict=True))
    rough_mm3 = sum(one.volume_mm3 for one in rough)
    carved = float((share * np.where(inside > 0.0, seat.depth_mm(x, y), 0.0)).sum())
    return Masses(volumes, mass, carved, rough_mm3 - sum(volumes), rough_kg - mass)

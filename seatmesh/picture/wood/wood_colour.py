"""The colour of wood at every point of a solid: rings of early and late wood, fibres, pores, and ray fleck.

Where rings fall comes from the boards; colours are for looks only, no board's true colour.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy.ndimage import gaussian_filter, map_coordinates

from seatmesh.arrays import Floats
from seatmesh.wood.boards.board import Board
from seatmesh.wood.boards.layup import Layup
from seatmesh.wood.boards.rings import Grain, late_share, layup_grain

Rgb = tuple[float, float, float]
NOISE = 512


@dataclass(frozen=True)
class WoodLook:
    """How a wood looks: early and late wood, and how much pores and rays show, 0 to 1."""

    early: Rgb
    late: Rgb
    pores: float = 0.3
    rays: float = 0.0
    contrast: float = 1.0


LOOKS: dict[str, WoodLook] = {
    "ash": WoodLook((0.90, 0.82, 0.68), (0.70, 0.55, 0.38), pores=0.6),
    "basswood": WoodLook((0.92, 0.85, 0.72), (0.83, 0.72, 0.56), pores=0.1, contrast=0.6),
    "beech": WoodLook((0.87, 0.70, 0.54), (0.72, 0.51, 0.36), pores=0.15, rays=0.35, contrast=0.7),
    "butternut": WoodLook((0.80, 0.65, 0.47), (0.58, 0.42, 0.27), pores=0.5),
    "cherry": WoodLook((0.80, 0.55, 0.38), (0.61, 0.35, 0.22), pores=0.15, rays=0.1, contrast=0.8),
    "elm": WoodLook((0.80, 0.64, 0.46), (0.54, 0.38, 0.25), pores=0.6),
    "hard maple": WoodLook((0.93, 0.85, 0.72), (0.78, 0.63, 0.46), pores=0.1, rays=0.15, contrast=0.75),
    "pine": WoodLook((0.94, 0.84, 0.63), (0.76, 0.53, 0.30), pores=0.05),
    "red oak": WoodLook((0.85, 0.67, 0.51), (0.63, 0.43, 0.30), pores=0.8, rays=0.7),
    "walnut": WoodLook((0.52, 0.37, 0.26), (0.31, 0.20, 0.13), pores=0.4),
    "white oak": WoodLook((0.84, 0.70, 0.50), (0.63, 0.46, 0.29), pores=0.7, rays=1.0),
    "yellow birch": WoodLook((0.90, 0.77, 0.58), (0.74, 0.56, 0.38), pores=0.15, contrast=0.7),
    "yellow poplar": WoodLook((0.86, 0.82, 0.60), (0.62, 0.62, 0.40), pores=0.15, contrast=0.7),
}
OWN_LOOK = WoodLook((0.87, 0.70, 0.49), (0.66, 0.47, 0.29))
"""Of a wood of the maker's own."""
SAW_RAYS = (0.93, 0.99)
"""Rays show where the surface is so nearly radial: cosine between its normal and the rings' direction."""


def look_of(board: Board) -> WoodLook:
    """Return how a board's wood looks."""
    return LOOKS.get(board.species.name, OWN_LOOK)


RADIUS_MM, BOARD_APART_MM = 100.0, 331.7
GLUE_HALF_MM, GLUE_SHADE = 0.35, 0.72


def wood_rgb(layup: Layup, points_mm: Floats, normals: Floats | None = None) -> Floats:
    """Return the colour at points, shape (..., 3), 0 to 1; `normals` of the surface there, up without them."""
    points = np.asarray(points_mm, dtype=float)
    normals = np.broadcast_to(np.array([0.0, 0.0, 1.0]) if normals is None else normals, points.shape)
    where = layup_grain(layup, points)
    which = layup.board_at(points[..., 0])
    out = np.empty(points.shape)
    for number, board in enumerate(layup.boards):
        own = which == number
        if not own.any():
            continue
        part = Grain(
            where.radius_mm[own], where.years[own], where.along_mm[own], where.turn[own], where.radial[own]
        )
        out[own] = _board_rgb(look_of(board), part, normals[own], np.array(board.fibre), board.number)
    for line in layup.glue_lines_mm:
        seam = np.abs(points[..., 0] - line) < GLUE_HALF_MM
        out[seam] *= GLUE_SHADE
    return out


def _board_rgb(look: WoodLook, grain: Grain, normals: Floats, fibre: Floats, number: int) -> Floats:
    late = late_share(grain.years)
    year = np.floor(grain.years)
    # Some years are darker than others.
    dark = 0.75 + 0.5 * _hashed(year + 97.0 * number)
    # Rays and fibres lie at one turn about the pith, whatever their distance from it: on end grain they fan out.
    around = grain.turn * RADIUS_MM
    # No two boards have the same flecks at the same place.
    along = grain.along_mm + BOARD_APART_MM * number
    streak = _noise(around / 1.1, along / 42.0, 11)
    streak = streak + 0.6 * _noise(grain.radius_mm / 0.9, along / 60.0, 12)
    # Open pores of ring-porous woods lie in the early wood: short dark dashes along the fibre.
    dash = np.clip(_noise(around / 0.45 + 3.7 * year, along / 7.0, 13) - 1.0, 0.0, 1.5) * (1.0 - late)
    rings = look.contrast * 0.85 * late * dark
    share = np.clip(rings + 0.10 * streak + 0.10 + 0.5 * look.pores * dash, 0.0, 1.25)
    early, late_wood = np.array(look.early), np.array(look.late)
    colour = early + (late_wood - early) * share[..., None]
    if look.rays > 0.0:
        ring_way = np.cross(np.broadcast_to(fibre, grain.radial.shape), grain.radial)
        radial_face = np.abs(np.sum(ring_way * normals, axis=-1))
        low, high = SAW_RAYS
        shown = np.clip((radial_face - low) / (high - low), 0.0, 1.0) * look.rays
        # Rays stand out along the radius, a finger long, a few millimetres high along the fibre.
        bend = 0.5 * _noise(along / 25.0, grain.radius_mm / 30.0, 15)
        ribbon = _noise(grain.radius_mm / 9.0 + bend, along / 1.5 + grain.radius_mm / 60.0, 14)
        fleck = np.clip((ribbon - 0.9) / 0.5, 0.0, 1.0) * shown
        colour = colour + (np.array([0.97, 0.90, 0.76]) * 0.98 - colour) * 0.55 * fleck[..., None]
    return np.asarray(np.clip(colour, 0.0, 1.0))


@lru_cache(maxsize=8)
def _field(seed: int) -> Floats:
    field = gaussian_filter(np.random.default_rng(seed).standard_normal((NOISE, NOISE)), 0.9, mode="wrap")
    field = field / field.std()
    field.setflags(write=False)
    return np.asarray(field)


def _noise(u: Floats, v: Floats, seed: int) -> Floats:
    """Return smooth noise of mean 0 and deviation 1 at places, the same at every call; it repeats after 512 units."""
    at = np.mod(np.stack([u, v]), NOISE)
    return np.asarray(map_coordinates(_field(seed), at, order=1, mode="grid-wrap"))


def _hashed(whole: Floats) -> Floats:
    """Return a number from 0 to 1 for each whole number, the same at every call."""
    return np.asarray(np.mod(np.sin(whole * 12.9898) * 43758.5453, 1.0))

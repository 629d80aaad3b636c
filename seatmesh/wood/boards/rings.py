"""Growth rings as a solid: how far every point of the blank lies from its board's pith, in years of growth."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, radians, sin

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.wood.boards.board import Board
from seatmesh.wood.boards.layup import Layup

WANDER_LENGTHS_MM = (310.0, 170.0)
"""Lengths over which a pith strays to one side and back: looks only."""
UNEVEN_YEARS = 0.22
"""How much rings differ in width: looks only; under 1/2 pi years would fold."""
UNEVEN_LENGTHS_YEARS = (6.1, 14.3, 31.0)
"""After how many years wide and narrow ones come again: looks only."""
WHOLE_TURN = 2.0 * np.pi


@dataclass(frozen=True)
class Grain:
    """Where points lie in the wood of their board.

    Attributes
    ----------
    radius_mm
        Distance from the pith, square to it, made larger toward the top of the tree by the taper: the radius of the
        ring half way along the board.
    years
        Rings from the pith; each whole number is the end of a year's late wood.
    along_mm
        Along the fibre, from the middle of the board.
    turn
        Angle about the pith, radians; 0 points up out of the pith as the board lies bark side up.
    radial
        Direction away from the pith in the blank's frame, length 1, shape (..., 3).
    """

    radius_mm: Floats
    years: Floats
    along_mm: Floats
    turn: Floats
    radial: Floats


def wander_phases(board: Board) -> Floats:
    """Return where along the board each wave of its pith begins, radians, shape (4,); a board keeps its own."""
    return np.random.default_rng(board.number).uniform(0.0, WHOLE_TURN, 4)


def year_phases(board: Board) -> Floats:
    """Return in which years of a board wide rings come, radians, shape (3,), one for each of the lengths."""
    return np.random.default_rng(1000 + board.number).uniform(0.0, WHOLE_TURN, 3)


def pith_line(board: Board, along_mm: Floats) -> tuple[Floats, Floats]:
    """Return by how much the pith strays from its straight line, across and up, at places along it, mm."""
    phase = wander_phases(board)
    waves = [np.sin(WHOLE_TURN * along_mm / length + phase[i]) - np.sin(phase[i])
             for i, length in enumerate((*WANDER_LENGTHS_MM, *WANDER_LENGTHS_MM[::-1]))]  # fmt: skip
    across, up = 0.7 * waves[0] + 0.3 * waves[1], 0.3 * waves[2] + 0.7 * waves[3]
    return board.wander_mm * across, 0.6 * board.wander_mm * up


def grain(board: Board, middle_mm: tuple[float, float, float], points_mm: Floats) -> Grain:
    """Return where points, shape (..., 3), of a board lie in its wood; `middle_mm` is the board's own origin."""
    signs = np.array(board.signs, dtype=float)
    u, v, w = np.moveaxis((points_mm - np.array(middle_mm)) * signs, -1, 0)
    turn, rise = radians(board.aside_deg), radians(board.rise_deg)
    fibre = np.array([cos(rise) * sin(turn), cos(rise) * cos(turn), sin(rise)])
    q = np.stack([u - board.pith_aside_mm, v, w + board.pith_away_mm], axis=-1)
    along = q @ fibre
    out = q - along[..., None] * fibre
    across, up = pith_line(board, along) if board.wander_mm > 0.0 else (0.0, 0.0)
    out = out - np.stack(np.broadcast_arrays(across, 0.0 * along, up), axis=-1)
    distance = np.linalg.norm(out, axis=-1)
    radius = distance + 1e-3 * board.taper_mm_per_m * along
    radial = out / np.maximum(distance, 1e-9)[..., None] * signs
    years = _years(board, radius)
    return Grain(radius, years, along, np.arctan2(out[..., 0], out[..., 2]), radial)


def layup_grain(layup: Layup, points_mm: Floats) -> Grain:
    """Return where points, shape (..., 3), of a blank lie in the wood of the board that each is in."""
    points = np.asarray(points_mm, dtype=float)
    which = layup.board_at(points[..., 0])
    fields: list[Floats] = [np.empty(which.shape) for _ in range(4)]
    radial = np.empty(points.shape)
    for number, board in enumerate(layup.boards):
        own = which == number
        if not own.any():
            continue
        part = grain(board, board_middle_mm(layup, number), points[own])
        for field, value in zip(fields, (part.radius_mm, part.years, part.along_mm, part.turn), strict=True):
            field[own] = value
        radial[own] = part.radial
    radius, years, along, turn = fields
    return Grain(radius, years, along, turn, radial)


def even_rings(layup: Layup, points_mm: Floats) -> Floats:
    """Return how many rings lie between the pith and points, shape (..., 3), rings alike and the pith straight.

    This is what the boards' figures say. How a pith wanders and which years were wide nobody knows of a board.
    """
    points = np.asarray(points_mm, dtype=float)
    straight = replace(layup, boards=tuple(replace(board, wander_mm=0.0) for board in layup.boards))
    width = np.array([board.ring_width_mm for board in layup.boards])[layup.board_at(points[..., 0])]
    return np.asarray(layup_grain(straight, points).radius_mm / width)


def board_middle_mm(layup: Layup, which: int) -> tuple[float, float, float]:
    """Return the origin of a board's own frame."""
    return layup.middle_mm(which), 0.5 * layup.depth_mm, -0.5 * layup.thickness_mm


def _years(board: Board, radius_mm: Floats) -> Floats:
    """Return years of growth at a radius: rings a little wider in some years than in others."""
    even = radius_mm / board.ring_width_mm
    uneven = sum(
        length * np.sin(WHOLE_TURN * even / length + phase) / WHOLE_TURN
        for length, phase in zip(UNEVEN_LENGTHS_YEARS, year_phases(board), strict=True)
    )
    return np.asarray(even + UNEVEN_YEARS * uneven)


def late_share(years: Floats) -> Floats:
    """Return the share of late wood, 0 to 1: pale early wood darkens to the end of its year, then stops short."""
    part = np.mod(years, 1.0)
    return np.asarray(np.where(part < 0.9, (part / 0.9) ** 3, (1.0 - part) / 0.1))

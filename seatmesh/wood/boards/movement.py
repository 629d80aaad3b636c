"""How boards move with moisture: width, thickness and cup of each, from rings that stay arcs about their pith.

A ring's radius changes by the radial coefficient and its length by the tangential one, so that an angle about the pith
changes by the difference of the two. Of a board whose pith is far away this is D [C (M2 - M1)] (W1). Boards are
taken as free, plain slabs; twist is left out, and so is what glue, joints and the carved hollow hold back.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.units import format_size
from seatmesh.wood.boards.board import Board

POINTS = 201
NO_CUP_MM = 0.05
"""A cup that no straightedge shows."""


@dataclass(frozen=True)
class BoardMovement:
    """What a change of moisture does to a board as it lies.

    Attributes
    ----------
    width_change_mm, thickness_change_mm
        Along the middle of its thickness, and at the middle of its width.
    cup_mm
        How far the middle of its top face falls below its edges; negative where it rises above them.
    top_mm
        The top face moved, its chord level, from its left end: x and height, shape (n, 2).
    lean_rad
        How far its left and its right edge lean to the right against the chord of the top face; both were upright.
    """

    width_change_mm: float
    thickness_change_mm: float
    cup_mm: float
    top_mm: Floats
    lean_rad: tuple[float, float]


def across_per_percent(board: Board) -> float:
    """Return the change of width over width for each percent of moisture, as the rings run at the board's middle."""
    share = (board.pith_aside_mm / board.pith_distance_mm) ** 2 if board.pith_distance_mm else 0.5
    wood = board.species
    return wood.tangential_per_percent * (1.0 - share) + wood.radial_per_percent * share


def linear_change_mm(length_mm: float, per_percent: float, from_percent: float, to_percent: float) -> float:
    """Return the change of a dimension with moisture (W1, Wood Handbook equation 13-2)."""
    return length_mm * per_percent * (to_percent - from_percent)


def board_movement(
    board: Board, thickness_mm: float, from_percent: float, to_percent: float
) -> BoardMovement:
    """Return how a board of the blank moves between two moistures."""
    change = to_percent - from_percent
    radial = board.species.radial_per_percent * change
    tangential = board.species.tangential_per_percent * change
    pith = np.array(board.pith_lies_mm)
    half = 0.5 * board.width_mm
    across = np.linspace(-half, half, POINTS)
    middle = _moved(np.column_stack([across, np.zeros(POINTS)]), pith, radial, tangential)
    top = _moved(np.column_stack([across, np.full(POINTS, 0.5 * thickness_mm)]), pith, radial, tangential)
    upright = np.array([[0.0, 0.5 * thickness_mm], [0.0, -0.5 * thickness_mm]])
    ends = _moved(upright, pith, radial, tangential)
    width = float(np.linalg.norm(middle[-1] - middle[0])) - board.width_mm
    thickness = float(np.linalg.norm(ends[0] - ends[1])) - thickness_mm
    chord = top[-1] - top[0]
    over = np.array([-chord[1], chord[0]]) / np.linalg.norm(chord)
    rise = (top - top[0]) @ over
    cup = -float(rise[np.argmax(np.abs(rise))])
    foot = _moved(
        np.array([[-half, -0.5 * thickness_mm], [half, -0.5 * thickness_mm]]), pith, radial, tangential
    )
    level = float(np.arctan2(chord[1], chord[0]))
    edges = top[[0, -1]] - foot
    left, right = (float(one) + level for one in np.arctan2(edges[:, 0], edges[:, 1]))
    return BoardMovement(width, thickness, cup, _turned(top - top[0], -level), (left, right))


def panel_top_mm(moved: tuple[BoardMovement, ...]) -> Floats:
    """Return the top face of the boards glued edge to edge, left free: x from the middle and height, shape (n, 2).

    Each board is turned until its left edge meets the right edge of the one before it, which leaned as the board moved.
    What legs and rails hold back is left out.
    """
    out, turn = [moved[0].top_mm], 0.0
    for before, one in pairwise(moved):
        turn += one.lean_rad[0] - before.lean_rad[1]
        out.append(_turned(one.top_mm, turn) + out[-1][-1])
    whole = np.vstack(out)
    chord = whole[-1] - whole[0]
    level = _turned(whole - whole[0], -float(np.arctan2(chord[1], chord[0])))
    return np.asarray(level - [0.5 * level[-1, 0], 0.0])


def panel_cup_mm(top_mm: Floats) -> float:
    """Return how far a panel's top falls below the line between its edges at most; negative where it rises above."""
    height = top_mm[:, 1]
    return -float(height[np.argmax(np.abs(height))])


def cup_words(cup_mm: float, units: str) -> str:
    """Return a cup in words, signed as that of `BoardMovement`: how much, and which way the top face goes."""
    if abs(cup_mm) < NO_CUP_MM:
        return "none"
    return f"{format_size(cup_mm, units)} {'hollow' if cup_mm > 0.0 else 'crowned'} on top"


def _moved(points: Floats, pith: Floats, radial: float, tangential: float) -> Floats:
    """Return points after the change: (r, turn) becomes (r (1 + radial), turn (1 + tangential - radial))."""
    q = points - pith
    r = np.linalg.norm(q, axis=1)
    # Turned from the line through the board's middle, which so keeps its direction.
    line = np.arctan2(-pith[1], -pith[0])
    turn = np.mod(np.arctan2(q[:, 1], q[:, 0]) - line + np.pi, 2.0 * np.pi) - np.pi
    new = line + turn * (1.0 + tangential - radial)
    return np.asarray(pith + (r * (1.0 + radial))[:, None] * np.column_stack([np.cos(new), np.sin(new)]))


def _turned(points: Floats, turn_rad: float) -> Floats:
    """Return points turned counter-clockwise about the origin."""
    spin = np.array([[np.cos(turn_rad), -np.sin(turn_rad)], [np.sin(turn_rad), np.cos(turn_rad)]])
    return np.asarray(points @ spin.T)

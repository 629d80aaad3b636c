"""How boards move with moisture: width, thickness and cup of each, from rings that stay arcs about their pith.

A ring's radius changes by the radial coefficient and its length by the tangential one, so that an angle about the pith
changes by the difference of the two. Of a board whose pith is far away this is D [C (M2 - M1)] (W1). Boards are
taken as free, plain slabs; twist is left out, and so is what glue, joints and the carved hollow hold back.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.wood.boards.board import Board
from seatmesh.wood.boards.layup import Layup

POINTS = 201


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
        The top face moved, x from the board's middle and height over where it was, shape (n, 2); level at the middle.
    """

    width_change_mm: float
    thickness_change_mm: float
    cup_mm: float
    top_mm: Floats


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
    turned = _levelled(top)
    return BoardMovement(width, thickness, cup, turned)


def panel_top_mm(layup: Layup, moved: tuple[BoardMovement, ...]) -> Floats:
    """Return the top face of the boards glued edge to edge, each edge meeting the next square: x and height, (n, 2).

    What each board does alone adds up along the panel; legs and rails hold it back, which is left out.
    """
    out = [moved[0].top_mm]
    for one in moved[1:]:
        before = out[-1]
        slope = before[-1] - before[-2]
        own = one.top_mm[1] - one.top_mm[0]
        turn = np.arctan2(slope[1], slope[0]) - np.arctan2(own[1], own[0])
        spin = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
        out.append((one.top_mm - one.top_mm[0]) @ spin.T + before[-1])
    whole = np.vstack(out)
    # Chord of the panel level, its middle at the centre line.
    chord = whole[-1] - whole[0]
    turn = -np.arctan2(chord[1], chord[0])
    spin = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    level = (whole - whole[0]) @ spin.T
    return np.asarray(level - [0.5 * level[-1, 0], 0.0])


def panel_cup_mm(top_mm: Floats) -> float:
    """Return how far a panel's top falls below the line between its edges at most; negative where it rises above."""
    height = top_mm[:, 1]
    return -float(height[np.argmax(np.abs(height))])


def _moved(points: Floats, pith: Floats, radial: float, tangential: float) -> Floats:
    """Return points after the change: (r, turn) becomes (r (1 + radial), turn (1 + tangential - radial))."""
    q = points - pith
    r = np.linalg.norm(q, axis=1)
    # Turned from the line through the board's middle, which so keeps its direction.
    line = np.arctan2(-pith[1], -pith[0])
    turn = np.mod(np.arctan2(q[:, 1], q[:, 0]) - line + np.pi, 2.0 * np.pi) - np.pi
    new = line + turn * (1.0 + tangential - radial)
    return np.asarray(pith + (r * (1.0 + radial))[:, None] * np.column_stack([np.cos(new), np.sin(new)]))


def _levelled(points: Floats) -> Floats:
    """Return a face's points, its chord level and starting at its left end."""
    chord = points[-1] - points[0]
    turn = -np.arctan2(chord[1], chord[0])
    spin = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    return np.asarray((points - points[0]) @ spin.T)

"""How boards lie side by side in a blank: which is where, and where they meet."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate, pairwise

import numpy as np
from numpy.typing import NDArray

from seatmesh.arrays import Floats
from seatmesh.wood.blank import Blank
from seatmesh.wood.boards.board import Board


@dataclass(frozen=True)
class Layup:
    """Boards from the sitter's left to right, and the blank's sizes that their frames need.

    Attributes
    ----------
    boards
        One or more.
    depth_mm, thickness_mm
        Of the blank.
    given
        Whether the order has boards; else they are usual ones, and all that is said of them is a guess.
    """

    boards: tuple[Board, ...]
    depth_mm: float
    thickness_mm: float
    given: bool = True

    @property
    def edges_mm(self) -> tuple[float, ...]:
        """X of the boards' edges, from the left edge of the first to the right edge of the last."""
        widths = [board.width_mm for board in self.boards]
        left = -0.5 * sum(widths)
        return tuple(left + one for one in accumulate(widths, initial=0.0))

    @property
    def spans_mm(self) -> tuple[tuple[float, float], ...]:
        """Left and right edge of each board."""
        return tuple(pairwise(self.edges_mm))

    @property
    def glue_lines_mm(self) -> tuple[float, ...]:
        """X of the lines where boards meet."""
        return self.edges_mm[1:-1]

    def middle_mm(self, which: int) -> float:
        """Return x of the middle of a board."""
        left, right = self.spans_mm[which]
        return 0.5 * (left + right)

    def board_at(self, x_mm: Floats) -> NDArray[np.int64]:
        """Return which board lies at each x; beyond the blank the nearest."""
        return np.asarray(np.searchsorted(np.array(self.glue_lines_mm), x_mm, side="right"), dtype=np.int64)

    def fibre_at(self, x_mm: Floats) -> Floats:
        """Return the direction of the fibres at each x in the blank's frame, length 1, shape (..., 3)."""
        return np.array([board.fibre for board in self.boards])[self.board_at(x_mm)]


def usual_layup(blank: Blank) -> Layup:
    """Return usual boards where an order has none: as many as the blank says, flat-sawn, bark side up."""
    left, right = -0.5 * blank.width_mm, 0.5 * blank.width_mm
    edges = (left, *blank.glue_lines(), right)
    boards = tuple(
        Board(one - before, number=number, assumed=("species", "rings", "bark"))
        for number, (before, one) in enumerate(pairwise(edges), start=1)
    )
    return Layup(boards, blank.depth_mm, blank.thickness_mm, given=False)


def layup_of(boards: tuple[Board, ...], blank: Blank) -> Layup:
    """Return how an order's boards lie in its blank; usual ones where it has none."""
    return Layup(boards, blank.depth_mm, blank.thickness_mm) if boards else usual_layup(blank)

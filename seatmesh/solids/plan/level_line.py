"""A line where a function of the plan is zero: points laid onto it; arrays only."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from seatmesh.arrays import Bools, Floats

Level = Callable[[Floats, Floats], Floats]


def onto_line(at: Floats, level: Level, reach: Floats) -> tuple[Floats, Bools]:
    """Move points, shape (n, 2), along the slope of the level onto the line, by `reach` each at most.

    Returns the points, and which of them arrived; the others stay where they were.
    """
    step, moved = 1e-4, at.copy()
    for _ in range(4):
        x, y = moved.T
        slope = np.column_stack([
            level(x + step, y) - level(x - step, y), level(x, y + step) - level(x, y - step)
        ]) / (2.0 * step)  # fmt: skip
        steep = np.maximum(np.einsum("ij,ij->i", slope, slope), 1e-12)
        moved -= (level(x, y) / steep)[:, None] * slope
        away = moved - at
        length = np.maximum(np.linalg.norm(away, axis=1), 1e-300)
        moved = at + away * np.minimum(1.0, 2.0 * reach / length)[:, None]
    arrived = (np.linalg.norm(moved - at, axis=1) <= reach) & (np.abs(level(*moved.T)) < 1e-6)
    return np.where(arrived[:, None], moved, at), arrived

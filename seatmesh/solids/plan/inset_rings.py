"""Rings inside an outline at a distance from it, corner by corner; arrays only."""

from __future__ import annotations

import numpy as np
import shapely

from seatmesh.arrays import Bools, Floats
from seatmesh.errors import ValueRefusedError

PARALLEL = 1e-9


def inset(polygon_mm: Floats, distance_mm: float, what: str) -> Floats:
    """Return each corner of a polygon moved inward until its two sides have moved by `distance_mm`, shape (n, 2).

    Sides stay parallel to themselves. A side that shrinks to nothing on the way is given up, and its two corners go on
    as one, in the same place: so a rounded corner becomes a sharp one beyond its radius. `polygon_mm` is
    counter-clockwise, no corner twice.

    Raises
    ------
    ValueRefusedError
        There is no room for the ring; `what` names the key that asks for it.
    """
    along = np.roll(polygon_mm, -1, axis=0) - polygon_mm
    along /= np.linalg.norm(along, axis=1)[:, None]
    inward = np.column_stack([-along[:, 1], along[:, 0]])
    alive = np.ones(len(polygon_mm), dtype=bool)
    while np.count_nonzero(alive) >= 3:
        corners = _corners(polygon_mm, inward, alive, distance_mm)
        shrunk = np.einsum("ij,ij->i", np.roll(corners, -1, axis=0) - corners, along) <= 0.0
        if not np.any(shrunk & alive):
            if _has_room(corners[alive]):
                return corners
            break
        alive &= ~shrunk
    raise ValueRefusedError(
        f"[blank] {what}",
        f"{distance_mm:g}",
        "allowed is what the outline has room for all round",
        f"give a smaller {what}, or a simpler outline",
    )


def _corners(polygon: Floats, inward: Floats, alive: Bools, distance: float) -> Floats:
    """Return where the moved sides before and after each corner meet, passing over those given up."""
    n = len(polygon)
    sides = np.flatnonzero(alive)
    after = sides[np.searchsorted(sides, np.arange(n)) % len(sides)]
    before = sides[np.searchsorted(sides, np.arange(n), side="left") - 1]
    a, b = inward[before], inward[after]
    start, end = polygon[before], polygon[after]
    turn = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    next_to = (before + 1) % n == after
    # Neighbours meet on the line that halves their corner, however small its turn.
    halving = end + distance * (a + b) / (1.0 + np.einsum("ij,ij->i", a, b))[:, None]
    right = np.column_stack([
        np.einsum("ij,ij->i", start, a) + distance, np.einsum("ij,ij->i", end, b) + distance
    ])  # fmt: skip
    safe = np.where(np.abs(turn) > PARALLEL, turn, 1.0)
    meeting = (
        np.column_stack([
            right[:, 0] * b[:, 1] - right[:, 1] * a[:, 1], right[:, 1] * a[:, 0] - right[:, 0] * b[:, 0]
        ])
        / safe[:, None]
    )  # fmt: skip
    return np.where((next_to | (np.abs(turn) <= PARALLEL))[:, None], halving, meeting)


def _has_room(corners: Floats) -> bool:
    ring = shapely.LinearRing(corners)
    return bool(ring.is_simple and ring.is_ccw)


def on_ring(ring_mm: Floats, at: Floats) -> Floats:
    """Return the points of a chain at places `at`: 2.25 is a quarter of the way from point 2 to point 3."""
    first = np.minimum(at.astype(np.int64), len(ring_mm) - 2)
    share = (at - first)[:, None]
    # Written so that a whole number gives the point itself, to the bit.
    return np.asarray(
        np.where(
            share == 1.0,
            ring_mm[first + 1],
            ring_mm[first] + share * (ring_mm[first + 1] - ring_mm[first]),
        )
    )

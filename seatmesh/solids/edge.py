"""The edge of a blank between two chains of vertices: where columns stand along the outline, and the strip between."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from seatmesh.arrays import Floats, Ints
from seatmesh.solids.plan.inset_rings import inset
from seatmesh.surface import Seat


def half_ring_mm(seat: Seat, inside_mm: float, what: str = "round_over_mm") -> Floats:
    """Return the right half of the ring inside the outline, shape (n, 2), a point for each of the outline's.

    It runs from rear to front end of the centre line. Points of corners that the ring has rounded off lie in one place.
    """
    polygon = seat.blank.polygon_mm()
    ring = polygon if inside_mm == 0.0 else inset(polygon, inside_mm, what)
    right = np.array(ring[: len(polygon) // 2 + 1])
    right[[0, -1], 0] = 0.0
    return right


def between(upper: Ints, upper_at: Floats, lower: Ints, lower_at: Floats) -> Ints:
    """Return the triangles between two chains of vertices, shape (m, 3), seen from outside.

    `upper_at` and `lower_at` say where the vertices stand along the outline; both begin and end alike. Equal numbers
    are one point. Of two diagonals that one is drawn whose ends stand nearer to one another, so that vertices at the
    same place on both chains are joined.
    """
    facets = []
    i = j = 0
    while i + 1 < len(upper) or j + 1 < len(lower):
        down = i + 1 == len(upper) or (
            j + 1 < len(lower) and abs(lower_at[j + 1] - upper_at[i]) <= abs(upper_at[i + 1] - lower_at[j])
        )
        facets.append((upper[i], lower[j], lower[j + 1] if down else upper[i + 1]))
        i, j = (i, j + 1) if down else (i + 1, j)
    corners = np.array(facets, dtype=np.int64)
    whole = (corners != np.roll(corners, 1, axis=1)).all(axis=1)
    return np.asarray(corners[whole])


def columns_at(chain: Floats, ring: Floats) -> tuple[Floats, Ints]:
    """Return where columns stand for each vertex of a chain along a ring, and the number of the vertex of each.

    Parameters
    ----------
    chain
        Shape (n, 2): vertices along the rim, every corner of `ring` among them, to the bit.
    ring
        Shape (k, 2): a corner for each of the outline's, some in the same place.

    Returns
    -------
    at, vertex
        Shapes (c,): 2.25 is a quarter of the way from corner 2 to corner 3; which of the chain's vertices stands there.
    """
    first: dict[tuple[float, ...], list[int]] = {}
    for i, corner in enumerate(map(tuple, ring.tolist())):
        first.setdefault(corner, []).append(i)
    at, vertex = [], []
    stops = [i for i, point in enumerate(map(tuple, chain.tolist())) if point in first]
    for start, end in pairwise(stops):
        here, there = first[tuple(chain[start].tolist())], first[tuple(chain[end].tolist())]
        at += [float(i) for i in here]
        vertex += [start] * len(here)
        run = np.linalg.norm(chain[start : end + 1] - chain[start], axis=1) / np.linalg.norm(
            chain[end] - chain[start]
        )
        for step in range(start + 1, end):
            at.append(here[-1] + float(run[step - start]) * (there[0] - here[-1]))
            vertex.append(step)
    last = first[tuple(chain[stops[-1]].tolist())]
    return np.array([*at, *(float(i) for i in last)]), np.array([*vertex, *[stops[-1]] * len(last)])

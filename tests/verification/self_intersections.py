"""Facets of a mesh that pass through one another: an edge of one pierces the inside of the other."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from seatmesh.mesh import Mesh

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

ROUNDING = 1e-9
"""Of the product of the lengths: what is nearer to zero is a touch, not a piercing."""


def self_intersections(mesh: Mesh) -> int:
    """Return how many pairs of facets without a common edge pass through one another."""
    corners = mesh.vertices_mm[mesh.faces]
    low, high = corners.min(axis=1), corners.max(axis=1)
    boxes = shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])
    one, other = shapely.STRtree(boxes).query(boxes, predicate="intersects")
    ahead = (one < other) & (low[one, 2] <= high[other, 2]) & (low[other, 2] <= high[one, 2])
    one, other = one[ahead], other[ahead]
    shared = (mesh.faces[one][:, :, None] == mesh.faces[other][:, None, :]).any(axis=2).sum(axis=1)
    one, other = one[shared < 2], other[shared < 2]
    pierced = _pierced(mesh, one, other) | _pierced(mesh, other, one)
    return int(np.count_nonzero(pierced))


def _pierced(mesh: Mesh, of: Ints, through: Ints) -> NDArray[np.bool_]:
    """Tell in which pairs an edge of the first facet pierces the second; edges that end in a corner of it do not."""
    found = np.zeros(len(of), dtype=bool)
    a, b, c = (mesh.vertices_mm[mesh.faces[through, i]] for i in range(3))
    for i in range(3):
        ends = mesh.faces[of, i], mesh.faces[of, (i + 1) % 3]
        free = ~_touches(ends, mesh.faces[through])
        p, q = (mesh.vertices_mm[end] for end in ends)
        sides = _side(a, b, c, p), _side(a, b, c, q)
        turns = [_side(p, q, *edge) for edge in ((a, b), (b, c), (c, a))]
        same = (np.stack(turns) > 0).all(axis=0) | (np.stack(turns) < 0).all(axis=0)
        found |= free & same & (sides[0] * sides[1] < 0)
    return found


def _touches(ends: tuple[Ints, Ints], faces: Ints) -> NDArray[np.bool_]:
    return np.asarray(np.any([(faces == end[:, None]).any(axis=1) for end in ends], axis=0))


def _side(a: Floats, b: Floats, c: Floats, d: Floats) -> Floats:
    """Return 1 where d lies above a, b, c, -1 below, 0 where rounding might decide."""
    u, v, w = b - a, c - a, d - a
    volume = np.einsum("ij,ij->i", np.cross(u, v), w)
    size = np.linalg.norm(u, axis=1) * np.linalg.norm(v, axis=1) * np.linalg.norm(w, axis=1)
    return np.where(np.abs(volume) > ROUNDING * size, np.sign(volume), 0.0)

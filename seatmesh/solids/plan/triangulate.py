"""Triangles in the plan: their edges, areas and border; arrays only."""

from __future__ import annotations

import numpy as np
import scipy.sparse as sp
from scipy.sparse.csgraph import connected_components

from seatmesh.arrays import Bools, Floats, Ints


def plan_area(points: Floats, faces: Ints) -> Floats:
    """Return the area of each triangle in the plan, shape (m,), negative where it runs clockwise."""
    a, b, c = (points[faces[:, i], :2] for i in range(3))
    along, across = b - a, c - a
    return 0.5 * np.asarray(along[:, 0] * across[:, 1] - along[:, 1] * across[:, 0])


def edges_of(faces: Ints) -> Ints:
    """Return every triangle's edges in its own direction, shape (m, 3, 2); edge i lies opposite vertex i."""
    return np.stack([faces[:, [1, 2, 0]], faces[:, [2, 0, 1]]], axis=-1)


def has_edges(faces: Ints, wanted: Ints) -> Bools:
    """Tell which of the edges `wanted`, shape (k, 2), in either direction, belong to a triangle."""
    n = int(max(faces.max(), wanted.max())) + 1
    return np.isin(_keys(wanted, n), _keys(edges_of(faces).reshape(-1, 2), n))


def border(faces: Ints) -> Ints:
    """Return the edges that belong to one triangle only, shape (k, 2), each with its triangle on the left."""
    edges = edges_of(faces).reshape(-1, 2)
    _, first, count = np.unique(_keys(edges, int(faces.max()) + 1), return_index=True, return_counts=True)
    return np.asarray(edges[first[count == 1]])


def rooms(faces: Ints, walls: Ints) -> Ints:
    """Return a number for each face, shape (m,), the same for all that are joined across edges not in `walls`."""
    n = int(faces.max()) + 1
    keys = _keys(edges_of(faces).reshape(-1, 2), n)
    order = np.argsort(keys, kind="stable")
    pair = np.flatnonzero(keys[order][1:] == keys[order][:-1])
    open_ = ~np.isin(keys[order][pair], _keys(walls, n))
    one, other = order[pair[open_]] // 3, order[pair[open_] + 1] // 3
    graph = sp.coo_array((np.ones(len(one)), (one, other)), shape=(len(faces), len(faces)))
    return np.asarray(connected_components(graph, directed=False)[1], dtype=np.int64)


def _keys(edges: Ints, n: int) -> Ints:
    """Return one number for each edge, the same in both directions; n is the number of points."""
    return np.asarray(edges.min(axis=-1) * n + edges.max(axis=-1))

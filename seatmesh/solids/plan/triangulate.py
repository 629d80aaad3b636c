"""Triangles in the plan: filling a ring, finding its border, halving edges; arrays only."""

from __future__ import annotations

import numpy as np
import shapely
from scipy.spatial import Delaunay

from seatmesh.arrays import Bools, Floats, Ints

LEAST_AREA_MM2 = 1e-6
"""A triangle below this is three points on one straight edge, set apart by rounding."""


def fill(points: Floats, ring: Floats) -> Ints:
    """Return the Delaunay triangles of `points` that lie inside `ring`, shape (m, 3), counter-clockwise.

    Parameters
    ----------
    points
        Shape (n, 2); those of the ring are among them.
    ring
        Shape (k, 2), a simple polygon, not repeated at the end.
    """
    faces = Delaunay(points).simplices.astype(np.int64)
    area = plan_area(points, faces)
    faces[area < 0.0] = faces[area < 0.0, ::-1]
    faces = faces[np.abs(area) > LEAST_AREA_MM2]
    middle = points[faces].mean(axis=1)
    inside = shapely.contains_xy(shapely.Polygon(ring), middle[:, 0], middle[:, 1])
    return np.asarray(faces[inside])


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


def longest_edge(points: Floats, faces: Ints) -> Ints:
    """Return which edge of each triangle is the longest in the plan, shape (m,)."""
    ends = points[edges_of(faces), :2]
    return np.asarray(np.argmax(((ends[:, :, 0] - ends[:, :, 1]) ** 2).sum(axis=-1), axis=1))


def shortest_edges(points: Floats, faces: Ints) -> Floats:
    """Return the length in the plan of the shortest edge at each point, shape (n,), infinite at one without any."""
    edges = edges_of(faces).reshape(-1, 2)
    length = np.linalg.norm(points[edges[:, 0], :2] - points[edges[:, 1], :2], axis=1)
    shortest = np.full(len(points), np.inf)
    for end in (0, 1):
        np.minimum.at(shortest, edges[:, end], length)
    return shortest


def halve_edges(points: Floats, faces: Ints, marked: Bools) -> tuple[Floats, Ints, Ints]:
    """Halve the marked edges, and as few others as keep every edge whole on both of its sides.

    A triangle of which any edge is halved is first cut through the middle of its longest edge (longest-edge
    bisection, Rivara 1984, Int. J. Numer. Meth. Eng. 20:745, from memory), so that its angles stay bounded.

    Parameters
    ----------
    points
        Shape (n, d), d >= 2; the first two columns are the plan.
    faces, marked
        Shape (m, 3): triangles, and which of their edges (see `edges_of`) to halve.

    Returns
    -------
    points, faces, source
        The new points follow the old ones, all columns halfway; `source`, one a face, is the old face's row,
        or -1 where the face is new.
    """
    edges = edges_of(faces)
    _, first, edge = np.unique(
        _keys(edges.reshape(-1, 2), len(points)), return_index=True, return_inverse=True
    )
    turn = (longest_edge(points, faces)[:, None] + np.arange(3)) % 3
    faces = np.take_along_axis(faces, turn, axis=1)
    edge = np.take_along_axis(edge.reshape(faces.shape), turn, axis=1)
    halved = np.zeros(len(first), dtype=bool)
    halved[edge[np.take_along_axis(marked, turn, axis=1)]] = True
    while np.any(late := halved[edge].any(axis=1) & ~halved[edge[:, 0]]):
        halved[edge[late, 0]] = True
    middle = np.full(len(first), -1, dtype=np.int64)
    middle[halved] = len(points) + np.arange(np.count_nonzero(halved))
    points = np.vstack([points, points[edges.reshape(-1, 2)[first[halved]]].mean(axis=1)])
    kept = np.flatnonzero(~halved[edge[:, 0]])
    cut = _cut(faces[halved[edge[:, 0]]], middle[edge[halved[edge[:, 0]]]])
    source = np.concatenate([kept, np.full(len(cut), -1)])
    return points, np.vstack([faces[kept], cut]), source


def _cut(faces: Ints, middle: Ints) -> Ints:
    """Cut triangles at the middle of edge 0 and, where it is not -1, at that of edges 1 and 2."""
    corner, left, right = faces.T
    foot, on_right, on_left = middle.T
    two = on_left >= 0
    parts = [
        np.column_stack([corner, left, foot])[~two],
        np.column_stack([corner, on_left, foot])[two],
        np.column_stack([on_left, left, foot])[two],
    ]
    two = on_right >= 0
    parts += [
        np.column_stack([corner, foot, right])[~two],
        np.column_stack([foot, right, on_right])[two],
        np.column_stack([foot, on_right, corner])[two],
    ]
    return np.vstack(parts)


def _keys(edges: Ints, n: int) -> Ints:
    """Return one number for each edge, the same in both directions; n is the number of points."""
    return np.asarray(edges.min(axis=-1) * n + edges.max(axis=-1))

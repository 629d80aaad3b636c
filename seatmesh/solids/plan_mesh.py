"""A seat's plan in triangles: the right half, whole along outline, centre line and crease lines."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from seatmesh.errors import NotSolvedError
from seatmesh.solids.triangulate import fill, has_edges

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

ROUNDS = 24
CLEARANCE = 0.55
"""Least distance of an inner point from a line that must stay whole, in spacings; half would do."""

SNAP_MM = 0.01
"""A crease line that passes a corner of the outline this close ends in that corner."""


def half_ring(outline_mm: Floats, creases_y_mm: Sequence[float]) -> Floats:
    """Return the right half of an outline, shape (n, 2), with a point wherever a crease line meets it.

    The outline is as `seatmesh.outline.outline_polygon` returns it: it starts on the centre line at the rear
    edge, and its left half mirrors its right half. The half ring's closing edge is the centre line.
    """
    right = outline_mm[: len(outline_mm) // 2 + 1]
    points = [right[0]]
    for start, end in pairwise(right):
        rise = end[1] - start[1]
        met = sorted(
            ((y - start[1]) / rise, y)
            for y in creases_y_mm
            if min(abs(y - start[1]), abs(y - end[1])) > SNAP_MM and (y - start[1]) * (y - end[1]) < 0.0
        )
        points += [np.array([start[0] + (end[0] - start[0]) * share, y]) for share, y in met]
        points.append(end)
    return np.vstack(points)


def fill_half(ring: Floats, creases_y_mm: Sequence[float], spacing_mm: float) -> tuple[Floats, Ints]:
    """Fill a half ring with triangles of about `spacing_mm`.

    Returns points, shape (n, 2), those of the ring first, and triangles, shape (m, 3), counter-clockwise.
    Each edge of the ring, the centre line and each crease line is a chain of triangle edges, split where
    longer than the spacing.

    Raises
    ------
    NotSolvedError
        The lines run so close together that no chain of edges was found.
    """
    points, edges = _chains(ring, creases_y_mm, spacing_mm)
    inner = _inner_points(ring, points[edges], spacing_mm)
    for _ in range(ROUNDS):
        everything = np.vstack([points, inner])
        faces = fill(everything, ring)
        broken = ~has_edges(faces, edges)
        if not broken.any():
            return _without_unused(everything, faces)
        points, edges = _split(points, edges, np.where(broken, 2, 1))
    raise NotSolvedError(
        f"no triangles along the outline and its crease lines after {ROUNDS} rounds of splitting: two run "
        "too close together; move the deck line or the front roll, or give a simpler outline."
    )


def _chains(ring: Floats, creases_y_mm: Sequence[float], spacing: float) -> tuple[Floats, Ints]:
    """Return the points and edges that must stay whole, no edge longer than `spacing`."""
    edges = [(i, (i + 1) % len(ring)) for i in range(len(ring))]
    points = [*ring]
    for y in creases_y_mm:
        near = np.flatnonzero(np.abs(ring[:, 1] - y) <= SNAP_MM)
        near = near[ring[near, 0] > 0.0]
        if len(near):
            edges.append((len(points), int(near[np.argmin(ring[near, 0])])))
            points.append(np.array([0.0, y]))
    # The centre line is the last edge of the ring: it passes through the crease lines' ends.
    stops = sorted(range(len(ring), len(points)), key=lambda i: -points[i][1])
    centre = [len(ring) - 1, *stops, 0]
    edges[len(ring) - 1 : len(ring)] = list(pairwise(centre))
    line = np.array(points)
    chain = np.array(edges, dtype=np.int64)
    length = np.linalg.norm(line[chain[:, 0]] - line[chain[:, 1]], axis=1)
    return _split(line, chain, np.maximum(1, np.ceil(length / spacing).astype(int)))


def _split(points: Floats, edges: Ints, parts: Ints) -> tuple[Floats, Ints]:
    """Split each edge into its number of equal parts; the new points follow the old ones."""
    new, chains, count = [points], [], len(points)
    for (a, b), n in zip(edges, parts, strict=True):
        share = np.arange(1, n)[:, None] / n
        new.append(points[a] + share * (points[b] - points[a]))
        chain = [a, *range(count, count + n - 1), b]
        chains += list(pairwise(chain))
        count += n - 1
    return np.vstack(new), np.array(chains, dtype=np.int64)


def _inner_points(ring: Floats, lines: Floats, spacing: float) -> Floats:
    """Return points of a triangular grid inside the ring, clear of the lines, shape (k, 2)."""
    low, high = ring.min(axis=0), ring.max(axis=0)
    rows = np.arange(low[1], high[1], spacing * np.sqrt(0.75))
    columns = np.arange(low[0], high[0], spacing)
    x = columns + np.where(np.arange(len(rows)) % 2, 0.5 * spacing, 0.0)[:, None]
    points = np.column_stack([x.ravel(), np.repeat(rows, len(columns))])
    inside = points[shapely.contains_xy(shapely.Polygon(ring), points[:, 0], points[:, 1])]
    distance = shapely.distance(shapely.points(inside), shapely.MultiLineString(list(lines)))
    return np.asarray(inside[distance > CLEARANCE * spacing])


def _without_unused(points: Floats, faces: Ints) -> tuple[Floats, Ints]:
    used, renumbered = np.unique(faces, return_inverse=True)
    return points[used], renumbered.reshape(faces.shape)

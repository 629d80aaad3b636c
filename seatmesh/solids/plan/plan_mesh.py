"""A seat's plan in triangles: the right half, whole along outline, centre line and crease lines."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely

from seatmesh.arrays import Floats, Ints
from seatmesh.errors import NotSolvedError
from seatmesh.solids.plan.triangulate import fill, has_edges

ROUNDS = 24
CLEARANCE = 0.55
"""Least distance of an inner point from a line that must stay whole, in spacings; half would do."""

SNAP_MM = 0.01
"""A crease line that passes a corner of the outline this close ends in that corner."""


def half_ring(right_mm: Floats, lines: Sequence[Floats]) -> tuple[Floats, tuple[Floats, ...]]:
    """Return a half ring with a point wherever a line ends on it, and the lines, their ends in those points.

    `right_mm`, shape (n, 2), runs from rear to front end of the centre line, which closes it; `lines` are chains of
    points inside it, as `seatmesh.solids.plan.feature_lines.feature_lines` returns them. A line's end that is
    nearer than `SNAP_MM` to a corner of the ring moves into it.
    """
    starts, along = right_mm[:-1], np.diff(right_mm, axis=0)
    size = np.einsum("ij,ij->i", along, along)
    added: list[tuple[int, float, Floats]] = []
    laid = []
    for line in lines:
        own = line.copy()
        for end in (0, -1):
            own[end] = _laid_end(own[end], right_mm, starts, along, size, added)
        laid.append(own)
    points = [right_mm[0]]
    for i, corner in enumerate(right_mm[1:]):
        here = sorted(((share, tuple(at)) for k, share, at in added if k == i))
        points += [np.array(at) for at in dict.fromkeys(at for _, at in here)]
        points.append(corner)
    return np.vstack(points), tuple(laid)


def _laid_end(
    end: Floats,
    ring: Floats,
    starts: Floats,
    along: Floats,
    size: Floats,
    added: list[tuple[int, float, Floats]],
) -> Floats:
    """Return a line's end on the ring, if it lies there, and note the point to be added to the ring."""
    corner = np.linalg.norm(ring - end, axis=1)
    if corner.min() <= SNAP_MM:
        return np.asarray(ring[np.argmin(corner)])
    if abs(end[0]) <= SNAP_MM:
        return np.array([0.0, end[1]])
    share = np.clip(np.einsum("ij,ij->i", end - starts, along) / size, 0.0, 1.0)
    distance = np.linalg.norm(starts + share[:, None] * along - end, axis=1)
    k = int(np.argmin(distance))
    if distance[k] <= SNAP_MM:
        near = [at for i, _, at in added if i == k and np.linalg.norm(at - end) <= SNAP_MM]
        if near:
            return near[0]
        added.append((k, float(share[k]), end))
    return end


def fill_half(ring: Floats, lines: Sequence[Floats], spacing_mm: float) -> tuple[Floats, Ints, int]:
    """Fill a half ring with triangles of about `spacing_mm`.

    Returns points, shape (n, 2), those of the ring first, triangles, shape (m, 3), counter-clockwise, and how many of
    the first points lie on lines. Each edge of the ring, the centre line and each line is a chain of
    triangle edges, split where longer than the spacing. Lines end in points of the ring, see `half_ring`, on the
    centre line or in one another's ends.

    Raises
    ------
    NotSolvedError
        The lines run so close together that no chain of edges was found.
    """
    points, edges = _chains(ring, lines, spacing_mm)
    inner = _inner_points(ring, points[edges], spacing_mm)
    for _ in range(ROUNDS):
        everything = np.vstack([points, inner])
        faces = fill(everything, ring)
        broken = ~has_edges(faces, edges)
        if not broken.any():
            return *_without_unused(everything, faces), len(points)
        points, edges = _split(points, edges, np.where(broken, 2, 1))
    raise NotSolvedError(
        f"no triangles along the outline and the lines of its top face after {ROUNDS} rounds of splitting: two run "
        "too close together; move the deck line or the front roll, or give a simpler outline."
    )


def _chains(ring: Floats, lines: Sequence[Floats], spacing: float) -> tuple[Floats, Ints]:
    """Return the points and edges that must stay whole, no edge longer than `spacing`."""
    points = [*ring]
    number = {tuple(at): i for i, at in enumerate(ring.tolist())}
    edges = [(i, i + 1) for i in range(len(ring) - 1)]
    for line in lines:
        passed = []
        for at in line:
            key = tuple(at.tolist())
            if key not in number:
                number[key] = len(points)
                points.append(at)
            passed.append(number[key])
        edges += list(pairwise(passed))
    # The centre line closes the ring and passes through the ends of lines.
    stops = [i for i in range(len(ring), len(points)) if points[i][0] == 0.0]
    centre = [len(ring) - 1, *sorted(stops, key=lambda i: -points[i][1]), 0]
    edges += list(pairwise(centre))
    all_points = np.array(points)
    chain = np.array(edges, dtype=np.int64)
    length = np.linalg.norm(all_points[chain[:, 0]] - all_points[chain[:, 1]], axis=1)
    return _split(all_points, chain, np.maximum(1, np.ceil(length / spacing).astype(int)))


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

"""A seat's plan in triangles: the right half, whole along outline, centre line and crease lines."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from seatmesh.arrays import Floats
from seatmesh.solids.plan.chains import Chains, chains_of
from seatmesh.solids.plan.kept_lines import kept_lines
from seatmesh.solids.plan.refine import Filled, refined

CLEARANCE = 0.6
"""Least distance of a point of the first grid from a chain, in spacings; half would do."""

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


def fill_half(ring: Floats, spacing_mm: float) -> Filled:
    """Fill a half ring with triangles of about `spacing_mm` where nothing asks for smaller ones.

    Each edge of the ring and the centre line is a chain of triangle edges.

    Raises
    ------
    NotSolvedError
        The ring runs so close to itself that no chain of edges was found.
    """
    chains = chains_of(kept_lines(ring, (), (), lambda _: False, spacing_mm), spacing_mm)
    return refined(chains, shapely.Polygon(ring), inner_points(ring, chains, spacing_mm))[0]


def inner_points(ring: Floats, chains: Chains, spacing_mm: float) -> Floats:
    """Return points of a triangular grid inside the ring, clear of the chains, shape (k, 2)."""
    low, high = ring.min(axis=0), ring.max(axis=0)
    rows = np.arange(low[1], high[1], spacing_mm * np.sqrt(0.75))
    columns = np.arange(low[0], high[0], spacing_mm)
    x = columns + np.where(np.arange(len(rows)) % 2, 0.5 * spacing_mm, 0.0)[:, None]
    points = np.column_stack([x.ravel(), np.repeat(rows, len(columns))])
    inside = points[shapely.contains_xy(shapely.Polygon(ring), points[:, 0], points[:, 1])]
    lines = shapely.MultiLineString(list(chains.points[chains.edges]))
    shapely.prepare(lines)
    return np.asarray(inside[~shapely.dwithin(lines, shapely.points(inside), CLEARANCE * spacing_mm)])

"""The best plane of the uncut rim: where a board would lie on the seat, then fitted to the wood that it touches."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import ConvexHull, QhullError

from seatmesh.errors import NotSolvedError, ValueRefusedError
from seatmesh.reading.placing import Plane
from seatmesh.wood.blank import Blank

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

HULL_POINTS = 100_000
NEAR_COSINE = float(np.cos(np.radians(3.0)))
"""Faces of the hull within this angle are one board's."""
LARGE_SHARE = 0.4
"""A board's faces cover at least this share of what the largest one's do."""
CELL_MM = 8.0
ON_PLANE_MM = 1.5
LEAST_RIM_SHARE = 0.08
"""Least share of the seat, seen from above, that lies on its rim's plane: the deck alone is more."""
BAND_MM = 0.05
"""Least half-width of what counts as the rim: the wider, the more of the hollow's edge is taken for it."""
BAND_SIGMAS = 1.5
ROUNDS = 12


@dataclass(frozen=True)
class _Seen:
    """A board's plane, the share of the seat that lies on it, and the mean depth of all of the seat below it."""

    plane: Plane
    on_plane: float
    mean_depth: float


def best_rim_plane(points: Floats, blank: Blank) -> Plane:
    """Return the plane of the uncut rim of a seat, shape (n, 3), mm, which may lie in any way.

    A board lies on the carved face, on the underside and on nothing else for long; the carved face is the one with
    a hollow below the board, no deeper than the blank lets it be.

    Raises
    ------
    ValueRefusedError
        No side of the scan looks like an uncut rim.
    """
    boards = [_seen(points, plane, blank) for plane in _boards(points)]
    boards = [one for one in boards if one.on_plane >= LEAST_RIM_SHARE]
    if not boards:
        raise ValueRefusedError(
            "placing",
            "rim plane",
            "no side of the scan lies flat enough to be an uncut rim",
            "give three points on the rim and the centre line",
        )
    deepest = max(one.mean_depth for one in boards)
    # On a flat seat both faces look alike: then the file's own up decides.
    alike = [one for one in boards if one.mean_depth > deepest - 0.3]
    return _fitted(points, max(alike, key=lambda one: float(one.plane.normal[2])).plane)


def _boards(points: Floats) -> list[Plane]:
    """Return the planes on which the convex hull lies for long, normals outward."""
    some = points[:: max(1, len(points) // HULL_POINTS)]
    try:
        hull = ConvexHull(some)
    except QhullError:
        middle = some.mean(axis=0)
        normal = np.linalg.svd(some - middle, full_matrices=False)[2][2]
        return [Plane(side * normal, float(side * normal @ middle)) for side in (1.0, -1.0)]
    normals = hull.equations[:, :3]
    corners = some[hull.simplices]
    areas = 0.5 * np.linalg.norm(
        np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1
    )
    left = areas.copy()
    boards: list[tuple[float, Floats]] = []
    for _ in range(8):
        lead = normals[np.argmax(left)]
        own = normals @ lead > NEAR_COSINE
        mean = (normals[own] * left[own, None]).sum(axis=0)
        boards.append((float(left[own].sum()), mean / np.linalg.norm(mean)))
        left[own] = 0.0
        if not left.any():
            break
    most = max(area for area, _ in boards)
    return [Plane(n, float((some @ n).max())) for area, n in boards if area >= LARGE_SHARE * most]


def _seen(points: Floats, plane: Plane, blank: Blank) -> _Seen:
    top = _uppermost(points, plane)
    settled = _fitted(top, plane)
    depth = settled.offset - top @ settled.normal
    near = depth <= blank.greatest_depth_mm + 0.5 * blank.floor_mm
    on_plane = np.count_nonzero(np.abs(depth) < ON_PLANE_MM) / len(depth)
    return _Seen(settled, on_plane, float(np.clip(depth[near], 0.0, None).mean()) if near.any() else 0.0)


def _uppermost(points: Floats, plane: Plane) -> Floats:
    """Return the uppermost point of each cell of a plan on the plane."""
    key = _cells(points, plane)
    order = np.lexsort((points @ plane.normal, key))
    last = np.append(np.flatnonzero(np.diff(key[order])), len(order) - 1)
    return np.asarray(points[order[last]])


def _cells(points: Floats, plane: Plane) -> Ints:
    """Return which cell of a plan on the plane each point lies in."""
    across = np.linalg.svd(plane.normal[None, :])[2][1:]
    cell = np.floor(points @ across.T / CELL_MM).astype(np.int64)
    cell -= cell.min(axis=0)
    return np.asarray(cell[:, 0] * (cell[:, 1].max() + 1) + cell[:, 1])


def _fitted(points: Floats, plane: Plane) -> Plane:
    """Fit the plane to the points near it, in a band that narrows to what their scatter asks for.

    Raises
    ------
    NotSolvedError
        Too few points lie near it.
    """
    # A board touches the highest points; the rim's own height is that of most points near them.
    height = points @ plane.normal
    high = height[height > plane.offset - 4.0]
    counts, edges = np.histogram(high, bins=40, range=(plane.offset - 4.0, plane.offset + 1e-9))
    best = int(np.argmax(counts))
    plane = Plane(plane.normal, float(0.5 * (edges[best] + edges[best + 1])))
    cell = _cells(points, plane)
    band = 2.0
    for _ in range(ROUNDS):
        off = points @ plane.normal - plane.offset
        near = np.abs(off) < band
        if np.count_nonzero(near) < 3:
            raise NotSolvedError("no plane fits the rim; give three points on the rim and the centre line.")
        # Above the rim there is scatter alone; below it there is the hollow too.
        above = off[near & (off > 0.0)]
        spread = 1.4826 * float(np.median(above)) if len(above) else 0.0
        plane = _least_squares(_means(points[near], cell[near]), plane.normal)
        band = max(BAND_MM, min(band, BAND_SIGMAS * spread), 0.5 * band)
    return plane


def _means(points: Floats, cell: Ints) -> Floats:
    """Return the middle of the points of each cell: so that a place counts once, however densely it was seen."""
    _, which, count = np.unique(cell, return_inverse=True, return_counts=True)
    return np.column_stack([np.bincount(which, weights=points[:, i]) / count for i in range(3)])


def _least_squares(points: Floats, up: Floats) -> Plane:
    middle = points.mean(axis=0)
    normal = np.linalg.svd(points - middle, full_matrices=False)[2][2]
    normal = normal if normal @ up > 0.0 else -normal
    return Plane(normal, float(normal @ middle))

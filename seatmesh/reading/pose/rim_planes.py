"""Planes that may be the uncut rim's: where a board would lie on the scan, whichever way it is turned."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import ConvexHull, QhullError

from seatmesh.arrays import Floats
from seatmesh.reading.placing import Plane
from seatmesh.reading.pose.layers import layers

HULL_POINTS = 100_000
ONE_BOARD = float(np.cos(np.radians(0.5)))
"""Faces of the hull within this angle and a millimetre belong to one board."""
ONE_WAY = float(np.cos(np.radians(8.0)))
"""Planes within this angle are one way up; the one with more wood on it is kept."""
LEAST_BOARD_SHARE = 0.02
"""A board's faces cover at least this share of what the largest one's do."""
LARGE_SHARE = 0.3
"""Opposite a face so large, beside the largest, the other side of the wood may lie; the underside tells up."""
CELL_MM = 8.0
BANDS_MM = (2.0, 1.2, 0.8)
HIGHEST_SHARE = 0.03
"""Least share of the plan that makes a height a rim's."""
LEAST_RIM_SHARE = 0.03
"""Least share of the plan that lies on a rim: a deck alone is more."""
MOST_ABOVE_SHARE = 0.06
ABOVE_MM = 1.5
FEWEST_CELLS = 12


@dataclass(frozen=True)
class Rim:
    """A plane that may be the uncut rim's.

    Attributes
    ----------
    plane
        With its normal out of the wood.
    share
        Of the blank's plan, that lies on it.
    scatter_mm
        Standard deviation of the points about it, by their median.
    """

    plane: Plane
    share: float
    scatter_mm: float


def rim_planes(points: Floats, samples: Floats, area_mm2: float) -> list[Rim]:
    """Return the planes of a scan that may be its rim's, at most one for each way up, the larger share first.

    Parameters
    ----------
    points
        The scan's own points, shape (n, 3), mm: their scatter is the scan's.
    samples
        Points all over its surface, shape (m, 3).
    area_mm2
        Of the blank seen from above.
    """
    tops: list[tuple[Floats, Floats]] = []
    found: list[Rim] = []
    for start in _starts(samples):
        top = next((t for n, t in tops if n @ start.normal > ONE_WAY), None)
        if top is None:
            top = _tops(samples, start.normal)
            tops.append((start.normal, top))
        if (rim := _settled(top, start, points, area_mm2)) is not None:
            found.append(rim)
    kept: list[Rim] = []
    for rim in sorted(found, key=lambda one: -one.share):
        if all(rim.plane.normal @ other.plane.normal < ONE_WAY for other in kept):
            kept.append(rim)
    return kept


def _starts(samples: Floats) -> list[Plane]:
    """Return planes to start from: boards on the hull, and the highest level opposite each large one."""
    boards = _boards(samples)
    most = max(area for area, _ in boards)
    starts = [plane for area, plane in boards if area >= LEAST_BOARD_SHARE * most]
    for area, plane in boards:
        if area >= LARGE_SHARE * most:
            starts.append(_highest_level(samples, -plane.normal))
    return starts


def _boards(samples: Floats) -> list[tuple[float, Plane]]:
    """Return where a board would lie on the hull, with the area of the hull's faces there, normals outward."""
    some = samples[:: max(1, len(samples) // HULL_POINTS)]
    try:
        hull = ConvexHull(some)
    except QhullError:
        middle = some.mean(axis=0)
        normal = np.linalg.svd(some - middle, full_matrices=False)[2][2]
        return [(1.0, Plane(side * normal, float(side * normal @ middle))) for side in (1.0, -1.0)]
    normals, offsets = hull.equations[:, :3], -hull.equations[:, 3]
    corners = some[hull.simplices]
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    areas = 0.5 * np.linalg.norm(across, axis=1)
    left, boards = areas.copy(), []
    for _ in range(60):
        lead = int(np.argmax(left))
        if not left[lead] > LEAST_BOARD_SHARE * areas.max():
            break
        own = (normals @ normals[lead] > ONE_BOARD) & (np.abs(offsets - offsets[lead]) < 1.0) & (left > 0.0)
        mean = (normals[own] * left[own, None]).sum(axis=0)
        normal = mean / np.linalg.norm(mean)
        boards.append((float(left[own].sum()), Plane(normal, float((some @ normal).max()))))
        left[own] = 0.0
    return boards


def _tops(samples: Floats, up: Floats) -> Floats:
    """Return the uppermost face of points seen along a direction, a point to a cell, in their own axes."""
    axes = axes_on(up)
    return np.asarray(layers(samples @ axes.T, CELL_MM).top @ axes)


def axes_on(up: Floats) -> Floats:
    """Return axes x, y, z as rows, right-handed, z along `up`."""
    aside = np.eye(3)[int(np.argmin(np.abs(up)))]
    y = aside - (aside @ up) * up
    y /= np.linalg.norm(y)
    return np.stack([np.cross(y, up), y, up])


def _highest_level(samples: Floats, up: Floats) -> Plane:
    """Return the highest plane square to a direction that a fair share of the uppermost face lies near to."""
    height = np.sort(_tops(samples, up) @ up)[::-1]
    need = max(FEWEST_CELLS, int(HIGHEST_SHARE * len(height)))
    span = height[: len(height) - need] - height[need:]
    tight = np.flatnonzero(span < 1.5)
    at = int(tight[0]) if len(tight) else 0
    return Plane(up, float(np.median(height[at : at + need])))


def _settled(top: Floats, plane: Plane, points: Floats, area_mm2: float) -> Rim | None:
    """Lay a plane onto the wood that it touches; None where too little lies on it, or too much above it."""
    for band in BANDS_MM:
        near = np.abs(top @ plane.normal - plane.offset) < band
        if np.count_nonzero(near) < FEWEST_CELLS:
            return None
        plane = least_squares_plane(top[near], plane.normal)
    off = top @ plane.normal - plane.offset
    share = float(np.count_nonzero(np.abs(off) < BANDS_MM[-1]) * CELL_MM**2 / area_mm2)
    if share < LEAST_RIM_SHARE or np.mean(off > ABOVE_MM) > MOST_ABOVE_SHARE:
        return None
    axes = axes_on(plane.normal)
    on = set(np.unique(_cell_of(top[near] @ axes.T)).tolist())
    local = points @ axes.T
    height = local[:, 2] - plane.offset
    own = np.abs(height) < 8.0
    own[own] = [cell in on for cell in _cell_of(local[own]).tolist()]
    scatter = 1.4826 * float(np.median(np.abs(height[own]))) if own.any() else 0.0
    return Rim(plane, share, scatter)


def _cell_of(local: Floats) -> NDArray[np.int64]:
    cell = np.floor(local[:, :2] / CELL_MM).astype(np.int64)
    return np.asarray(cell[:, 0] * 1_000_003 + cell[:, 1])


def least_squares_plane(points: Floats, up: Floats) -> Plane:
    """Return the plane of least squared distance from points, its normal on the side of `up`."""
    middle = points.mean(axis=0)
    normal = np.linalg.svd(points - middle, full_matrices=False)[2][2]
    normal = normal if normal @ up > 0.0 else -normal
    return Plane(normal, float(normal @ middle))

"""The seat as a relief to be looked at: a skin of triangles and the picture laid over it; arrays only.

Fine enough for the eye, with a flat underside; files to print or to cut come from elsewhere.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import map_coordinates
from scipy.spatial import Delaunay

from seatmesh.arrays import Floats
from seatmesh.mesh import Mesh
from seatmesh.wood.outline.shapes import contains

SPACING_MM = 4.0
"""Spacing of the relief's points."""

PIXEL_MM = 0.6
"""Size of a dot of the picture laid over the relief: about that of a dot of the sheet."""


@dataclass(frozen=True)
class Heights:
    """Depth of a seat on an open grid, and its outline.

    Attributes
    ----------
    x_mm, y_mm, depth_mm
        Columns, rows and depth below the blank's top, shapes (nx,), (ny,), (ny, nx).
    polygon_mm
        The outline, shape (n, 2), counter-clockwise.
    thickness_mm
        Of the blank.
    """

    x_mm: Floats
    y_mm: Floats
    depth_mm: Floats
    polygon_mm: Floats
    thickness_mm: float

    def at(self, x_mm: Floats, y_mm: Floats) -> Floats:
        """Return the depth at points, linear between those of the grid, the nearest one's beyond it."""
        return bilinear(self.y_mm, self.x_mm, self.depth_mm, y_mm, x_mm)


def bilinear(rows: Floats, columns: Floats, values: Floats, row: Floats, column: Floats) -> Floats:
    """Return values on an open grid, shape (rows, columns), at places, linear between; the nearest ones beyond."""
    at = [np.interp(row, rows, np.arange(len(rows))), np.interp(column, columns, np.arange(len(columns)))]
    return np.asarray(map_coordinates(values, at, order=1, mode="nearest"))


def top_skin(heights: Heights) -> Mesh:
    """Return the carved face, cut by the outline's own edge."""
    ring = dense_ring(heights.polygon_mm)
    x, y = np.meshgrid(heights.x_mm, heights.y_mm)
    nodes = np.column_stack([x.ravel(), y.ravel()])
    # Points closer than this to the edge would make slivers with the ring's own.
    apart = 0.3 * SPACING_MM
    steps = apart * np.array([[1, 0], [-1, 0], [0, 1], [0, -1]])
    inner = np.all([contains(heights.polygon_mm, *(nodes + step).T) for step in steps], axis=0)
    points = np.vstack([nodes[inner], ring])
    faces = Delaunay(points).simplices
    middle = points[faces].mean(axis=1)
    faces = faces[contains(heights.polygon_mm, middle[:, 0], middle[:, 1])]
    a, b, c = (points[faces[:, i]] for i in range(3))
    turn = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    faces = np.where((turn > 0)[:, None], faces, faces[:, ::-1])[np.abs(turn) > 1e-9]
    z = -heights.at(points[:, 0], points[:, 1])
    return Mesh(np.column_stack([points, z]), faces.astype(np.int64))


def edge_skin(heights: Heights) -> tuple[Mesh, Floats]:
    """Return the wall from the carved face down to the underside, and where its points lie on a picture of it.

    The picture runs once round the outline, left to right, and from the underside up; both as shares, shape (n, 2).
    The first point of the ring stands at either end.
    """
    ring, along = _closed_ring(heights, SPACING_MM)
    n = len(ring)
    top = np.column_stack([ring, -heights.at(ring[:, 0], ring[:, 1])])
    foot = np.column_stack([ring, np.full(n, -heights.thickness_mm)])
    this, after = np.arange(n - 1), np.arange(1, n)
    faces = np.vstack(
        [np.column_stack([this, this + n, after]), np.column_stack([after, this + n, after + n])]
    )
    share = along / along[-1]
    places = np.vstack([np.column_stack([share, np.ones(n)]), np.column_stack([share, np.zeros(n)])])
    return Mesh(np.vstack([top, foot]), faces.astype(np.int64)), places


def edge_dots(heights: Heights) -> tuple[Floats, Floats]:
    """Return places and outward normals for the dots of the wall's picture, shapes (rows, columns, 3)."""
    ring, along = _closed_ring(heights, PIXEL_MM)
    even = np.linspace(0.0, along[-1], len(ring))
    x, y = (np.interp(even, along, ring[:, axis]) for axis in (0, 1))
    rows = max(2, int(np.ceil(heights.thickness_mm / PIXEL_MM)))
    share = (np.arange(rows) + 0.5)[:, None] / rows
    z = -heights.thickness_mm * (1.0 - share) - heights.at(x, y)[None, :] * share
    points = np.stack([np.broadcast_to(x, z.shape), np.broadcast_to(y, z.shape), z], axis=-1)
    outward = np.column_stack([np.gradient(y), -np.gradient(x), np.zeros(len(x))])
    outward /= np.linalg.norm(outward, axis=1)[:, None]
    return points, np.broadcast_to(outward, points.shape)


def _closed_ring(heights: Heights, spacing_mm: float) -> tuple[Floats, Floats]:
    """Return the outline, its first point again at the end, and how far along it each point lies."""
    ring = dense_ring(heights.polygon_mm, spacing_mm)
    closed = np.vstack([ring, ring[:1]])
    return closed, np.append(0.0, np.cumsum(np.linalg.norm(np.diff(closed, axis=0), axis=1)))


def dense_ring(polygon_mm: Floats, spacing_mm: float = SPACING_MM) -> Floats:
    """Return the outline with points at most so far apart."""
    after = np.roll(polygon_mm, -1, axis=0)
    parts = []
    for start, end in zip(polygon_mm, after, strict=True):
        pieces = max(1, int(np.ceil(np.linalg.norm(end - start) / spacing_mm)))
        parts.append(start + (end - start) * (np.arange(pieces) / pieces)[:, None])
    return np.vstack(parts)


def dots(polygon_mm: Floats) -> tuple[Floats, Floats]:
    """Return places of the columns and rows of the picture that is laid over the top."""
    low, high = polygon_mm.min(axis=0), polygon_mm.max(axis=0)
    across, along = (int(np.ceil(extent / PIXEL_MM)) + 1 for extent in high - low)
    return np.linspace(low[0], high[0], across), np.linspace(low[1], high[1], along)

"""The seat as a relief to be looked at: a skin of triangles and the picture laid over it; arrays only.

Fine enough for the eye, with a flat underside; files to print or to cut come from elsewhere.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import RegularGridInterpolator
from scipy.ndimage import gaussian_filter1d
from scipy.spatial import Delaunay

from seatmesh.arrays import Floats
from seatmesh.mesh import Mesh
from seatmesh.wood.outline.shapes import contains

SPACING_MM = 4.0
"""Spacing of the relief's points."""

PIXEL_MM = 0.5
"""Size of a dot of the picture laid over the relief."""

EARLY_WOOD, LATE_WOOD = (0.87, 0.70, 0.49), (0.71, 0.51, 0.32)
RING_MM = 9.0
PITH_MM = (70.0, -330.0)
"""Colours, width and middle (x, z) of growth rings: for looks only, no board's true grain."""


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
        points = np.stack([np.clip(y_mm, *self.y_mm[[0, -1]]), np.clip(x_mm, *self.x_mm[[0, -1]])], axis=-1)
        return np.asarray(RegularGridInterpolator((self.y_mm, self.x_mm), self.depth_mm)(points))


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


def edge_skin(heights: Heights) -> Mesh:
    """Return the wall from the carved face down to the underside, all round the outline."""
    ring = dense_ring(heights.polygon_mm)
    n = len(ring)
    top = np.column_stack([ring, -heights.at(ring[:, 0], ring[:, 1])])
    foot = np.column_stack([ring, np.full(n, -heights.thickness_mm)])
    this, after = np.arange(n), np.roll(np.arange(n), -1)
    faces = np.vstack(
        [np.column_stack([this, this + n, after]), np.column_stack([after, this + n, after + n])]
    )
    return Mesh(np.vstack([top, foot]), faces.astype(np.int64))


def dense_ring(polygon_mm: Floats) -> Floats:
    """Return the outline with points at most `SPACING_MM` apart."""
    after = np.roll(polygon_mm, -1, axis=0)
    parts = []
    for start, end in zip(polygon_mm, after, strict=True):
        pieces = max(1, int(np.ceil(np.linalg.norm(end - start) / SPACING_MM)))
        parts.append(start + (end - start) * (np.arange(pieces) / pieces)[:, None])
    return np.vstack(parts)


def dots(polygon_mm: Floats) -> tuple[Floats, Floats]:
    """Return places of the columns and rows of the picture that is laid over the top."""
    low, high = polygon_mm.min(axis=0), polygon_mm.max(axis=0)
    across, along = (int(np.ceil(extent / PIXEL_MM)) + 1 for extent in high - low)
    return np.linspace(low[0], high[0], across), np.linspace(low[1], high[1], along)


def wood_rgb(x_mm: Floats, y_mm: Floats, z_mm: Floats) -> Floats:
    """Return the colour of wood at points, shape (..., 3): rings about a pith far below the blank."""
    wander = 9.0 * np.sin(y_mm / 140.0 + 0.7) + 4.0 * np.sin(y_mm / 47.0 + x_mm / 160.0)
    radius = np.hypot(x_mm - PITH_MM[0] + wander, z_mm - PITH_MM[1] + 0.5 * wander)
    ring = np.mod(radius / RING_MM, 1.0)
    late = np.where(ring < 0.88, ring**3, (1.0 - ring) / 0.12 * 0.68)
    share = 0.55 * late + 0.10 * _fibre(x_mm + 0.02 * y_mm)
    early, late_wood = np.array(EARLY_WOOD), np.array(LATE_WOOD)
    return np.asarray(early + (late_wood - early) * share[..., None])


def _fibre(x_mm: Floats) -> Floats:
    """Return fine streaks along the grain, the same at every call."""
    streaks = gaussian_filter1d(np.random.default_rng(7).standard_normal(4096), 0.8)
    return np.asarray(np.interp(x_mm, np.linspace(-800.0, 800.0, 4096), streaks / streaks.std()))

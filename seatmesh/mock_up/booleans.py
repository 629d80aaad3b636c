"""Solids as manifold3d holds them, which cuts and joins them exactly enough to stay closed."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import manifold3d as m3
import numpy as np
import shapely

from seatmesh.arrays import Floats, Ints
from seatmesh.errors import NotSolvedError
from seatmesh.mesh import Mesh, faults
from seatmesh.solids.slivers import without_slivers

SLIVER_MM = 1e-3
"""Details below this are let go where a body becomes a mesh; a printer's are a hundred times as large."""


def as_manifold(mesh: Mesh) -> m3.Manifold:
    """Return a closed mesh as a manifold.

    Raises
    ------
    NotSolvedError
        The mesh is not closed, in the library's judgement.
    """
    # The library takes only arrays that it could write.
    vertices, faces = np.array(mesh.vertices_mm), mesh.faces.astype(np.uint64)
    body = m3.Manifold(m3.Mesh64(vertices, faces))
    if body.status() != m3.Error.NoError:
        raise NotSolvedError(f"a solid cannot be cut: it is {body.status().name}; give a coarser tolerance.")
    return body


def as_mesh(body: m3.Manifold, what: str) -> Mesh:
    """Return a manifold as one closed mesh, always in the same order.

    Raises
    ------
    NotSolvedError
        It is not one closed body; `what` names it.
    """
    # Cuts leave slivers that are lines to within rounding.
    data = body.simplify(SLIVER_MM).to_mesh64()
    points = np.asarray(data.vert_properties, dtype=float)[:, :3] + 0.0
    mended = without_slivers(Mesh(points, np.asarray(data.tri_verts).astype(np.int64)))
    mesh = _ordered(mended.vertices_mm, mended.faces)
    if found := faults(mesh):
        raise NotSolvedError(
            f"{what} came out unfit to print: {'; '.join(found)}; change scale or bed a little."
        )
    return mesh


def _ordered(points: Floats, faces: Ints) -> Mesh:
    """Sort vertices and faces: the library works in parallel, and its order is not promised."""
    order = np.lexsort(points.T[::-1])
    rank = np.empty(len(points), dtype=np.int64)
    rank[order] = np.arange(len(points))
    faces = rank[faces]
    first = np.argmin(faces, axis=1)[:, None]
    faces = np.take_along_axis(faces, (first + np.arange(3)) % 3, axis=1)
    return Mesh(points[order], faces[np.lexsort(faces.T[::-1])])


def footprint(body: m3.Manifold) -> shapely.Geometry:
    """Return the area that a body covers in the plan."""
    rings = [shapely.Polygon(ring) for ring in body.project().to_polygons()]
    # A hole's ring runs clockwise.
    outer = [ring for ring in rings if ring.exterior.is_ccw]
    inner = [ring for ring in rings if not ring.exterior.is_ccw]
    return shapely.union_all(outer).difference(shapely.union_all(inner))


def height_block(x_mm: Floats, y_mm: Floats, z_mm: Floats, floor_mm: float) -> m3.Manifold:
    """Return what lies between a flat floor and heights above it.

    `z_mm` has shape (ny, nx) over rising rows `y_mm` and columns `x_mm`, each above `floor_mm`.
    """
    ny, nx = z_mm.shape
    columns, rows = np.meshgrid(x_mm, y_mm)
    top = np.column_stack([columns.ravel(), rows.ravel(), z_mm.ravel()])
    node = np.arange(nx * ny).reshape(ny, nx)
    a, b, c, d = (part.ravel() for part in (node[:-1, :-1], node[:-1, 1:], node[1:, 1:], node[1:, :-1]))
    upper = np.vstack([np.column_stack([a, b, c]), np.column_stack([a, c, d])])
    rim = np.concatenate([node[0], node[1:, -1], node[-1, -2::-1], node[-2:0:-1, 0]])
    below = len(top) + np.arange(len(rim))
    middle = len(top) + len(rim)
    base = np.vstack(
        [np.column_stack([top[rim, :2], np.full(len(rim), floor_mm)]), [*_centre(x_mm, y_mm), floor_mm]]
    )
    walls: list[Sequence[int]] = []
    for (i, j), (k, m) in zip(pairwise(_ring(rim)), pairwise(_ring(below)), strict=True):
        walls += [(k, m, j), (k, j, i), (m, k, middle)]
    return as_manifold(Mesh(np.vstack([top, base]), np.vstack([upper, np.array(walls)])))


def _ring(nodes: Ints) -> list[int]:
    return [*nodes.tolist(), int(nodes[0])]


def _centre(x: Floats, y: Floats) -> tuple[float, float]:
    return float(0.5 * (x[0] + x[-1])), float(0.5 * (y[0] + y[-1]))

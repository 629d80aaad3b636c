"""Triangle meshes: vertices and faces, and what can be said of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp
from scipy.sparse.csgraph import connected_components

from seatmesh.arrays import Floats, Ints
from seatmesh.by_value import by_value, lock

LEAST_FACET_HEIGHT = 1e-6
"""A facet lower than this share of its longest edge is degenerate."""


@by_value
@dataclass(frozen=True, eq=False)
class Mesh:
    """A triangle mesh in the frame of the blank; its arrays are copies that cannot be written.

    Attributes
    ----------
    vertices_mm
        Shape (n, 3), mm.
    faces
        Shape (m, 3), indices into the vertices, counter-clockwise seen from outside.

    Examples
    --------
    >>> from seatmesh import Mesh
    >>> corners = [[0, 0, 0], [10, 0, 0], [0, 10, 0], [0, 0, 10]]
    >>> Mesh(corners, [[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]]).scaled(0.25).vertices_mm.max()
    np.float64(2.5)
    """

    vertices_mm: Floats
    faces: Ints

    def __post_init__(self) -> None:
        lock(self, float, "vertices_mm")
        lock(self, np.int64, "faces")

    def scaled(self, factor: float) -> Mesh:
        """Return the mesh with all lengths multiplied by `factor` (0.25 for a scale of 1:4)."""
        return Mesh(self.vertices_mm * factor, self.faces)


def volume_mm3(mesh: Mesh) -> float:
    """Return the enclosed volume by the divergence theorem; positive when the faces look outward.

    Examples
    --------
    >>> from seatmesh import Blank, flat_seat, solid, volume_mm3
    >>> mesh = solid(flat_seat(Blank(outline="straight-sided", corner_radius_mm=0.0)), tolerance_mm=1.0)
    >>> blank = Blank()
    >>> round(volume_mm3(mesh) / (blank.width_mm * blank.depth_mm * blank.thickness_mm), 3)
    1.0
    """
    a, b, c = (mesh.vertices_mm[mesh.faces[:, i]] for i in range(3))
    return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6.0)


def extents_mm(mesh: Mesh) -> Floats:
    """Return the size of the mesh along x, y and z, shape (3,).

    Examples
    --------
    >>> from seatmesh import Blank, extents_mm, flat_seat, solid
    >>> extents_mm(solid(flat_seat(Blank(thickness_mm=40.0)), tolerance_mm=1.0))[2]
    np.float64(40.0)
    """
    return np.asarray(np.ptp(mesh.vertices_mm[np.unique(mesh.faces)], axis=0))


def facet_areas_mm2(mesh: Mesh) -> Floats:
    """Return the area of each facet, shape (m,)."""
    a, b, c = (mesh.vertices_mm[mesh.faces[:, i]] for i in range(3))
    return np.asarray(0.5 * np.linalg.norm(np.cross(b - a, c - a), axis=1))


def is_closed(mesh: Mesh) -> bool:
    """Tell whether every edge is used exactly once in each direction.

    Examples
    --------
    >>> from seatmesh import Mesh, flat_seat, is_closed, solid
    >>> mesh = solid(flat_seat(), tolerance_mm=1.0)
    >>> is_closed(mesh), is_closed(Mesh(mesh.vertices_mm, mesh.faces[1:]))
    (True, False)
    """
    start = mesh.faces.ravel()
    end = np.roll(mesh.faces, -1, axis=1).ravel()
    n = len(mesh.vertices_mm)
    forward, backward = start * n + end, end * n + start
    keys = np.sort(forward)
    return bool(np.all(keys[1:] != keys[:-1]) and np.array_equal(keys, np.sort(backward)))


def degenerate_facets(mesh: Mesh) -> int:
    """Return how many facets are no triangle but, to within rounding, a line or a point."""
    corners = mesh.vertices_mm[mesh.faces]
    longest = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2).max(axis=1)
    # Height = 2 area / longest edge.
    return int(np.count_nonzero(2.0 * facet_areas_mm2(mesh) <= LEAST_FACET_HEIGHT * longest**2))


def bodies(mesh: Mesh) -> int:
    """Return into how many parts the mesh falls that share no vertex."""
    used, faces = np.unique(mesh.faces, return_inverse=True)
    start = faces.reshape(mesh.faces.shape)
    end = np.roll(start, -1, axis=1)
    joined = np.ones(start.size)
    graph = sp.coo_array((joined, (start.ravel(), end.ravel())), shape=(len(used), len(used)))
    return int(connected_components(graph, directed=False)[0])


def faults(mesh: Mesh) -> tuple[str, ...]:
    """Return in words what keeps the mesh from being one printable body; nothing where it is one.

    Examples
    --------
    >>> from seatmesh import faults, flat_seat, solid
    >>> faults(solid(flat_seat(), tolerance_mm=1.0))
    ()
    """
    found = []
    if not is_closed(mesh):
        found.append(
            "an edge is not used exactly once in each direction: the mesh is open or overlaps itself"
        )
    if (count := degenerate_facets(mesh)) > 0:
        found.append(f"{count} facets are lines or points")
    if (count := bodies(mesh)) != 1:
        found.append(f"it falls into {count} bodies")
    if not volume_mm3(mesh) > 0.0:
        found.append("its faces look inward, or it encloses nothing")
    return tuple(found)

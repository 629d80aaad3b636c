"""Facets that are lines or points go; what is left is closed and has the same volume."""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray

from seatmesh.mesh import Mesh, degenerate_facets, faults, volume_mm3
from seatmesh.solids.slivers import without_slivers

Floats = NDArray[np.float64]


def wedge(on_edge: Floats) -> Mesh:
    """A tetrahedron of 10 mm, points set along its first edge: a fan of flat facets on one side of it."""
    corners = np.array([[0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [0.0, 10.0, 0.0], [0.0, 0.0, 10.0]])
    points = np.vstack([corners, np.column_stack([on_edge, 0.0 * on_edge, 0.0 * on_edge])])
    chain = [0, *range(4, 4 + len(on_edge)), 1]
    one = [[a, b, 3] for a, b in itertools.pairwise(chain)]
    # On the other side the edge is whole: flat facets fill the gap between.
    flat = [[0, chain[i + 1], chain[i]] for i in range(1, len(chain) - 1)]
    return Mesh(points, np.array([*one, *flat, [0, 2, 1], [0, 3, 2], [1, 2, 3]]))


def test_a_fan_of_flat_facets_is_turned_into_the_facet_beside_it() -> None:
    mesh = wedge(np.linspace(0.5, 9.5, 60))
    assert degenerate_facets(mesh) == 60
    mended = without_slivers(mesh)
    assert faults(mended) == ()
    assert len(mended.faces) == len(mesh.faces)
    assert abs(volume_mm3(mended) / volume_mm3(mesh) - 1.0) < 1e-12


def test_a_very_short_edge_is_drawn_together() -> None:
    mesh = wedge(np.array([4.0, 4.0 + 1e-6]))
    mended = without_slivers(mesh)
    assert faults(mended) == ()
    assert len(mended.vertices_mm) == 5
    assert abs(volume_mm3(mended) / volume_mm3(mesh) - 1.0) < 1e-6


def test_a_mesh_without_slivers_stays_as_it_is() -> None:
    mesh = wedge(np.zeros(0))
    assert without_slivers(mesh) is mesh

"""Triangle meshes: vertices and faces, and what can be said of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Mesh:
    """A triangle mesh in the frame of the blank.

    Attributes
    ----------
    vertices_mm
        Shape (n, 3), mm.
    faces
        Shape (m, 3), indices into the vertices, counter-clockwise seen from outside.
    """

    vertices_mm: Floats
    faces: Ints

    def scaled(self, factor: float) -> Mesh:
        """Return the mesh with all lengths multiplied by `factor` (0.25 for a scale of 1:4)."""
        return Mesh(self.vertices_mm * factor, self.faces)


def volume_mm3(mesh: Mesh) -> float:
    """Return the enclosed volume by the divergence theorem; positive when the faces look outward."""
    a, b, c = (mesh.vertices_mm[mesh.faces[:, i]] for i in range(3))
    return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6.0)


def is_closed(mesh: Mesh) -> bool:
    """Tell whether every edge is used exactly once in each direction."""
    start = mesh.faces.ravel()
    end = np.roll(mesh.faces, -1, axis=1).ravel()
    n = len(mesh.vertices_mm)
    forward, backward = start * n + end, end * n + start
    keys = np.sort(forward)
    return bool(np.all(keys[1:] != keys[:-1]) and np.array_equal(keys, np.sort(backward)))

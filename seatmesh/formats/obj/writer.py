"""Wavefront OBJ: vertices, normals and groups as text."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.formats.mesh_attributes import Extras, one_line
from seatmesh.mesh import Mesh


def obj_text(mesh: Mesh, name: str, extras: Extras | None = None) -> str:
    """Return the mesh as an OBJ file, coordinates to 1e-6 mm; the same arguments give the same text.

    The format knows no unit, so a comment states it. Each vertex has one normal, of its own number: programs that
    pair vertices with normals would else take the mesh for open along every crisp edge. Facets are grouped by part,
    in the order in which parts first occur; without parts there is no group.
    """
    part = extras.part if extras else None
    lines = ["# seatmesh OBJ, unit mm", f"o {_word(name)}"]
    lines += [f"v {x:.6f} {y:.6f} {z:.6f}" for x, y, z in _rounded(mesh.vertices_mm, 6)]
    lines += [f"vn {x:.4f} {y:.4f} {z:.4f}" for x, y, z in _rounded(vertex_normals(mesh), 4)]
    facets = [f"f {a}//{a} {b}//{b} {c}//{c}" for a, b, c in (mesh.faces + 1).tolist()]
    lines += facets if part is None else _grouped(facets, part)
    return "\n".join(lines) + "\n"


def obj_file(mesh: Mesh, name: str, extras: Extras) -> bytes:
    """Return the contents of an OBJ file; it takes the parts."""
    return obj_text(mesh, name, extras).encode("utf-8", "replace")


def vertex_normals(mesh: Mesh) -> Floats:
    """Return a unit normal at each vertex, shape (n, 3): the mean of its facets' by their angles there.

    So weighed it does not depend on how a flat part is cut into facets (Thuermer and Wuethrich 1998, J. Graphics
    Tools 3:43, from memory). A vertex of no facet looks up.
    """
    corners = mesh.vertices_mm[mesh.faces]
    onward, back = np.roll(corners, -1, axis=1) - corners, np.roll(corners, 1, axis=1) - corners
    normal = np.cross(onward[:, 0], back[:, 0])
    angle = np.arctan2(np.linalg.norm(normal, axis=1)[:, None], np.einsum("mij,mij->mi", onward, back))
    weighed = angle[..., None] * _unit(normal)[:, None]
    vertex, count = mesh.faces.ravel(), len(mesh.vertices_mm)
    total = [np.bincount(vertex, weighed[..., axis].ravel(), minlength=count) for axis in range(3)]
    return _unit(np.column_stack(total))


def _unit(vectors: Floats) -> Floats:
    length = np.linalg.norm(vectors, axis=1, keepdims=True)
    return np.where(length > 0.0, vectors / np.where(length > 0.0, length, 1.0), (0.0, 0.0, 1.0))


def _rounded(values: Floats, decimals: int) -> list[list[float]]:
    # Adding zero turns the -0.0 that rounding leaves into 0.0.
    rows: list[list[float]] = (np.round(values, decimals) + 0.0).tolist()
    return rows


def _grouped(facets: Sequence[str], part: Sequence[str]) -> list[str]:
    groups: dict[str, list[str]] = {}
    for facet, name in zip(facets, part, strict=True):
        groups.setdefault(name, []).append(facet)
    return [line for name, own in groups.items() for line in (f"g {_word(name) or 'part'}", *own)]


def _word(name: str) -> str:
    return one_line(name).replace(" ", "_")

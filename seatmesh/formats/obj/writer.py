"""Wavefront OBJ: vertices, normals and groups as text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from seatmesh.arrays import Floats, Ints
from seatmesh.formats.mesh_attributes import Extras, one_line
from seatmesh.formats.text_table import decimals, integers, joined, lines_of
from seatmesh.mesh import Mesh


def obj_text(mesh: Mesh, name: str, extras: Extras | None = None) -> str:
    """Return the mesh as an OBJ file, coordinates to 1e-6 mm; the same arguments give the same text.

    The format knows no unit, so a comment states it. Each vertex has one normal, of its own number: programs that
    pair vertices with normals would else take the mesh for open along every crisp edge. Facets are grouped by part,
    in the order in which parts first occur; without parts there is no group.
    """
    return obj_file(mesh, name, extras or Extras()).decode("utf-8")


def obj_file(mesh: Mesh, name: str, extras: Extras) -> bytes:
    """Return the contents of an OBJ file; it takes the parts."""
    head = f"# seatmesh OBJ, unit mm\no {_word(name)}\n".encode("utf-8", "replace")
    points = _triples(b"v ", mesh.vertices_mm, 6)
    normals = _triples(b"vn ", vertex_normals(mesh), 4)
    number = integers(np.arange(1, len(mesh.vertices_mm) + 1))
    corner = joined([number, b"//", number])
    blocks = [head, points, normals]
    for group, own in _groups(extras.part, len(mesh.faces)):
        a, b, c = mesh.faces[own].T
        blocks += [
            group,
            lines_of([b"f ", corner, b" ", corner, b" ", corner, b"\n"], [None, a, None, b, None, c, None]),
        ]
    return b"".join(blocks)


def _triples(word: bytes, values: Floats, places: int) -> bytes:
    x, y, z = (decimals(values[:, i], places) for i in range(3))
    return lines_of([word, x, b" ", y, b" ", z, b"\n"])


def vertex_normals(mesh: Mesh) -> Floats:
    """Return a unit normal at each vertex, shape (n, 3): the mean of its facets' by their angles there.

    So weighed it does not depend on how a flat part is cut into facets (Thuermer and Wuethrich 1998, J. Graphics
    Tools 3:43, from memory). A vertex of no facet looks up.
    """
    x, y, z = np.ascontiguousarray(mesh.vertices_mm.T)
    corner = np.ascontiguousarray(mesh.faces.T)
    # The edge opposite each corner, along the three axes.
    edge = [[at[corner[(i + 2) % 3]] - at[corner[(i + 1) % 3]] for at in (x, y, z)] for i in range(3)]
    (ax, ay, az), (bx, by, bz) = edge[1], edge[2]
    normal = [az * by - ay * bz, ax * bz - az * bx, ay * bx - ax * by]
    size = -np.sqrt(normal[0] ** 2 + normal[1] ** 2 + normal[2] ** 2)
    count, total = len(mesh.vertices_mm), np.zeros((len(mesh.vertices_mm), 3))
    share = 1.0 / np.where(size < 0.0, size, 1.0)
    unit = [np.where(size < 0.0, one * share, float(axis == 2)) for axis, one in enumerate(normal)]
    left = np.full(len(mesh.faces), np.pi)
    for i in range(3):
        angle = left
        if i < 2:
            onward, back = edge[(i + 2) % 3], edge[(i + 1) % 3]
            cosine = -(onward[0] * back[0] + onward[1] * back[1] + onward[2] * back[2])
            angle = np.arctan2(-size, cosine)
            left = left - angle
        for axis in range(3):
            total[:, axis] += np.bincount(corner[i], angle * unit[axis], minlength=count)
    return _unit(total)


def _unit(vectors: Floats) -> Floats:
    length = np.linalg.norm(vectors, axis=1, keepdims=True)
    return np.where(length > 0.0, vectors / np.where(length > 0.0, length, 1.0), (0.0, 0.0, 1.0))


def _groups(part: Sequence[str] | None, count: int) -> Iterator[tuple[bytes, Ints]]:
    """Yield the line that begins each group, empty without parts, and the numbers of its facets."""
    if part is None:
        yield b"", np.arange(count)
        return
    names = {name: i for i, name in enumerate(dict.fromkeys(part))}
    number = np.array([names[name] for name in part])
    for name, i in names.items():
        yield f"g {_word(name) or 'part'}\n".encode("utf-8", "replace"), np.flatnonzero(number == i)


def _word(name: str) -> str:
    return one_line(name).replace(" ", "_")

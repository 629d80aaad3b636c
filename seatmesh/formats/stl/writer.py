"""STL, binary and text, without a clock in either. The format knows no unit: header and name state mm."""

from __future__ import annotations

import io

import numpy as np
import stl
from numpy.typing import NDArray

from seatmesh.formats.mesh_attributes import Extras, one_line
from seatmesh.mesh import Mesh

Singles = NDArray[np.float32]

HEADER_BYTES = 80


def stl_bytes(mesh: Mesh, name: str) -> bytes:
    """Return the mesh as a binary STL file; the same mesh and name give the same bytes.

    The header states the unit, mm, and the name in ASCII. Coordinates are rounded to single precision:
    2e-5 mm on a seat.
    """
    return _saved(mesh, f"seatmesh STL, unit mm, {_ascii(name)}", stl.Mode.BINARY)


def stl_text(mesh: Mesh, name: str) -> str:
    """Return the mesh as a text STL file, in single precision too; the name line states the unit, mm."""
    word = f"seatmesh_unit_mm_{_ascii(name).replace(' ', '_')}"
    return _saved(mesh, word, stl.Mode.ASCII).decode("ascii")


def stl_file(mesh: Mesh, name: str, extras: Extras) -> bytes:
    """Return the contents of a binary STL file; the format takes no attributes."""
    return stl_bytes(mesh, name)


def stl_text_file(mesh: Mesh, name: str, extras: Extras) -> bytes:
    """Return the contents of a text STL file; the format takes no attributes."""
    return stl_text(mesh, name).encode("ascii")


class _Timeless(stl.Mesh):  # type: ignore[misc]  # the library is untyped here
    """The library's mesh with its name alone as header, where the library puts version and time of writing."""

    def get_header(self, name: str) -> str:
        return name[:HEADER_BYTES].ljust(HEADER_BYTES)


def _saved(mesh: Mesh, name: str, mode: stl.Mode) -> bytes:
    vertices = mesh.vertices_mm.astype("<f4")
    facets = np.zeros(len(mesh.faces), stl.Mesh.dtype)
    facets["vectors"] = vertices[mesh.faces]
    facets["normals"] = unit_normals(vertices, mesh.faces)
    if mode is stl.Mode.ASCII:
        # Adding zero turns the -0.0 that rounding leaves into 0.0.
        facets["vectors"] += np.float32(0.0)
        facets["normals"] += np.float32(0.0)
    file = io.BytesIO()
    # Facets are written as they are: none left out, their normals those of the mesh.
    _Timeless(facets, calculate_normals=False, remove_empty_areas=False, name=name).save(
        name, fh=file, mode=mode, update_normals=False
    )
    return file.getvalue()


def unit_normals(vertices: NDArray[np.floating], faces: NDArray[np.int64]) -> Singles:
    """Return each facet's outward unit normal, shape (m, 3), zero where the facet is a line or a point."""
    x, y, z = np.ascontiguousarray(vertices.T)
    a, b, c = np.ascontiguousarray(faces.T)
    ax, ay, az, bx, by, bz = x[b] - x[a], y[b] - y[a], z[b] - z[a], x[c] - x[a], y[c] - y[a], z[c] - z[a]
    normal = np.empty((len(faces), 3), np.float32)
    normal[:, 0] = ay * bz - az * by
    normal[:, 1] = az * bx - ax * bz
    normal[:, 2] = ax * by - ay * bx
    length = np.sqrt(np.einsum("ij,ij->i", normal, normal))
    normal /= np.where(length > 0.0, length, np.float32(1.0))[:, None]
    return normal


def _ascii(name: str) -> str:
    plain = name.encode("ascii", "replace").decode("ascii")
    return one_line("".join(c if c.isprintable() else "?" for c in plain))

"""STL, binary and text, without a clock in either. The format knows no unit: header and name state mm."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from seatmesh.export.extras import one_line
from seatmesh.mesh import Mesh

Singles = NDArray[np.float32]

HEADER_BYTES = 80
RECORD = np.dtype([("normal", "<f4", (3,)), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
"""One facet of a binary file: 50 bytes, packed."""


def stl_bytes(mesh: Mesh, name: str) -> bytes:
    """Return the mesh as a binary STL file; the same mesh and name give the same bytes.

    The header states the unit, mm, and the name in ASCII. Coordinates are rounded to single precision:
    2e-5 mm on a seat.
    """
    vertices = mesh.vertices_mm.astype("<f4")
    count = len(mesh.faces)
    file = bytearray(HEADER_BYTES + 4 + count * RECORD.itemsize)
    header = f"seatmesh STL, unit mm, {_ascii(name)}"[:HEADER_BYTES].ljust(HEADER_BYTES)
    file[:HEADER_BYTES] = header.encode("ascii")
    file[HEADER_BYTES : HEADER_BYTES + 4] = np.array(count, "<u4").tobytes()
    facets = np.frombuffer(file, RECORD, offset=HEADER_BYTES + 4)
    facets["corners"] = vertices[mesh.faces]
    facets["normal"] = unit_normals(vertices, mesh.faces)
    return bytes(file)


def stl_text(mesh: Mesh, name: str) -> str:
    """Return the mesh as a text STL file, coordinates to 1e-6 mm; the name line states the unit, mm."""
    word = f"seatmesh_unit_mm_{_ascii(name).replace(' ', '_')}"
    normal = unit_normals(mesh.vertices_mm, mesh.faces)
    rows = np.concatenate([normal, mesh.vertices_mm[mesh.faces].reshape(-1, 9)], axis=1) + 0.0
    facet = (
        " facet normal {:.6f} {:.6f} {:.6f}\n  outer loop\n"
        + 3 * "   vertex {:.6f} {:.6f} {:.6f}\n"
        + "  endloop\n endfacet\n"
    )
    # Adding zero turns the -0.0 that rounding leaves into 0.0.
    body = "".join(facet.format(*row) for row in (np.round(rows, 6) + 0.0).tolist())
    return f"solid {word}\n{body}endsolid {word}\n"


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

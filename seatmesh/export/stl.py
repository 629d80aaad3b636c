"""Binary STL by numpy-stl, with a header that holds no clock."""

from __future__ import annotations

import io

import numpy as np
import stl

from seatmesh.mesh import Mesh

HEADER_BYTES = 80


def stl_bytes(mesh: Mesh, name: str) -> bytes:
    """Return the mesh as a binary STL file; the same mesh and name give the same bytes.

    The header states the unit, mm, and the name in ASCII. Coordinates are rounded to single precision:
    2e-5 mm on a seat.
    """
    body = stl.mesh.Mesh(np.zeros(len(mesh.faces), dtype=stl.mesh.Mesh.dtype), name=name)
    body.vectors[:] = mesh.vertices_mm[mesh.faces]
    # The library's own header holds the time of writing.
    body.get_header = _header
    file = io.BytesIO()
    body.save(name, fh=file, mode=stl.Mode.BINARY)
    return file.getvalue()


def _header(name: str) -> str:
    plain = name.encode("ascii", "replace").decode("ascii")
    printable = "".join(c if c.isprintable() else "?" for c in plain)
    return f"seatmesh STL, unit mm, {printable}"[:HEADER_BYTES].ljust(HEADER_BYTES)

"""Binary PLY, with pressure as a number and as a colour at each vertex.

NumPy lays out the rows: trimesh is as fast but rounds points to single precision (`tests/benchmarks/libraries.py`).
"""

from __future__ import annotations

import numpy as np

from seatmesh.formats.mesh_attributes import Extras, one_line
from seatmesh.mesh import Mesh


def ply_bytes(mesh: Mesh, name: str, extras: Extras | None = None) -> bytes:
    """Return the mesh as a little-endian binary PLY file, coordinates in double precision.

    The format knows no unit, so a comment states mm. Vertices carry `pressure_kpa` and `red green blue` where
    the extras hold them. The same mesh, name and extras give the same bytes.
    """
    extras = extras or Extras()
    columns = [(axis, "<f8", "double", mesh.vertices_mm[:, i]) for i, axis in enumerate("xyz")]
    if extras.rgb is not None:
        levels = np.round(255.0 * extras.rgb)
        columns += [(c, "u1", "uchar", levels[:, i]) for i, c in enumerate(("red", "green", "blue"))]
    if extras.pressure_kpa is not None:
        columns.append(("pressure_kpa", "<f4", "float", extras.pressure_kpa))
    vertices = np.empty(len(mesh.vertices_mm), [(key, kind) for key, kind, _, _ in columns])
    for key, _, _, values in columns:
        vertices[key] = values
    faces = np.empty(len(mesh.faces), [("count", "u1"), ("corners", "<i4", (3,))])
    faces["count"], faces["corners"] = 3, mesh.faces
    header = [
        "ply",
        "format binary_little_endian 1.0",
        "comment seatmesh PLY, unit mm",
        f"comment {_ascii(name)}",
        f"element vertex {len(vertices)}",
        *(f"property {word} {key}" for key, _, word, _ in columns),
        f"element face {len(faces)}",
        "property list uchar int vertex_indices",
        "end_header",
    ]
    return "\n".join(header).encode("ascii") + b"\n" + vertices.tobytes() + faces.tobytes()


def _ascii(name: str) -> str:
    return one_line(name.encode("ascii", "replace").decode("ascii"))

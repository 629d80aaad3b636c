"""Wavefront OBJ: vertices and triangles as text."""

from __future__ import annotations

from seatmesh.mesh import Mesh


def obj_text(mesh: Mesh, name: str) -> str:
    """Return the mesh as an OBJ file, coordinates to 1e-6 mm; the same mesh and name give the same text.

    The format knows no unit, so a comment states it.
    """
    word = "_".join("".join(c if c.isprintable() else " " for c in name).split())
    lines = ["# seatmesh OBJ, unit mm", f"o {word}"]
    lines += [f"v {x:.6f} {y:.6f} {z:.6f}" for x, y, z in (mesh.vertices_mm + 0.0).tolist()]
    lines += [f"f {a} {b} {c}" for a, b, c in (mesh.faces + 1).tolist()]
    return "\n".join(lines) + "\n"

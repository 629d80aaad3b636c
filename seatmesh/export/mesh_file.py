"""A mesh to a file: the suffix says which format."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np

from seatmesh.errors import ValueRefusedError
from seatmesh.export.obj import obj_text
from seatmesh.export.stl import stl_bytes
from seatmesh.export.write import write_bytes
from seatmesh.mesh import Mesh
from seatmesh.units import shown

MESH_SUFFIXES: dict[str, Callable[[Mesh, str], bytes]] = {
    ".stl": stl_bytes,
    ".obj": lambda mesh, name: obj_text(mesh, name).encode(),
}


def mesh_bytes(mesh: Mesh, suffix: str, *, name: str = "seat") -> bytes:
    """Return a mesh as the contents of a file with the suffix "stl" (binary) or "obj", unit mm.

    Raises
    ------
    ValueRefusedError
        For another suffix, a mesh without triangles and one with coordinates that are not finite.
    """
    encode = _encoder(suffix)
    if len(mesh.faces) == 0 or not np.isfinite(mesh.vertices_mm).all():
        raise ValueRefusedError(
            "mesh",
            f"{len(mesh.faces)} triangles",
            "allowed is at least one, with finite coordinates",
            "make the mesh with seatmesh.solid",
        )
    return encode(mesh, name.strip() or "seat")


def check_suffix(path: str | Path) -> None:
    """Refuse a path that `write_mesh` would refuse for its suffix, before any work is done."""
    _encoder(Path(path).suffix)


def write_mesh(mesh: Mesh, path: str | Path, *, name: str = "seat") -> None:
    """Write a mesh to `path`, which ends in .stl (binary) or .obj; unit mm, same mesh and name, same bytes.

    Raises
    ------
    ValueRefusedError
        As `mesh_bytes`.
    FileRefusedError
        The file cannot be written.
    """
    write_bytes(path, mesh_bytes(mesh, Path(path).suffix, name=name))


def _encoder(suffix: str) -> Callable[[Mesh, str], bytes]:
    encode = MESH_SUFFIXES.get("." + suffix.lower().removeprefix("."))
    if encode is None:
        allowed = " and ".join(MESH_SUFFIXES)
        raise ValueRefusedError(
            "suffix of a mesh file", shown(suffix), f"allowed are {allowed}", "choose one of them"
        )
    return encode

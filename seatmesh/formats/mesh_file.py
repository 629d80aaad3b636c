"""A mesh to a file: the suffix says which format."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np

from seatmesh.errors import ValueRefusedError
from seatmesh.files.whole_or_nothing import write_bytes
from seatmesh.formats.glb import glb_bytes
from seatmesh.formats.mesh_attributes import Extras, check_extras
from seatmesh.formats.obj.writer import obj_text
from seatmesh.formats.ply.writer import ply_bytes
from seatmesh.formats.stl.writer import stl_bytes, stl_text
from seatmesh.formats.threemf.writer import threemf_bytes
from seatmesh.mesh import Mesh
from seatmesh.units import shown

MESH_SUFFIXES: dict[str, Callable[[Mesh, str, Extras], bytes]] = {
    ".stl": lambda mesh, name, _: stl_bytes(mesh, name),
    ".stla": lambda mesh, name, _: stl_text(mesh, name).encode("ascii"),
    ".obj": lambda mesh, name, extras: obj_text(mesh, name, extras).encode("utf-8", "replace"),
    ".ply": ply_bytes,
    ".3mf": lambda mesh, name, _: threemf_bytes(mesh, name),
    ".glb": glb_bytes,
}
"""`.stl` is binary; `.stla` is the same as text, for the rare program that asks for it."""


def mesh_bytes(mesh: Mesh, suffix: str, *, name: str = "seat", extras: Extras | None = None) -> bytes:
    """Return a mesh as the contents of a file with one of `MESH_SUFFIXES`.

    The unit is mm, in GLB the metre, as that format asks. `extras` are parts, pressures and colours, for the formats
    that know them. The same arguments give the same bytes.

    Raises
    ------
    ValueRefusedError
        For another suffix, a mesh without triangles, one with coordinates that are not finite, and extras that do not
        fit the mesh.
    """
    encode = _encoder(suffix)
    if len(mesh.faces) == 0 or not np.isfinite(mesh.vertices_mm).all():
        raise ValueRefusedError(
            "mesh",
            f"{len(mesh.faces)} triangles",
            "allowed is at least one, with finite coordinates",
            "make the mesh with seatmesh.solid",
        )
    extras = extras or Extras()
    check_extras(mesh, extras)
    return encode(mesh, name.strip() or "seat", extras)


def check_suffix(path: str | Path) -> None:
    """Refuse a path that `write_mesh` would refuse for its suffix, before any work is done."""
    _encoder(Path(path).suffix)


def write_mesh(
    mesh: Mesh, path: str | Path, *, name: str = "seat", extras: Extras | None = None, form: str = ""
) -> None:
    """Write a mesh to `path`, whose suffix is one of `MESH_SUFFIXES`; see `mesh_bytes`.

    `form` names the format apart from the path, so that a text file too may end in .stl: `form=".stla"`.

    Raises
    ------
    ValueRefusedError
        As `mesh_bytes`.
    FileRefusedError
        The file cannot be written.
    """
    write_bytes(path, mesh_bytes(mesh, form or Path(path).suffix, name=name, extras=extras))


def _encoder(suffix: str) -> Callable[[Mesh, str, Extras], bytes]:
    encode = MESH_SUFFIXES.get("." + suffix.lower().removeprefix("."))
    if encode is None:
        *others, last = MESH_SUFFIXES
        allowed = f"allowed are {', '.join(others)} and {last}"
        raise ValueRefusedError("suffix of a mesh file", shown(suffix), allowed, "choose one of them")
    return encode

"""A mesh to a file: the suffix says which format."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from seatmesh.errors import ValueRefusedError
from seatmesh.files.whole_or_nothing import write_bytes
from seatmesh.formats.mesh_attributes import Extras, check_extras
from seatmesh.formats.registry import Format, format_of, formats_written
from seatmesh.mesh import Mesh


def mesh_bytes(mesh: Mesh, suffix: str, *, name: str = "seat", extras: Extras | None = None) -> bytes:
    """Return a mesh as the contents of a file of one of the registry's mesh formats.

    The unit is mm, in GLB the metre, as that format asks. `extras` are parts, pressures and colours, for the formats
    that know them. The same arguments give the same bytes.

    Raises
    ------
    ValueRefusedError
        For another suffix, a mesh without triangles, one with coordinates that are not finite, and extras that do not
        fit the mesh.

    Examples
    --------
    >>> from seatmesh import flat_seat, mesh_bytes, solid
    >>> data = mesh_bytes(solid(flat_seat(), tolerance_mm=1.0), ".ply")
    >>> data[:3]
    b'ply'
    """
    encode = _format(suffix).write_with()
    if len(mesh.faces) == 0 or not np.isfinite(mesh.vertices_mm).all():
        raise ValueRefusedError(
            "mesh",
            f"{len(mesh.faces)} triangles",
            "allowed is at least one, with finite coordinates",
            "make the mesh with seatmesh.solid",
        )
    extras = extras or Extras()
    check_extras(mesh, extras)
    data: bytes = encode(mesh, name.strip() or "seat", extras)
    return data


def check_suffix(path: str | Path) -> None:
    """Refuse a path that `write_mesh` would refuse for its suffix, before any work is done."""
    _format(Path(path).suffix)


def write_mesh(
    mesh: Mesh, path: str | Path, *, name: str = "seat", extras: Extras | None = None, form: str = ""
) -> None:
    """Write a mesh to `path`, whose suffix is that of a mesh format; see `mesh_bytes`.

    `form` names the format apart from the path, so that a text file too may end in .stl: `form=".stla"`.

    Raises
    ------
    ValueRefusedError
        As `mesh_bytes`.
    FileRefusedError
        The file cannot be written.

    Examples
    --------
    >>> from seatmesh import flat_seat, solid, write_mesh
    >>> model = solid(flat_seat(), tolerance_mm=1.0).scaled(0.25)
    >>> write_mesh(model, "seat-quarter-mm.stl")
    """
    write_bytes(path, mesh_bytes(mesh, form or Path(path).suffix, name=name, extras=extras))


def _format(suffix: str) -> Format:
    return format_of(suffix, formats_written("mesh"), "suffix of a mesh file")

"""What a mesh file can say beside vertices and triangles; each format takes what it knows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.errors import ValueRefusedError
from seatmesh.mesh import Mesh


@dataclass(frozen=True)
class Extras:
    """What goes with a mesh into its file, as far as the format knows it.

    Attributes
    ----------
    part
        Name of the part that each facet belongs to, one a facet; from `seatmesh.solids.parts.facet_parts`. OBJ
        writes them as groups.
    pressure_kpa
        Pressure at each vertex, shape (n,); PLY and GLB write it as a number at each vertex.
    rgb
        Colour of each vertex, shape (n, 3), sRGB from 0 to 1; PLY and GLB write it.

    Examples
    --------
    >>> import numpy as np
    >>> from seatmesh import Extras, flat_seat, mesh_bytes, solid
    >>> mesh = solid(flat_seat(), tolerance_mm=1.0)
    >>> coloured = mesh_bytes(mesh, ".ply", extras=Extras(rgb=np.full((len(mesh.vertices_mm), 3), 0.5)))
    >>> len(coloured) > len(mesh_bytes(mesh, ".ply"))
    True
    """

    part: tuple[str, ...] | None = None
    pressure_kpa: Floats | None = None
    rgb: Floats | None = None


def check_extras(mesh: Mesh, extras: Extras) -> None:
    """Refuse extras that do not fit the mesh.

    Raises
    ------
    ValueRefusedError
        An array has another length than the mesh asks for, or a value that is not finite or no colour.
    """
    vertices, facets = len(mesh.vertices_mm), len(mesh.faces)
    if extras.part is not None and len(extras.part) != facets:
        raise _refusal("part", f"{len(extras.part)} names", f"one for each of {facets} facets")
    pressure = extras.pressure_kpa
    if pressure is not None and not (pressure.shape == (vertices,) and np.isfinite(pressure).all()):
        raise _refusal("pressure_kpa", f"shape {pressure.shape}", f"{vertices} finite numbers")
    rgb = extras.rgb
    # A value that is no number fails both comparisons.
    if rgb is not None and not (rgb.shape == (vertices, 3) and np.all((rgb >= 0.0) & (rgb <= 1.0))):
        raise _refusal("rgb", f"shape {rgb.shape}", f"shape ({vertices}, 3), each from 0 to 1")


def one_line(name: str) -> str:
    """Return a name as files take it: printable, on one line, no longer than 200 characters."""
    return " ".join("".join(c if c.isprintable() else " " for c in name).split())[:200]


def _refusal(name: str, given: str, allowed: str) -> ValueRefusedError:
    return ValueRefusedError(
        f"mesh file, {name}", given, f"allowed is {allowed}", "make it for this very mesh"
    )

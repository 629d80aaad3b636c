"""Joint holes cut into a solid, by manifold3d."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

import numpy as np

from seatmesh.errors import NotSolvedError, ValueRefusedError
from seatmesh.mesh import Mesh, faults
from seatmesh.solids.slivers import without_slivers
from seatmesh.wood.joint_cuts import Hole, Housing

CHORD_MM = 0.02
"""How far the sides of a drilled hole, which are flat facets, lie inside the true circle at most."""

CLEAR_MM = 5.0
FLAT_SHARE = 0.12
"""Round the rims of holes, facets of flat parts lower than this share of their longest edge are made better."""


def cut_holes(mesh: Mesh, holes: Iterable[Hole | Housing]) -> Mesh:
    """Return a full-size solid in the frame of the blank with the holes taken out of it.

    The top face is z = 0, where depths and places of holes from above count from even over the hollow; the underside
    is the lowest z of the mesh.

    Raises
    ------
    ValueRefusedError
        The mesh is no closed solid.
    NotSolvedError
        What is left is no one closed solid.
    """
    import manifold3d  # noqa: PLC0415 - heavy, and only for those who want holes

    body = _manifold(manifold3d, mesh)
    underside = float(mesh.vertices_mm[:, 2].min())
    tools = [
        _drill(manifold3d, hole, underside)
        if isinstance(hole, Hole)
        else _pocket(manifold3d, hole, underside)
        for hole in holes
    ]
    if not tools:
        return mesh
    left = (body - manifold3d.Manifold.batch_boolean(tools, manifold3d.OpType.Add)).to_mesh64()
    cut = without_slivers(
        Mesh(np.array(left.vert_properties)[:, :3], np.array(left.tri_verts, dtype=np.int64)), FLAT_SHARE
    )
    if len(cut.faces) == 0 or (found := faults(cut)):
        reason = "nothing is left" if len(cut.faces) == 0 else "; ".join(found)
        raise NotSolvedError(f"with its holes the seat is no one solid: {reason}; move or narrow the holes.")
    return cut


def _manifold(manifold3d: Any, mesh: Mesh) -> Any:
    # The library takes only arrays that it could write.
    vertices, faces = np.array(mesh.vertices_mm), mesh.faces.astype(np.uint64)
    body = manifold3d.Manifold(manifold3d.Mesh64(vertices, faces))
    if body.status() != manifold3d.Error.NoError or body.is_empty():
        raise ValueRefusedError(
            "mesh", f"{len(mesh.faces)} facets", "allowed is a closed solid", "make it with seatmesh.solid"
        )
    return body


def _drill(manifold3d: Any, hole: Hole, underside_mm: float) -> Any:
    """Return the cylinder that a hole takes out, starting clear of the face that it is drilled from."""
    radius = 0.5 * hole.diameter_mm
    sides = max(12, math.ceil(math.pi / math.acos(1.0 - min(CHORD_MM / radius, 0.5))))
    # Leaning, the near rim of the drill's end must clear the face too.
    clear = 2.0 * hole.diameter_mm + 1.0
    through = -2.0 * underside_mm + 2.0 * clear
    length = clear + (through if hole.depth_mm is None else hole.depth_mm)
    outward = hole.outward
    across = np.cross(outward, [0.0, 1.0, 0.0])
    across /= np.linalg.norm(across)
    face = 0.0 if hole.side == "top" else underside_mm
    face = face if hole.face_z_mm is None else hole.face_z_mm
    start = np.array([hole.x_mm, hole.y_mm, face]) + clear * outward
    frame = np.column_stack([across, np.cross(-outward, across), -outward, start])
    return manifold3d.Manifold.cylinder(length, radius, circular_segments=sides).transform(frame)


def _pocket(manifold3d: Any, housing: Housing, underside_mm: float) -> Any:
    """Return the prism that a housing takes out, starting clear of the underside."""
    section = manifold3d.CrossSection([np.array(housing.corners_mm)], manifold3d.FillRule.NonZero)
    prism = manifold3d.Manifold.extrude(section, housing.depth_mm + CLEAR_MM)
    return prism.translate([0.0, 0.0, underside_mm - CLEAR_MM])

"""The carved blank as a mesh with the pressure of a sitter at its vertices."""

from __future__ import annotations

from seatmesh.body.body import Body
from seatmesh.errors import NotSolvedError
from seatmesh.formats.mesh_attributes import Extras
from seatmesh.mesh import Mesh
from seatmesh.picture.contact.pressure_field import top_pressure_kpa
from seatmesh.picture.contact.pressure_scale import pressure_rgb
from seatmesh.seating.sit import sit
from seatmesh.solids.parts import facet_parts
from seatmesh.surface import Seat

COLOURED_MM, COLOURED_DEG, USUAL_DEG = 0.05, 5.0, 15.0


def fineness(tolerance_mm: float, coloured: bool) -> tuple[float, float]:
    """Return tolerance and angle: colours stand at the vertices, so that there must be enough of them."""
    if coloured:
        return min(tolerance_mm, COLOURED_MM), COLOURED_DEG
    return tolerance_mm, USUAL_DEG


def extras_of(mesh: Mesh, seat: Seat, body: Body | None) -> Extras:
    """Return the parts of a mesh of a seat, and the pressure of a sitter on it where one is given.

    Raises
    ------
    NotSolvedError
        The sitter found no balance.
    """
    part = facet_parts(mesh, seat)
    if body is None:
        return Extras(part=part)
    sitting = sit(body, seat)
    if not sitting.converged:
        raise NotSolvedError(f"{body.name}: {sitting.verdict}")
    pressure = top_pressure_kpa(mesh, sitting)
    return Extras(part=part, pressure_kpa=pressure, rgb=pressure_rgb(pressure))

"""The joints of a seat as the kernel's bodies: what is drilled or let in for them."""

from __future__ import annotations

from typing import Any

import numpy as np

from seatmesh.formats.step.kernel import CLEAR_MM, kernel, point, prism
from seatmesh.surface import Seat
from seatmesh.wood.joint_cuts import Hole, Housing, joint_cuts


def joint_waste(seat: Seat) -> list[Any]:
    """Return what each joint takes out, starting clear of the face that it is cut from."""
    bottom = -seat.blank.thickness_mm
    return [
        _drilled(cut, bottom) if isinstance(cut, Hole) else _housed(cut, bottom)
        for cut in joint_cuts(seat.blank)
    ]


def _drilled(hole: Hole, underside_mm: float) -> Any:
    gp = kernel("gp")
    clear = 2.0 * hole.diameter_mm + CLEAR_MM
    through = -2.0 * underside_mm + 2.0 * clear
    length = clear + (through if hole.depth_mm is None else hole.depth_mm)
    face = 0.0 if hole.side == "top" else underside_mm
    face = face if hole.face_z_mm is None else hole.face_z_mm
    start = np.array([hole.x_mm, hole.y_mm, face]) + clear * hole.outward
    axis = gp.gp_Ax2(point(*start), gp.gp_Dir(*(-hole.outward).tolist()))
    return kernel("BRepPrimAPI").BRepPrimAPI_MakeCylinder(axis, 0.5 * hole.diameter_mm, length).Shape()


def _housed(housing: Housing, underside_mm: float) -> Any:
    corners = np.array(housing.corners_mm)
    return prism(corners, underside_mm - CLEAR_MM, underside_mm + housing.depth_mm)

"""What a gutter takes out of a CAD solid: its arc moved along a straight deck line, or turned with a bowed one."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.errors import ValueRefusedError
from seatmesh.formats.step.kernel import CLEAR_MM, kernel, point
from seatmesh.surface import Seat
from seatmesh.wood.deck_line import bow, line_ahead


def gutter_waste(seat: Seat) -> Any:
    """Return what a gutter takes, as long as the deck line and a little longer."""
    blank = seat.blank
    line = line_ahead(blank, 0.5 * blank.gutter_width_mm)
    if blank.deck_line == "bowed" and blank.deck_is_curved:
        return _turned(seat, line)
    if blank.deck_is_curved:
        raise ValueRefusedError(
            "[blank] deck_line",
            "'offset' with a gutter",
            "a STEP file takes a gutter along a straight or a bowed deck line",
            "write it as a mesh, such as .3mf, or leave the gutter out of the file",
        )
    reach = float(line[-1, 0])
    section = _section(seat, point(-reach, float(line[0, 1]), 0.0), (0.0, 1.0))
    move = kernel("gp").gp_Vec(2.0 * reach, 0.0, 0.0)
    return kernel("BRepPrimAPI").BRepPrimAPI_MakePrism(section, move).Shape()


def _turned(seat: Seat, line: Floats) -> Any:
    """Return what a gutter along an arc takes: its section turned about the arc's middle."""
    gp, blank = kernel("gp"), seat.blank
    _, middle = bow(blank)
    end = line[-1] - np.array([0.0, middle])
    turn = 2.0 * math.atan2(abs(end[0]), abs(end[1]))
    start = point(float(line[-1, 0]), float(line[-1, 1]), 0.0)
    ahead = -end / np.linalg.norm(end) if middle > blank.deck_mm else end / np.linalg.norm(end)
    section = _section(seat, start, (float(ahead[0]), float(ahead[1])))
    # From the right end to the left one: clockwise seen from above where the middle lies ahead.
    axis = gp.gp_Ax1(point(0.0, middle, 0.0), gp.gp_Dir(0.0, 0.0, -1.0 if middle > blank.deck_mm else 1.0))
    return kernel("BRepPrimAPI").BRepPrimAPI_MakeRevol(section, axis, turn).Shape()


def _section(seat: Seat, middle: Any, ahead: tuple[float, float]) -> Any:
    """Return the upright face of a gutter's section at a place of its middle line, open to above."""
    build, gc, blank = kernel("BRepBuilderAPI"), kernel("GC"), seat.blank
    half = 0.5 * blank.gutter_width_mm

    def at(along: float, z: float) -> Any:
        return point(middle.X() + along * ahead[0], middle.Y() + along * ahead[1], z)

    lips = at(-half, 0.0), at(half, 0.0)
    tops = at(half, CLEAR_MM), at(-half, CLEAR_MM)
    arc = gc.GC_MakeArcOfCircle(lips[0], at(0.0, -blank.gutter_depth_mm), lips[1]).Value()
    wire = build.BRepBuilderAPI_MakeWire()
    wire.Add(build.BRepBuilderAPI_MakeEdge(arc).Edge())
    for a, b in pairwise((lips[1], *tops, lips[0])):
        wire.Add(build.BRepBuilderAPI_MakeEdge(a, b).Edge())
    return build.BRepBuilderAPI_MakeFace(wire.Wire(), True).Face()

"""What a gutter takes out of a CAD solid: its arc moved along a straight deck line, or turned with a bowed one."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.formats.step.kernel import CLEAR_MM, chain_wire, kernel, point
from seatmesh.formats.step.outline_curves import LONGEST_CHORD_MM
from seatmesh.surface import Seat
from seatmesh.wood.deck_line import bow, line_ahead

BEYOND_MM = 12.0
"""How far a line along the outline runs on beyond it, so that a gutter ends outside of the wood."""


def gutter_waste(seat: Seat) -> list[Any]:
    """Return what a gutter takes, as long as the deck line and a little longer, in pieces end to end."""
    blank = seat.blank
    line = line_ahead(blank, 0.5 * blank.gutter_width_mm)
    if blank.deck_line == "bowed" and blank.deck_is_curved:
        return [_turned(seat, line)]
    if blank.deck_is_curved:
        return _led(seat, line)
    reach = float(line[-1, 0])
    return [_moved(seat, np.array([(-reach, line[0, 1]), (reach, line[0, 1])]))]


def _moved(seat: Seat, side: Floats) -> Any:
    """Return what a straight gutter takes, from the left to the right."""
    along = side[1] - side[0]
    section = _section(seat, point(side[0, 0], side[0, 1], 0.0), _to_the_left(along))
    return (
        kernel("BRepPrimAPI")
        .BRepPrimAPI_MakePrism(section, kernel("gp").gp_Vec(*along.tolist(), 0.0))
        .Shape()
    )


def _to_the_left(along: Floats) -> tuple[float, float]:
    size = float(np.linalg.norm(along))
    return -float(along[1]) / size, float(along[0]) / size


def _led(seat: Seat, right: Floats) -> list[Any]:
    """Return what a gutter along the outline takes: moved where its line is straight, piped where it bends."""
    onward = right[-1] + BEYOND_MM * (right[-1] - right[-2]) / np.linalg.norm(right[-1] - right[-2])
    half = np.vstack([right, onward])
    line = np.vstack([half[:0:-1] * np.array([-1.0, 1.0]), half])
    # The two halves meet in a straight piece, or in a point of a bend.
    line = line[np.r_[True, np.linalg.norm(np.diff(line, axis=0), axis=1) > 1e-9]]
    long = np.linalg.norm(np.diff(line, axis=0), axis=1) > LONGEST_CHORD_MM
    stops = [0, *(np.flatnonzero(np.diff(long)) + 1), len(long)]
    chains = [line[a : b + 1] for a, b in pairwise(stops)]
    straight = [bool(long[a]) for a in stops[:-1]]
    pieces = []
    for i, (chain, is_straight) in enumerate(zip(chains, straight, strict=True)):
        if is_straight:
            pieces += [_moved(seat, chain[[k, k + 1]]) for k in range(len(chain) - 1)]
            continue
        before = chains[i - 1][-1] - chains[i - 1][-2] if i else chain[1] - chain[0]
        after = chains[i + 1][1] - chains[i + 1][0] if i + 1 < len(chains) else chain[-1] - chain[-2]
        spine, start = chain_wire(chain, before, after, 0.0)
        section = _section(seat, point(chain[0, 0], chain[0, 1], 0.0), _to_the_left(start))
        pieces.append(kernel("BRepOffsetAPI").BRepOffsetAPI_MakePipe(spine, section).Shape())
    return pieces


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

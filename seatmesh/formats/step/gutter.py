"""What a gutter takes out of a CAD solid: its arc moved along a straight deck line, or turned with a bowed one."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np
from scipy.interpolate import BSpline, make_interp_spline

from seatmesh.arrays import Floats
from seatmesh.formats.step.kernel import CLEAR_MM, bspline_surface, kernel, point
from seatmesh.formats.step.outline_curves import LONGEST_CHORD_MM, smooth_through
from seatmesh.spline import DEGREE, clamped_knots, greville
from seatmesh.surface import Seat
from seatmesh.wood.deck_line import bow, line_ahead

STRAIGHT_MM = 25.0
"""A longer piece of a line along the outline is led straight."""
ARC_SPANS, MOST_KNOTS = 10, 400
SWEPT_ERROR_MM = 0.004
NEAR_MM = 0.005
"""How near to the points of its line a gutter is led."""
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
    line = _even(line)
    long = np.linalg.norm(np.diff(line, axis=0), axis=1) > STRAIGHT_MM
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
        pieces += [_swept(seat, spine) for spine in smooth_through(chain, before, after, NEAR_MM)]
    return pieces


def _swept(seat: Seat, spine: BSpline) -> Any:
    """Return what a gutter takes whose middle runs along a curve: all above the surface that its arc sweeps.

    The kernel's own pipe is of degree 11, and ten times as slow to cut with.
    """
    half = 0.5 * seat.blank.gutter_width_mm
    radius = 0.5 * (half**2 + seat.blank.gutter_depth_mm**2) / seat.blank.gutter_depth_mm
    turn = math.atan2(half, radius - seat.blank.gutter_depth_mm)
    across = clamped_knots(-turn, turn, ARC_SPANS)
    aside, low = radius * np.sin(greville(across)), radius * (np.cos(turn) - np.cos(greville(across)))
    along = spine.t
    while True:
        surface = _interpolated(spine, along, across, aside, low)
        between = 0.5 * (along[:-1] + along[1:])
        exact = _aside(spine, between, np.array([-half, half]))
        ends = surface[:, [0, -1], :2]
        off = BSpline(along, ends.reshape(len(ends), -1), DEGREE)(between).reshape(exact.shape) - exact
        far = np.abs(off).max(axis=(1, 2)) > SWEPT_ERROR_MM
        if not far.any() or len(along) > MOST_KNOTS:
            break
        along = np.sort(np.concatenate([along, between[far]]))
    build = kernel("BRepBuilderAPI")
    face = build.BRepBuilderAPI_MakeFace(bspline_surface(along, across, surface), 1e-7).Face()
    up = kernel("gp").gp_Vec(0.0, 0.0, seat.blank.gutter_depth_mm + CLEAR_MM)
    return kernel("BRepPrimAPI").BRepPrimAPI_MakePrism(face, up).Shape()


def _interpolated(spine: BSpline, along: Floats, across: Floats, aside: Floats, low: Floats) -> Floats:
    """Return the poles of the surface that an arc sweeps along a curve, shape (n, m, 3)."""
    at = greville(along)
    plan = _aside(spine, at, aside)
    places = np.concatenate([plan, np.broadcast_to(low[:, None], (*plan.shape[:2], 1))], axis=2)
    led = make_interp_spline(at, places, DEGREE, t=along).c
    return np.swapaxes(make_interp_spline(greville(across), np.swapaxes(led, 0, 1), DEGREE, t=across).c, 0, 1)


def _aside(spine: BSpline, at: Floats, aside: Floats) -> Floats:
    """Return the places so far to the left of a curve, shape (len(at), len(aside), 2)."""
    way = spine.derivative()(at)
    left = np.column_stack([-way[:, 1], way[:, 0]]) / np.linalg.norm(way, axis=1)[:, None]
    return np.asarray(spine(at)[:, None] + aside[:, None] * left[:, None])


def _even(line: Floats) -> Floats:
    """Return a line with points at most `LONGEST_CHORD_MM` apart, but for its long straight pieces.

    A line that was thinned to a tolerance has chords of any length where it hardly bends; as a piece of its own each of
    them would be one cut more.
    """
    out = [line[:1]]
    for a, b in pairwise(line):
        length = float(np.linalg.norm(b - a))
        parts = 1 if length > STRAIGHT_MM else math.ceil(length / LONGEST_CHORD_MM)
        out.append(a + (b - a) * np.linspace(0.0, 1.0, parts + 1)[1:, None])
    return np.vstack(out)


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

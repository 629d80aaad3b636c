"""What a cutter takes that is led along the outline: its profile moved along sides, turned about arcs, piped on curves.

Where the profile reaches farther in than an arc is round, the cuts beside it meet: what is taken grows toward the edge,
so that all of them together take what the nearest edge asks for.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import shapely

from seatmesh.arrays import Floats
from seatmesh.errors import ValueRefusedError
from seatmesh.formats.step.kernel import CLEAR_MM, chain_wire, kernel, point
from seatmesh.formats.step.outline_curves import circle_of, end_directions, stretches
from seatmesh.surface import Seat

TIGHT_SHARE = 0.9
"""Of the tightest bend of a free curve: so far a profile may reach in there."""


@dataclass(frozen=True)
class Profile:
    """The section of what a cutter takes: corners (inward, z), shape (n, 2), straight sides between them.

    The corners at `arc`, the next and the one after lie on an arc; None for straight sides alone.
    """

    corners: Floats
    arc: int | None = None


def bevel_waste(seat: Seat) -> list[Any]:
    """Return what the under-bevel takes off the lower edges."""
    blank = seat.blank
    wide, high, bottom = blank.under_bevel_width_mm, blank.under_bevel_height_mm, -blank.thickness_mm

    def profile(clear: float) -> Profile:
        outer = (-clear, bottom - clear), (-clear, bottom + high * (1.0 + clear / wide))
        return Profile(np.array([outer[0], (wide * (1.0 + clear / high), bottom - clear), outer[1]]))

    return _along(seat, profile, wide, "under_bevel_width_mm")


def round_over_waste(seat: Seat) -> list[Any]:
    """Return what the round along the top edge takes of uncut wood."""
    radius, half = seat.blank.round_over_mm, math.sqrt(0.5)

    def profile(clear: float) -> Profile:
        arc = (0.0, -radius), (radius * (1.0 - half), radius * (half - 1.0)), (radius, 0.0)
        return Profile(np.array([(-clear, CLEAR_MM), (-clear, -radius), *arc, (radius, CLEAR_MM)]), arc=2)

    return _along(seat, profile, radius, "round_over_mm")


def _along(seat: Seat, profile: Callable[[float], Profile], reach_mm: float, key: str) -> list[Any]:
    """Return a body for each chain of the outline; `profile` gives the section that clears the edge by a length."""
    ring = seat.blank.polygon_mm()
    if not shapely.is_ccw(shapely.LinearRing(ring)):
        ring = ring[::-1]
    chains = stretches(ring)
    bodies = []
    for i, chain in enumerate(chains):
        arriving, leaving = end_directions(chains[i - 1])[1], end_directions(chain)[0]
        if _turn(arriving, leaving) < -1e-3:
            raise _refused(seat, key, "an inner corner of the outline is sharp")
        circle = circle_of(chain)
        if len(chain) == 2:
            bodies.append(_moved(chain, profile(CLEAR_MM)))
        elif circle is not None:
            if circle[1] < reach_mm and profile(CLEAR_MM).arc is not None:
                raise _refused(seat, key, "a corner of the outline is rounder than that")
            bodies.append(_turned(chain, *circle, profile))
        else:
            if reach_mm > TIGHT_SHARE * tightest_mm(chain):
                raise _refused(seat, key, "a free curve of the outline bends more tightly than that")
            before, after = end_directions(chains[i - 1])[1], end_directions(chains[(i + 1) % len(chains)])[0]
            bodies.append(_piped(chain, before, after, profile(CLEAR_MM)))
    return bodies


def _refused(seat: Seat, key: str, why: str) -> ValueRefusedError:
    return ValueRefusedError(
        f"[blank] {key}",
        f"{getattr(seat.blank, key):g}",
        f"a STEP file does not take it here: {why}",
        "write it as a mesh, such as .3mf, or make it narrower",
    )


def tightest_mm(chain: Floats) -> float:
    """Return the least radius of the circles through three points of a chain that follow one another."""
    a, b, c = chain[:-2], chain[1:-1], chain[2:]
    sides = [np.linalg.norm(one, axis=1) for one in (b - a, c - b, c - a)]
    u, v = b - a, c - a
    area = np.abs(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0])
    with np.errstate(divide="ignore"):
        return float((sides[0] * sides[1] * sides[2] / (2.0 * area)).min())


def _turn(arriving: Floats, leaving: Floats) -> float:
    return math.atan2(arriving[0] * leaving[1] - arriving[1] * leaving[0], float(arriving @ leaving))


def _section(at: Floats, along: Floats, profile: Profile) -> Any:
    """Return the upright face of a profile at a place of the outline, across the direction that it is led in."""
    build = kernel("BRepBuilderAPI")
    inward = np.array([-along[1], along[0]]) / np.linalg.norm(along)
    corners = [point(at[0] + u * inward[0], at[1] + u * inward[1], z) for u, z in profile.corners]
    wire = build.BRepBuilderAPI_MakeWire()
    for i, (a, b) in enumerate(pairwise([*corners, corners[0]])):
        if i == profile.arc:
            arc = kernel("GC").GC_MakeArcOfCircle(a, b, corners[i + 2]).Value()
            wire.Add(build.BRepBuilderAPI_MakeEdge(arc).Edge())
        elif profile.arc is None or i != profile.arc + 1:
            wire.Add(build.BRepBuilderAPI_MakeEdge(a, b).Edge())
    return build.BRepBuilderAPI_MakeFace(wire.Wire(), True).Face()


def _moved(side: Floats, profile: Profile) -> Any:
    along = side[1] - side[0]
    section = _section(side[0], along, profile)
    return (
        kernel("BRepPrimAPI")
        .BRepPrimAPI_MakePrism(section, kernel("gp").gp_Vec(*along.tolist(), 0.0))
        .Shape()
    )


def _turned(chain: Floats, centre: Floats, radius: float, profile: Callable[[float], Profile]) -> Any:
    gp = kernel("gp")
    along, arriving = end_directions(chain)
    outward = chain[0] - centre
    convex = along[0] * outward[1] - along[1] * outward[0] < 0.0
    own = profile(CLEAR_MM if convex else min(CLEAR_MM, 0.5 * radius))
    if convex and own.corners[:, 0].max() > radius:  # nothing is turned beyond the axis
        kept = shapely.intersection(shapely.Polygon(own.corners), shapely.box(-1e4, -1e4, radius, 1e4))
        own = Profile(shapely.get_coordinates(kept.exterior)[:-1])
    turn = _turn(along, arriving) % (2.0 * math.pi) if convex else -_turn(along, arriving) % (2.0 * math.pi)
    axis = gp.gp_Ax1(point(centre[0], centre[1], 0.0), gp.gp_Dir(0.0, 0.0, 1.0 if convex else -1.0))
    return kernel("BRepPrimAPI").BRepPrimAPI_MakeRevol(_section(chain[0], along, own), axis, turn).Shape()


def _piped(chain: Floats, before: Floats, after: Floats, profile: Profile) -> Any:
    spine, start = chain_wire(chain, before, after, 0.0)
    section = _section(chain[0], start, profile)
    return kernel("BRepOffsetAPI").BRepOffsetAPI_MakePipe(spine, section).Shape()

"""The carved seat as an exact solid of the open CAD kernel: planes, the roll's cylinder, and B-spline faces."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from shapely import ops

from seatmesh.arrays import Floats
from seatmesh.errors import NotSolvedError, ValueRefusedError
from seatmesh.formats.step.along_outline import bevel_waste, round_over_waste
from seatmesh.formats.step.exact_surface import LOW_MM, carved_spline, overhang_mm
from seatmesh.formats.step.gutter import gutter_waste
from seatmesh.formats.step.joints import joint_waste
from seatmesh.formats.step.kernel import (
    CLEAR_MM,
    cut,
    done,
    is_valid,
    kernel,
    lead_curve,
    prism,
    scaled,
    solids_of,
    spline_surface,
    top_mm,
)
from seatmesh.formats.step.wood_taken import is_as_carved
from seatmesh.front_roll import arc_centre_mm
from seatmesh.spline import BicubicSpline
from seatmesh.surface import Seat
from seatmesh.wood.blank import Blank
from seatmesh.wood.deck_line import bow, line_ahead

BOX_MM = 1e-3
ARC_CHORD_MM = 1.2
TRIES = ((math.inf, 0.0), (LOW_MM, 0.0), (math.inf, 1e-4), (LOW_MM, 1e-4), (math.inf, 1e-3))
"""How far the carved surface stands above the blank beyond the hollow, and how near the kernel takes edges for one, mm;
in turn, until it makes the carving that the seat has. Now and then it loses a cut without a word."""


@dataclass(frozen=True)
class CadSolid:
    """A seat as the kernel's solid, and whether the round along its top edge and the joints' holes are in it."""

    body: Any
    is_rounded: bool
    has_holes: bool


def cad_solid(seat: Seat, *, joint_holes: bool = False, scale: float = 1.0) -> CadSolid:
    """Return the carved seat as one closed solid of the kernel, in the frame of the blank, mm.

    Its blank is a prism on the outline, with the front roll as a true cylinder; a body under the carved spline is cut
    out of it, so that the hollow's edge is where the spline meets the blank, and a deck line with a step is a plane.
    A round along the top edge that the kernel does not get through is left square.

    Raises
    ------
    FileRefusedError
        The CAD kernel is not installed.
    ValueRefusedError
        As `carved_spline`, `gutter_waste` and `bevel_waste`; a seat without a hollow is plain wood and passes.
    NotSolvedError
        The kernel found no one valid solid that lacks as much wood as the seat's carving takes.
    """
    kernel("gp")
    body, is_rounded = _rounded_over(seat, _carved(seat))
    joints = joint_waste(seat) if joint_holes else []
    if joints:
        body = _one_valid_solid(cut(body, joints))
    return CadSolid(body if scale == 1.0 else scaled(body, scale), is_rounded, bool(joints))


def _waste_of(seat: Seat, low_mm: float) -> list[Any]:
    """Return what is taken off the blank with its roll: gutter, hollow and bevel.

    The gutter comes first, where it meets nothing but planes: cut after the hollow it takes several times as long.
    """
    waste = gutter_waste(seat) if seat.blank.gutter_depth_mm > 0.0 else []
    if seat.hollow is not None or seat.adjustments:
        waste.append(_waste(seat, carved_spline(seat, low_mm)))
    return [*waste, *bevel_waste(seat)] if seat.blank.has_bevel else waste


def _carved(seat: Seat) -> Any:
    """Return the blank without its waste, as the first try leaves it that takes what it should.

    Another try is made where the kernel finds a box that stands above the seat.
    """
    body, found = _blank(seat), None
    for low, fuzzy in TRIES:
        left = _without(body, _waste_of(seat, low), fuzzy)
        if left is not None and is_as_carved(left, seat, rounded=False):
            if top_mm(left) < BOX_MM or found is not None:
                return left if top_mm(left) < BOX_MM else found
            found = left
    if found is not None:
        return found
    raise NotSolvedError(
        "the CAD kernel did not get the carving out of the blank, or left a faulty solid; write the seat as a mesh."
    )


def _rounded_over(seat: Seat, body: Any) -> tuple[Any, bool]:
    """Return the seat with the round along its top edge, and whether it is there."""
    if seat.blank.round_over_mm == 0.0:
        return body, False
    try:
        waste = round_over_waste(seat)
    except ValueRefusedError:
        return body, False
    for fuzzy in sorted({fuzzy for _, fuzzy in TRIES}):
        left = _without(body, waste, fuzzy)
        if left is not None and is_as_carved(left, seat, rounded=True):
            return left, True
    return body, False


def _without(body: Any, waste: list[Any], fuzzy: float) -> Any | None:
    """Return a body without each piece of waste in turn; None where no one valid solid is left."""
    for one in waste:
        body = cut(body, [one], fuzzy)
    solids = solids_of(body)
    return solids[0] if len(solids) == 1 and is_valid(solids[0]) else None


def _blank(seat: Seat) -> Any:
    """Return the uncarved blank: a prism on the outline, under a side profile that holds the front roll."""
    gp, prim, algo = kernel("gp"), kernel("BRepPrimAPI"), kernel("BRepAlgoAPI")
    thickness, outline = seat.blank.thickness_mm, seat.blank.polygon_mm()
    if seat.front_roll_mm == 0.0:
        return prism(outline, -thickness, 0.0)
    body = prism(outline, -thickness - CLEAR_MM, CLEAR_MM)
    left, right = outline[:, 0].min() - CLEAR_MM, outline[:, 0].max() + CLEAR_MM
    profile = kernel("BRepBuilderAPI").BRepBuilderAPI_MakeFace(_profile_wire(seat, left), True).Face()
    slab = prim.BRepPrimAPI_MakePrism(profile, gp.gp_Vec(right - left, 0.0, 0.0)).Shape()
    return done(algo.BRepAlgoAPI_Common(body, slab), "the front roll")


def _profile_wire(seat: Seat, x: float) -> Any:
    """Return the side profile at x: underside, back, top face, and the roll a little beyond the front edge."""
    gp, gc, build = kernel("gp"), kernel("GC"), kernel("BRepBuilderAPI")
    start, radius = seat.roll_start_mm, seat.front_roll_mm
    ahead, deep = arc_centre_mm(radius)
    beyond = seat.blank.depth_mm + 2.0 * overhang_mm(seat) - start - ahead
    first, turn = math.asin(ahead / radius), math.asin(min(beyond / radius, math.sin(1.4)))
    rear, below = float(seat.blank.polygon_mm()[:, 1].min()) - CLEAR_MM, -seat.blank.thickness_mm

    def on_arc(angle: float) -> tuple[float, float]:
        return start + ahead + radius * math.sin(angle), radius * math.cos(angle) - deep

    y_end, z_end = on_arc(turn)
    corners = [(y_end, z_end), (y_end, below), (rear, below), (rear, 0.0), (start, 0.0)]
    points = [gp.gp_Pnt(x, y, z) for y, z in corners]
    wire = build.BRepBuilderAPI_MakeWire()
    for a, b in pairwise(points):
        wire.Add(build.BRepBuilderAPI_MakeEdge(a, b).Edge())
    lead, meets = lead_curve(x, start, radius), gp.gp_Pnt(x, *on_arc(first))
    wire.Add(build.BRepBuilderAPI_MakeEdge(lead, points[-1], meets).Edge())
    arc = gc.GC_MakeArcOfCircle(meets, gp.gp_Pnt(x, *on_arc(0.5 * (first + turn))), points[0]).Value()
    wire.Add(build.BRepBuilderAPI_MakeEdge(arc).Edge())
    return wire.Wire()


def _waste(seat: Seat, spline: BicubicSpline) -> Any:
    """Return what is cut away: all above the carved spline, ahead of the deck line."""
    gp, prim, build = kernel("gp"), kernel("BRepPrimAPI"), kernel("BRepBuilderAPI")
    height = float(np.abs(spline.coefficients).max()) + CLEAR_MM
    face = build.BRepBuilderAPI_MakeFace(spline_surface(spline), 1e-7).Face()
    above = prim.BRepPrimAPI_MakePrism(face, gp.gp_Vec(0.0, 0.0, 2.0 * height)).Shape()
    ahead = prism(_ahead_of_deck(seat, spline), -height, CLEAR_MM)
    return done(kernel("BRepAlgoAPI").BRepAlgoAPI_Common(above, ahead), "the carved spline")


def _ahead_of_deck(seat: Seat, spline: BicubicSpline) -> Floats:
    """Return the plan of what may be carved, a little beyond the outline, shape (n, 2), counter-clockwise."""
    outline, beyond = seat.blank.polygon_mm(), 0.5 * overhang_mm(seat)
    (_, rear), (right, front) = outline.min(axis=0) - beyond, outline.max(axis=0) + beyond
    line = _finely(seat.blank, line_ahead(seat.blank, 0.0))
    if not seat.blank.deck_is_curved:
        deck = seat.blank.deck_mm
        y = deck if deck > rear + beyond else max(rear, float(spline.knots_y[0]))
        line = np.array([[0.0, y], [right, y]])
    # The deck's half of the box, as far out as the deck line runs on beyond the outline.
    box = shapely.box(0.0, rear, right, front)
    parts = shapely.get_parts(ops.split(box, shapely.LineString(_to_box(line, right, rear))))
    half = max(parts, key=lambda part: part.bounds[3] + 1e-6 * part.area)
    chain = shapely.get_coordinates(half.exterior)[:-1]
    chain = np.roll(chain, -int(np.argmin(np.where(chain[:, 0] < 1e-9, chain[:, 1], np.inf))), axis=0)
    chain = chain if shapely.is_ccw(half.exterior) else np.roll(chain[::-1], 1, axis=0)
    inner = chain[chain[:, 0] > 1e-9]
    return np.vstack([inner, inner[::-1] * np.array([-1.0, 1.0])])


def _finely(blank: Blank, line: Floats) -> Floats:
    """Return the right half of a deck line, of a bowed one with so many points that it is known for an arc."""
    if not (blank.deck_is_curved and blank.deck_line == "bowed"):
        return line
    radius, middle = bow(blank)
    sign = math.copysign(1.0, blank.deck_bow_mm)
    turn = np.linspace(0.0, math.asin(line[-1, 0] / radius), math.ceil(line[-1, 0] / ARC_CHORD_MM))
    return np.column_stack([radius * np.sin(turn), middle - sign * radius * np.cos(turn)])


def _to_box(line: Floats, right: float, rear: float) -> Floats:
    """Return a line with its end on or beyond the side of the box that it leaves by."""
    end = line[-1] + (line[-1] - line[-2]) / np.linalg.norm(line[-1] - line[-2]) * 2.0 * (right + abs(rear))
    return np.vstack([line, end])


def _one_valid_solid(body: Any) -> Any:
    solids = solids_of(body)
    if not (len(solids) == 1 and is_valid(solids[0])):
        raise NotSolvedError(
            f"the CAD kernel made {len(solids)} solids of the seat or calls it faulty; write the seat as a mesh."
        )
    return solids[0]

"""The carved seat as an exact solid of the open CAD kernel: planes, the roll's cylinder, and B-spline faces."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from shapely import ops

from seatmesh.arrays import Floats
from seatmesh.errors import NotSolvedError, ValueRefusedError
from seatmesh.formats.step.exact_surface import carved_spline, overhang_mm
from seatmesh.formats.step.gutter import gutter_waste
from seatmesh.formats.step.kernel import CLEAR_MM, done, kernel, lead_curve, prism, spline_surface
from seatmesh.front_roll import arc_centre_mm
from seatmesh.spline import BicubicSpline
from seatmesh.surface import Seat
from seatmesh.wood.deck_line import line_ahead


def cad_solid(seat: Seat) -> Any:
    """Return the carved seat as one closed solid of the kernel, in the frame of the blank, mm.

    Its blank is a prism on the outline, with the front roll as a true cylinder; a body under the carved spline is cut
    out of it, so that the hollow's edge is where the spline meets the blank, and a deck line with a step is a plane.

    Raises
    ------
    FileRefusedError
        The CAD kernel is not installed.
    ValueRefusedError
        As `carved_spline`; a seat without a hollow is plain wood and passes.
    NotSolvedError
        The kernel found no one valid solid.
    """
    kernel("gp")
    body = _blank(seat)
    if seat.hollow is not None or seat.adjustments:
        algo = kernel("BRepAlgoAPI")
        body = done(algo.BRepAlgoAPI_Cut(body, _waste(seat, carved_spline(seat))), "the hollow")
    if seat.blank.gutter_depth_mm > 0.0:
        body = done(kernel("BRepAlgoAPI").BRepAlgoAPI_Cut(body, gutter_waste(seat)), "the gutter")
    return _one_valid_solid(body)


def _blank(seat: Seat) -> Any:
    """Return the uncarved blank: a prism on the outline, under a side profile that holds the front roll."""
    gp, prim, algo = kernel("gp"), kernel("BRepPrimAPI"), kernel("BRepAlgoAPI")
    thickness, outline = seat.blank.thickness_mm, seat.blank.polygon_mm()
    if seat.blank.has_bevel:
        body = _bevelled(seat, CLEAR_MM if seat.front_roll_mm > 0.0 else 0.0)
    elif seat.front_roll_mm > 0.0:
        body = prism(outline, -thickness - CLEAR_MM, CLEAR_MM)
    else:
        body = prism(outline, -thickness, 0.0)
    if seat.front_roll_mm == 0.0:
        return body
    left, right = outline[:, 0].min() - CLEAR_MM, outline[:, 0].max() + CLEAR_MM
    profile = kernel("BRepBuilderAPI").BRepBuilderAPI_MakeFace(_profile_wire(seat, left), True).Face()
    slab = prim.BRepPrimAPI_MakePrism(profile, gp.gp_Vec(right - left, 0.0, 0.0)).Shape()
    return done(algo.BRepAlgoAPI_Common(body, slab), "the front roll")


def _bevelled(seat: Seat, top: float) -> Any:
    """Return the prism on the outline with the under-bevel on its lower edges."""
    fillet, top_exp, kinds = kernel("BRepFilletAPI"), kernel("TopExp"), kernel("TopAbs").TopAbs_ShapeEnum
    blank, cast = seat.blank, kernel("TopoDS").TopoDS
    body = prism(blank.polygon_mm(), -blank.thickness_mm, top)
    chamfer = fillet.BRepFilletAPI_MakeChamfer(body)
    under = _lowest_face(body)
    found = top_exp.TopExp_Explorer(under, kinds.TopAbs_EDGE)
    while found.More():
        chamfer.Add(
            blank.under_bevel_width_mm, blank.under_bevel_height_mm, cast.Edge(found.Current()), under
        )
        found.Next()
    chamfer.Build()
    if not (chamfer.IsDone() and kernel("BRepCheck").BRepCheck_Analyzer(chamfer.Shape()).IsValid()):
        raise ValueRefusedError(
            "[blank] under_bevel_width_mm",
            f"{blank.under_bevel_width_mm:g}",
            "a STEP file takes a bevel narrower than the outline's corners are round",
            "write it as a mesh, such as .3mf, or make the bevel narrower",
        )
    return chamfer.Shape()


def _lowest_face(body: Any) -> Any:
    found = kernel("TopExp").TopExp_Explorer(body, kernel("TopAbs").TopAbs_ShapeEnum.TopAbs_FACE)
    faces = []
    while found.More():
        faces.append(kernel("TopoDS").TopoDS.Face(found.Current()))
        found.Next()
    held = []
    for face in faces:
        middle = kernel("GProp").GProp_GProps()
        kernel("BRepGProp").BRepGProp.SurfaceProperties_s(face, middle)
        held.append(middle.CentreOfMass().Z())
    return faces[int(np.argmin(held))]


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
    line = line_ahead(seat.blank, 0.0)
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


def _to_box(line: Floats, right: float, rear: float) -> Floats:
    """Return a line with its end on or beyond the side of the box that it leaves by."""
    end = line[-1] + (line[-1] - line[-2]) / np.linalg.norm(line[-1] - line[-2]) * 2.0 * (right + abs(rear))
    return np.vstack([line, end])


def _one_valid_solid(body: Any) -> Any:
    top, kinds = kernel("TopExp"), kernel("TopAbs").TopAbs_ShapeEnum
    found, solids = top.TopExp_Explorer(body, kinds.TopAbs_SOLID), []
    while found.More():
        solids.append(found.Current())
        found.Next()
    valid = len(solids) == 1 and kernel("BRepCheck").BRepCheck_Analyzer(solids[0]).IsValid()
    if not valid:
        raise NotSolvedError(
            f"the CAD kernel made {len(solids)} solids of the seat or calls it faulty; write the seat as a mesh."
        )
    return solids[0]

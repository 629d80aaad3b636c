"""The carved seat as an exact solid of the open CAD kernel: planes, the roll's cylinder and one B-spline face.

The kernel comes with `pip install "seatmesh[cad]"`. Its names are taken from it at run time, so that nothing here asks
for it before a STEP file is wanted.
"""

from __future__ import annotations

import importlib
import math
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.interpolate import BSpline
from shapely import ops

from seatmesh.deck_line import bow, line_ahead
from seatmesh.errors import FileRefusedError, NotSolvedError, ValueRefusedError
from seatmesh.export.step_outline import smooth_through, stretches
from seatmesh.export.step_surface import carved_spline, greville, overhang_mm, roll_start_mm
from seatmesh.spline import DEGREE, BicubicSpline
from seatmesh.surface import Seat

Floats = NDArray[np.float64]

CLEAR_MM = 5.0
"""How far bodies that only cut or bound reach beyond what they cut."""


def kernel(module: str) -> Any:
    """Return a module of the CAD kernel's Python package.

    Raises
    ------
    FileRefusedError
        It is not installed.
    """
    try:
        return importlib.import_module(f"OCP.{module}")
    except ImportError as error:
        raise FileRefusedError(
            "a STEP file needs the open CAD kernel, which is not installed; install it with "
            'pip install "seatmesh[cad]", or write a mesh, such as .3mf.'
        ) from error


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
        body = _done(algo.BRepAlgoAPI_Cut(body, _waste(seat, carved_spline(seat))), "the hollow")
    if seat.blank.gutter_depth_mm > 0.0:
        body = _done(kernel("BRepAlgoAPI").BRepAlgoAPI_Cut(body, _gutter(seat)), "the gutter")
    return _one_valid_solid(body)


def spline_surface(spline: BicubicSpline) -> Any:
    """Return a spline of depths as the kernel's surface; its parameters are x and y themselves, z is -depth."""
    gp, arrays, geom = kernel("gp"), kernel("collections"), kernel("Geom")
    nx, ny = spline.coefficients.shape
    poles = arrays.Array2_gp_Pnt(1, nx, 1, ny)
    for i, x in enumerate(greville(spline.knots_x).tolist(), start=1):
        for j, y in enumerate(greville(spline.knots_y).tolist(), start=1):
            poles.SetValue(i, j, gp.gp_Pnt(x, y, -float(spline.coefficients[i - 1, j - 1])))
    knots, counts = [], []
    for own in (spline.knots_x, spline.knots_y):
        distinct, count = np.unique(own, return_counts=True)
        knots.append(arrays.Array1_double(1, len(distinct)))
        counts.append(arrays.Array1_int(1, len(distinct)))
        for i in range(len(distinct)):
            knots[-1].SetValue(i + 1, float(distinct[i]))
            counts[-1].SetValue(i + 1, int(count[i]))
    return geom.Geom_BSplineSurface(poles, *knots, *counts, DEGREE, DEGREE, False, False)


def _blank(seat: Seat) -> Any:
    """Return the uncarved blank: a prism on the outline, under a side profile that holds the front roll."""
    gp, prim, algo = kernel("gp"), kernel("BRepPrimAPI"), kernel("BRepAlgoAPI")
    thickness, outline = seat.blank.thickness_mm, seat.blank.polygon_mm()
    if seat.blank.has_bevel:
        body = _bevelled(seat, CLEAR_MM if seat.front_roll_mm > 0.0 else 0.0)
    elif seat.front_roll_mm > 0.0:
        body = _prism(outline, -thickness - CLEAR_MM, CLEAR_MM)
    else:
        body = _prism(outline, -thickness, 0.0)
    if seat.front_roll_mm == 0.0:
        return body
    left, right = outline[:, 0].min() - CLEAR_MM, outline[:, 0].max() + CLEAR_MM
    profile = kernel("BRepBuilderAPI").BRepBuilderAPI_MakeFace(_profile_wire(seat, left), True).Face()
    slab = prim.BRepPrimAPI_MakePrism(profile, gp.gp_Vec(right - left, 0.0, 0.0)).Shape()
    return _done(algo.BRepAlgoAPI_Common(body, slab), "the front roll")


def _bevelled(seat: Seat, top: float) -> Any:
    """Return the prism on the outline with the under-bevel on its lower edges."""
    fillet, top_exp, kinds = kernel("BRepFilletAPI"), kernel("TopExp"), kernel("TopAbs").TopAbs_ShapeEnum
    blank, cast = seat.blank, kernel("TopoDS").TopoDS
    body = _prism(blank.polygon_mm(), -blank.thickness_mm, top)
    chamfer = fillet.BRepFilletAPI_MakeChamfer(body)
    under = _lowest_face(body)
    found = top_exp.TopExp_Explorer(under, kinds.TopAbs_EDGE)
    while found.More():
        chamfer.Add(blank.under_bevel_width_mm, blank.under_bevel_height_mm, cast.Edge(found.Current()), under)
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
    start, radius = roll_start_mm(seat), seat.front_roll_mm
    beyond = seat.blank.depth_mm + 2.0 * overhang_mm(seat) - start
    turn = math.asin(min(beyond / radius, math.sin(1.4)))
    rear, below = float(seat.blank.polygon_mm()[:, 1].min()) - CLEAR_MM, -seat.blank.thickness_mm

    def on_arc(angle: float) -> tuple[float, float]:
        return start + radius * math.sin(angle), -radius * (1.0 - math.cos(angle))

    y_end, z_end = on_arc(turn)
    corners = [(y_end, z_end), (y_end, below), (rear, below), (rear, 0.0), (start, 0.0)]
    points = [gp.gp_Pnt(x, y, z) for y, z in corners]
    wire = build.BRepBuilderAPI_MakeWire()
    for a, b in pairwise(points):
        wire.Add(build.BRepBuilderAPI_MakeEdge(a, b).Edge())
    arc = gc.GC_MakeArcOfCircle(points[-1], gp.gp_Pnt(x, *on_arc(0.5 * turn)), points[0]).Value()
    wire.Add(build.BRepBuilderAPI_MakeEdge(arc).Edge())
    return wire.Wire()


def _waste(seat: Seat, spline: BicubicSpline) -> Any:
    """Return what is cut away: all above the carved spline, ahead of the deck line."""
    gp, prim, build = kernel("gp"), kernel("BRepPrimAPI"), kernel("BRepBuilderAPI")
    height = float(np.abs(spline.coefficients).max()) + CLEAR_MM
    face = build.BRepBuilderAPI_MakeFace(spline_surface(spline), 1e-7).Face()
    above = prim.BRepPrimAPI_MakePrism(face, gp.gp_Vec(0.0, 0.0, 2.0 * height)).Shape()
    ahead = _prism(_ahead_of_deck(seat, spline), -height, CLEAR_MM)
    return _done(kernel("BRepAlgoAPI").BRepAlgoAPI_Common(above, ahead), "the carved spline")


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


def _gutter(seat: Seat) -> Any:
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
    section = _section(seat, _point(-reach, float(line[0, 1]), 0.0), (0.0, 1.0))
    move = kernel("gp").gp_Vec(2.0 * reach, 0.0, 0.0)
    return kernel("BRepPrimAPI").BRepPrimAPI_MakePrism(section, move).Shape()


def _turned(seat: Seat, line: Floats) -> Any:
    """Return what a gutter along an arc takes: its section turned about the arc's middle."""
    gp, blank = kernel("gp"), seat.blank
    radius, middle = bow(blank)
    end = line[-1] - np.array([0.0, middle])
    turn = 2.0 * math.atan2(abs(end[0]), abs(end[1]))
    start = _point(float(line[-1, 0]), float(line[-1, 1]), 0.0)
    ahead = -end / np.linalg.norm(end) if middle > blank.deck_mm else end / np.linalg.norm(end)
    section = _section(seat, start, (float(ahead[0]), float(ahead[1])))
    # From the right end to the left one: clockwise seen from above where the middle lies ahead.
    axis = gp.gp_Ax1(_point(0.0, middle, 0.0), gp.gp_Dir(0.0, 0.0, -1.0 if middle > blank.deck_mm else 1.0))
    return kernel("BRepPrimAPI").BRepPrimAPI_MakeRevol(section, axis, turn).Shape()


def _section(seat: Seat, middle: Any, ahead: tuple[float, float]) -> Any:
    """Return the upright face of a gutter's section at a place of its middle line, open to above."""
    build, gc, blank = kernel("BRepBuilderAPI"), kernel("GC"), seat.blank
    half = 0.5 * blank.gutter_width_mm

    def at(along: float, z: float) -> Any:
        return _point(middle.X() + along * ahead[0], middle.Y() + along * ahead[1], z)

    lips = at(-half, 0.0), at(half, 0.0)
    tops = at(half, CLEAR_MM), at(-half, CLEAR_MM)
    arc = gc.GC_MakeArcOfCircle(lips[0], at(0.0, -blank.gutter_depth_mm), lips[1]).Value()
    wire = build.BRepBuilderAPI_MakeWire()
    wire.Add(build.BRepBuilderAPI_MakeEdge(arc).Edge())
    for a, b in pairwise((lips[1], *tops, lips[0])):
        wire.Add(build.BRepBuilderAPI_MakeEdge(a, b).Edge())
    return build.BRepBuilderAPI_MakeFace(wire.Wire(), True).Face()


def _prism(outline: Floats, low: float, high: float) -> Any:
    gp, build = kernel("gp"), kernel("BRepBuilderAPI")
    face = build.BRepBuilderAPI_MakeFace(_wire(outline, low), True).Face()
    return kernel("BRepPrimAPI").BRepPrimAPI_MakePrism(face, gp.gp_Vec(0.0, 0.0, high - low)).Shape()


def _wire(ring: Floats, z: float) -> Any:
    """Return a closed curve at a height: lines, and a B-spline for each smooth stretch of the ring."""
    build = kernel("BRepBuilderAPI")
    wire, chains = build.BRepBuilderAPI_MakeWire(), stretches(ring)
    corners = [build.BRepBuilderAPI_MakeVertex(_point(*chain[0], z)).Vertex() for chain in chains]
    for i, chain in enumerate(chains):
        ends = corners[i], corners[(i + 1) % len(chains)]
        if len(chain) == 2:
            wire.Add(build.BRepBuilderAPI_MakeEdge(*ends).Edge())
            continue
        before, after = chains[i - 1], chains[(i + 1) % len(chains)]
        pieces = smooth_through(chain, before[-1] - before[-2], after[1] - after[0])
        inner = [build.BRepBuilderAPI_MakeVertex(_point(*piece.c[0], z)).Vertex() for piece in pieces[1:]]
        for piece, a, b in zip(pieces, (ends[0], *inner), (*inner, ends[1]), strict=True):
            wire.Add(build.BRepBuilderAPI_MakeEdge(_curve(piece, z), a, b).Edge())
    return wire.Wire()


def _curve(spline: BSpline, z: float) -> Any:
    arrays, geom = kernel("collections"), kernel("Geom")
    distinct, count = np.unique(spline.t, return_counts=True)
    poles = arrays.Array1_gp_Pnt(1, len(spline.c))
    for i, (x, y) in enumerate(spline.c.tolist(), start=1):
        poles.SetValue(i, _point(x, y, z))
    knots, counts = arrays.Array1_double(1, len(distinct)), arrays.Array1_int(1, len(distinct))
    for i in range(len(distinct)):
        knots.SetValue(i + 1, float(distinct[i]))
        counts.SetValue(i + 1, int(count[i]))
    return geom.Geom_BSplineCurve(poles, knots, counts, DEGREE, False)


def _point(x: float, y: float, z: float) -> Any:
    return kernel("gp").gp_Pnt(float(x), float(y), float(z))


def _done(operation: Any, what: str) -> Any:
    if not operation.IsDone():
        raise NotSolvedError(f"the CAD kernel did not get through {what}; write the seat as a mesh.")
    return operation.Shape()


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

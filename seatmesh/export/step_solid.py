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
from numpy.typing import NDArray

from seatmesh.errors import FileRefusedError, NotSolvedError
from seatmesh.export.step_surface import carved_spline, greville, overhang_mm, roll_start_mm
from seatmesh.spline import DEGREE, BicubicSpline
from seatmesh.surface import Seat

Floats = NDArray[np.float64]

CLEAR_MM = 5.0
"""How far bodies that only cut or bound reach beyond what they cut."""

STRAIGHT_SHARE = 1e-9


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
    if seat.front_roll_mm == 0.0:
        return _prism(outline, -thickness, 0.0)
    left, right = outline[:, 0].min() - CLEAR_MM, outline[:, 0].max() + CLEAR_MM
    profile = kernel("BRepBuilderAPI").BRepBuilderAPI_MakeFace(_profile_wire(seat, left), True).Face()
    slab = prim.BRepPrimAPI_MakePrism(profile, gp.gp_Vec(right - left, 0.0, 0.0)).Shape()
    return _done(
        algo.BRepAlgoAPI_Common(_prism(outline, -thickness - CLEAR_MM, CLEAR_MM), slab), "the front roll"
    )


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
    outline, beyond = seat.blank.polygon_mm(), 0.5 * overhang_mm(seat)
    (left, rear), (right, front) = outline.min(axis=0) - beyond, outline.max(axis=0) + beyond
    deck = seat.blank.deck_mm
    rear = deck if deck > rear + beyond else max(rear, float(spline.knots_y[0]))
    height = float(np.abs(spline.coefficients).max()) + CLEAR_MM
    face = build.BRepBuilderAPI_MakeFace(spline_surface(spline), 1e-7).Face()
    above = prim.BRepPrimAPI_MakePrism(face, gp.gp_Vec(0.0, 0.0, 2.0 * height)).Shape()
    box = prim.BRepPrimAPI_MakeBox(gp.gp_Pnt(left, rear, -height), gp.gp_Pnt(right, front, CLEAR_MM)).Shape()
    return _done(kernel("BRepAlgoAPI").BRepAlgoAPI_Common(above, box), "the carved spline")


def _prism(outline: Floats, low: float, high: float) -> Any:
    gp, build = kernel("gp"), kernel("BRepBuilderAPI")
    ring = build.BRepBuilderAPI_MakePolygon()
    for x, y in _corners(outline).tolist():
        ring.Add(gp.gp_Pnt(x, y, low))
    ring.Close()
    face = build.BRepBuilderAPI_MakeFace(ring.Wire(), True).Face()
    return kernel("BRepPrimAPI").BRepPrimAPI_MakePrism(face, gp.gp_Vec(0.0, 0.0, high - low)).Shape()


def _corners(outline: Floats) -> Floats:
    """Return the outline without points on straight lines: they would cut a flat wall in two."""
    before, after = outline - np.roll(outline, 1, axis=0), np.roll(outline, -1, axis=0) - outline
    turn = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    size = np.linalg.norm(before, axis=1) * np.linalg.norm(after, axis=1)
    return np.asarray(outline[np.abs(turn) > STRAIGHT_SHARE * size])


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

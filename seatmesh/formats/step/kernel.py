"""The open CAD kernel's calls that the solid is made with: points, curves, surfaces, prisms.

The kernel comes with `pip install '.[cad]'`. Its names are taken from it at run time, so that nothing here asks
for it before a STEP file is wanted.
"""

from __future__ import annotations

import importlib
from typing import Any

import numpy as np
from scipy.interpolate import BSpline, make_interp_spline

from seatmesh.arrays import Floats
from seatmesh.errors import FileRefusedError, NotSolvedError
from seatmesh.formats.step.outline_curves import circle_of, end_directions, smooth_through, stretches
from seatmesh.front_roll import LEAD_SHARE, roll_fall, roll_slope
from seatmesh.spline import DEGREE, BicubicSpline, greville

LEAD_POINTS = 33
"""Points through which the first part of a roll is drawn: within 1e-7 mm of it."""
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
            "pip install '.[cad]' where the source is, or write a mesh, such as .3mf."
        ) from error


def spline_surface(spline: BicubicSpline) -> Any:
    """Return a spline of depths as the kernel's surface; its parameters are x and y themselves, z is -depth."""
    x, y = np.meshgrid(greville(spline.knots_x), greville(spline.knots_y), indexing="ij")
    return bspline_surface(spline.knots_x, spline.knots_y, np.stack([x, y, -spline.coefficients], axis=2))


def bspline_surface(knots_u: Floats, knots_v: Floats, held: Floats) -> Any:
    """Return the kernel's bicubic surface of knots and poles, shape (n, m, 3)."""
    gp, arrays, geom = kernel("gp"), kernel("collections"), kernel("Geom")
    poles = arrays.Array2_gp_Pnt(1, held.shape[0], 1, held.shape[1])
    for i, row in enumerate(held.tolist(), start=1):
        for j, pole in enumerate(row, start=1):
            poles.SetValue(i, j, gp.gp_Pnt(*pole))
    knots, counts = [], []
    for own in (knots_u, knots_v):
        distinct, count = np.unique(own, return_counts=True)
        knots.append(arrays.Array1_double(1, len(distinct)))
        counts.append(arrays.Array1_int(1, len(distinct)))
        for i in range(len(distinct)):
            knots[-1].SetValue(i + 1, float(distinct[i]))
            counts[-1].SetValue(i + 1, int(count[i]))
    return geom.Geom_BSplineSurface(poles, *knots, *counts, DEGREE, DEGREE, False, False)


def prism(outline: Floats, low: float, high: float) -> Any:
    """Return the prism on a closed curve of the plan between two heights."""
    gp, build = kernel("gp"), kernel("BRepBuilderAPI")
    face = build.BRepBuilderAPI_MakeFace(closed_wire(outline, low), True).Face()
    return kernel("BRepPrimAPI").BRepPrimAPI_MakePrism(face, gp.gp_Vec(0.0, 0.0, high - low)).Shape()


def closed_wire(ring: Floats, z: float) -> Any:
    """Return a closed curve at a height: lines, arcs, and a B-spline for any other smooth stretch of the ring."""
    build = kernel("BRepBuilderAPI")
    wire, chains = build.BRepBuilderAPI_MakeWire(), stretches(ring)
    corners = [
        build.BRepBuilderAPI_MakeVertex(point(chain[0, 0], chain[0, 1], z)).Vertex() for chain in chains
    ]
    for i, chain in enumerate(chains):
        ends = corners[i], corners[(i + 1) % len(chains)]
        if len(chain) == 2:
            wire.Add(build.BRepBuilderAPI_MakeEdge(*ends).Edge())
            continue
        if circle_of(chain) is not None:
            through = [point(chain[k, 0], chain[k, 1], z) for k in (0, len(chain) // 2, -1)]
            arc = kernel("GC").GC_MakeArcOfCircle(*through).Value()
            wire.Add(build.BRepBuilderAPI_MakeEdge(arc, *ends).Edge())
            continue
        pieces = smooth_through(
            chain, end_directions(chains[i - 1])[1], end_directions(chains[(i + 1) % len(chains)])[0]
        )
        _add_pieces(wire, pieces, ends, z)
    return wire.Wire()


def chain_wire(chain: Floats, before: Floats, after: Floats, z: float) -> tuple[Any, Floats]:
    """Return a smooth stretch of a ring as a wire at a height, and the direction that it sets out in."""
    build = kernel("BRepBuilderAPI")
    wire, pieces = build.BRepBuilderAPI_MakeWire(), smooth_through(chain, before, after)
    ends = tuple(
        build.BRepBuilderAPI_MakeVertex(point(chain[k, 0], chain[k, 1], z)).Vertex() for k in (0, -1)
    )
    _add_pieces(wire, pieces, ends, z)
    return wire.Wire(), np.asarray(pieces[0].derivative()(pieces[0].t[0]))


def _add_pieces(wire: Any, pieces: tuple[BSpline, ...], ends: tuple[Any, ...], z: float) -> None:
    build = kernel("BRepBuilderAPI")
    inner = [
        build.BRepBuilderAPI_MakeVertex(point(piece.c[0, 0], piece.c[0, 1], z)).Vertex()
        for piece in pieces[1:]
    ]
    for piece, a, b in zip(pieces, (ends[0], *inner), (*inner, ends[1]), strict=True):
        wire.Add(build.BRepBuilderAPI_MakeEdge(_curve(piece, z), a, b).Edge())


def lead_curve(x: float, start_mm: float, radius_mm: float) -> Any:
    """Return the first part of a front roll, where it bends more and more, as a curve across the plane of an x."""
    along = np.linspace(0.0, LEAD_SHARE * radius_mm, LEAD_POINTS)
    slopes: Any = [(1, 0.0)], [(1, -float(roll_slope(along[-1], radius_mm)))]
    height = make_interp_spline(along, -roll_fall(along, radius_mm), DEGREE, bc_type=slopes)
    at = greville(height.t)
    return _bspline(height.t, [point(x, start_mm + y, z) for y, z in zip(at, height.c, strict=True)])


def _curve(spline: BSpline, z: float) -> Any:
    return _bspline(spline.t, [point(pole[0], pole[1], z) for pole in np.asarray(spline.c)])


def _bspline(knots_mm: Floats, poles: list[Any]) -> Any:
    arrays, geom = kernel("collections"), kernel("Geom")
    distinct, count = np.unique(knots_mm, return_counts=True)
    held = arrays.Array1_gp_Pnt(1, len(poles))
    for i, pole in enumerate(poles, start=1):
        held.SetValue(i, pole)
    knots, counts = arrays.Array1_double(1, len(distinct)), arrays.Array1_int(1, len(distinct))
    for i in range(len(distinct)):
        knots.SetValue(i + 1, float(distinct[i]))
        counts.SetValue(i + 1, int(count[i]))
    return geom.Geom_BSplineCurve(held, knots, counts, DEGREE, False)


def point(x: float, y: float, z: float) -> Any:
    """Return a point of the kernel."""
    return kernel("gp").gp_Pnt(float(x), float(y), float(z))


def done(operation: Any, what: str) -> Any:
    """Return what an operation made; `what` names it where it failed."""
    if not operation.IsDone():
        raise NotSolvedError(f"the CAD kernel did not get through {what}; write the seat as a mesh.")
    return operation.Shape()


def cut(body: Any, waste: list[Any], fuzzy_mm: float = 0.0) -> Any:
    """Return a body without all of the waste; edges nearer than `fuzzy_mm` are taken for one."""
    shapes = kernel("collections").List_TopoDS_Shape
    arguments, tools = shapes(), shapes()
    arguments.Append(body)
    for one in waste:
        tools.Append(one)
    operation = kernel("BRepAlgoAPI").BRepAlgoAPI_Cut()
    operation.SetArguments(arguments)
    operation.SetTools(tools)
    operation.SetFuzzyValue(fuzzy_mm)
    operation.Build()
    return done(operation, "the carving")


def solids_of(body: Any) -> list[Any]:
    """Return the solids that a body is made of."""
    found, solids = kernel("TopExp").TopExp_Explorer(body, kernel("TopAbs").TopAbs_ShapeEnum.TopAbs_SOLID), []
    while found.More():
        solids.append(found.Current())
        found.Next()
    return solids


def is_valid(body: Any) -> bool:
    """Return whether the kernel's own analyzer finds no fault in a body."""
    return bool(kernel("BRepCheck").BRepCheck_Analyzer(body).IsValid())


def scaled(body: Any, scale: float) -> Any:
    """Return a body scaled about the frame's origin."""
    change = kernel("gp").gp_Trsf()
    change.SetScale(point(0.0, 0.0, 0.0), scale)
    return kernel("BRepBuilderAPI").BRepBuilderAPI_Transform(body, change, True).Shape()


def top_mm(body: Any) -> float:
    """Return the highest z of the box that the kernel finds round a body."""
    box = kernel("Bnd").Bnd_Box()
    kernel("BRepBndLib").BRepBndLib.AddOptimal_s(body, box, False, False)
    return float(box.CornerMax().Z())

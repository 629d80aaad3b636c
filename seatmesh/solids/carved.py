"""The carved blank as a closed solid: top face, walls along the outline, flat underside."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from seatmesh.errors import NotSolvedError, ValueRefusedError
from seatmesh.mesh import Mesh
from seatmesh.solids.plan_mesh import fill_half
from seatmesh.solids.top_face import crease_lines_y_mm, right_half
from seatmesh.solids.triangulate import border
from seatmesh.surface import Seat

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

FINEST_TOLERANCE_MM = 0.005
UNDERSIDE_SPACING_MM = 30.0


def solid(seat: Seat, tolerance_mm: float = 0.1, angle_deg: float = 15.0) -> Mesh:
    """Return the carved blank as a closed mesh in the frame of the blank, mm.

    The top face lies at z = -depth, the walls stand upright on the outline, the underside is flat at
    z = -thickness. Vertices mirror each other about the centre line in plan, on a symmetric seat in height
    too; deck line, start of the front roll and the hollow's edge are edges. Vertices of the top face lie on the
    surface; in between, mesh and surface part by no more than `tolerance_mm`, by sampling, and in direction by no
    more than `angle_deg` unless a facet is smaller than 2 mm. `measured_distance_mm` measures what came out.

    Raises
    ------
    ValueRefusedError
        The tolerance is not a number of 0.005 mm or more, the angle not one of 1 to 90 degrees, or the hollow goes
        through the blank.
    NotSolvedError
        The tolerance was not reached within the limits of refinement.
    """
    if not (math.isfinite(tolerance_mm) and tolerance_mm >= FINEST_TOLERANCE_MM):
        raise ValueRefusedError(
            "tolerance_mm",
            tolerance_mm,
            f"allowed is {FINEST_TOLERANCE_MM} mm or coarser",
            "give a distance that a carver or a printer can hold, such as 0.1",
        )
    if not 1.0 <= angle_deg <= 90.0:
        raise ValueRefusedError(
            "angle_deg", angle_deg, "allowed is 1 to 90", "give 15, or 90 to leave it to the distance"
        )
    top, faces = right_half(seat, tolerance_mm, math.radians(angle_deg))
    deepest = -float(top[:, 2:].min())
    if not deepest < seat.blank.thickness_mm:
        raise ValueRefusedError(
            "greatest depth",
            f"{deepest:.2f} mm",
            f"allowed is less than the blank's thickness of {seat.blank.thickness_mm:g} mm",
            "make the hollow shallower or the blank thicker",
        )
    return _mirrored(*_closed(top, faces, seat.blank.thickness_mm))


def surface_volume_mm3(seat: Seat, step_mm: float = 2.0) -> float:
    """Return the wood between surface and underside inside the outline, mm3, without any mesh.

    Midpoint rule over cells of about `step_mm`, each weighed by its share inside the outline and taken at the
    centre of that share; cells end on the crease lines.
    """
    outline = shapely.Polygon(seat.blank.polygon_mm())
    left, rear, right, front = outline.bounds
    x = _stations([left, 0.0, right], step_mm)
    y = _stations([rear, *crease_lines_y_mm(seat), front], step_mm)
    cells = shapely.box(x[None, :-1], y[:-1, None], x[None, 1:], y[1:, None]).ravel()
    shapely.prepare(outline)
    whole = shapely.contains(outline, cells)
    parts = np.concatenate([cells[whole], shapely.intersection(outline, cells[~whole])])
    parts = parts[shapely.area(parts) > 0.0]
    middle = shapely.centroid(parts)
    depth = seat.depth_mm(shapely.get_x(middle), shapely.get_y(middle))
    return float(np.sum((seat.blank.thickness_mm - depth) * shapely.area(parts)))


def _stations(breaks: Sequence[float], step: float) -> Floats:
    pieces = [
        np.linspace(a, b, max(1, math.ceil((b - a) / step)), endpoint=False) for a, b in pairwise(breaks)
    ]
    return np.append(np.concatenate(pieces), breaks[-1])


def _closed(top: Floats, faces: Ints, thickness: float) -> tuple[Floats, Ints]:
    """Close the right half of the top face with wall and underside, leaving it open along the centre line.

    Vertices given and returned have columns x, y, z right, z left.
    """
    rim = _rim(top, faces)
    plan, under = fill_half(top[rim, :2], (), UNDERSIDE_SPACING_MM)
    if not np.array_equal(plan[: len(rim)], top[rim, :2]) or len(_rim(plan, under)) != len(rim):
        raise NotSolvedError(
            "the underside does not close on the outline, which runs too close to itself; give a simpler one."
        )
    below = np.column_stack([plan, np.full((len(plan), 2), -thickness)])
    upper, lower = rim, len(top) + np.arange(len(rim))
    wall = [
        np.column_stack([lower[:-1], lower[1:], upper[1:]]),
        np.column_stack([lower[:-1], upper[1:], upper[:-1]]),
    ]
    return np.vstack([top, below]), np.vstack([faces, len(top) + under[:, ::-1], *wall])


def _rim(points: Floats, faces: Ints) -> Ints:
    """Return the vertices along the outline, in order from rear to front end of the centre line."""
    edges = border(faces)
    edges = edges[np.any(points[edges, 0] > 0.0, axis=1)]
    follower = dict(edges.tolist())
    (first,) = set(follower) - set(follower.values())
    chain = [first]
    while chain[-1] in follower:
        chain.append(follower[chain[-1]])
    return np.array(chain, dtype=np.int64)


def _mirrored(vertices: Floats, faces: Ints) -> Mesh:
    """Join the right half to its mirror image along the centre line."""
    own = np.flatnonzero(vertices[:, 0] > 0.0)
    image = np.arange(len(vertices))
    image[own] = len(vertices) + np.arange(len(own))
    left = vertices[own][:, [0, 1, 3]] * np.array([-1.0, 1.0, 1.0])
    return Mesh(np.vstack([vertices[:, :3], left]), np.vstack([faces, image[faces][:, ::-1]]))

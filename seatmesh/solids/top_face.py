"""The carved top face in triangles, as fine as a tolerance asks."""

from __future__ import annotations

import math
from functools import partial

import numpy as np
from numpy.typing import NDArray

from seatmesh.errors import NotSolvedError
from seatmesh.solids.featured_plan import FeaturedPlan, edge_levels, featured_plan
from seatmesh.solids.plan_mesh import fill_half, half_ring
from seatmesh.solids.triangulate import edges_of, longest_edge
from seatmesh.surface import ROLL_TURN, Seat

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

FIRST_SPACING_MM = 10.0
"""Triangles to begin with: no longer than a span of the hollow's spline, so that no wave hides inside one."""

SAMPLED_SHARE = 0.75
"""Sampled distances are held to this share of the tolerance, since the greatest one falls between samples:
where the hollow's edge crosses a triangle it was up to 1.3 times the sampled one."""

LEAST_APART_MM = 0.2
"""Crease lines closer than this are left to refinement: edges along them would be as short."""

LEAST_TURNING_EDGE_MM = 2.0
"""Shorter edges are asked for no more direction: across a step or a corner that no edge keeps none is ever right."""

SLOPE_STEP_MM = 1e-3
ROUNDS = 60
MOST_FACETS = 1_000_000
"""Facets on the right half at which refinement ends without an answer."""

_LATTICE = [(i, j, 4 - i - j) for i in range(5) for j in range(5 - i) if max(i, j, 4 - i - j) < 4]
_SAMPLES = np.array(_LATTICE) / 4.0
"""Twelve points of a triangle by their shares of its corners: three on each edge and three inside."""

_INNER = _SAMPLES[(_SAMPLES > 0.0).all(axis=1)]


def crease_lines_y_mm(seat: Seat) -> tuple[float, ...]:
    """Return the y of each straight line across the seat where its surface turns a corner, mm, rising.

    Left out are those that hardly part from the rear edge, the front edge or one another.
    """
    outline_y = seat.blank.polygon_mm()[:, 1]
    front = float(outline_y.max())
    kept = [float(outline_y.min())]
    for y in sorted((seat.blank.deck_mm, seat.blank.depth_mm - seat.front_roll_mm * math.sin(ROLL_TURN))):
        if y - kept[-1] > LEAST_APART_MM and front - y > LEAST_APART_MM:
            kept.append(y)
    return tuple(kept[1:])


def right_half(seat: Seat, tolerance_mm: float, angle_rad: float) -> tuple[Floats, Ints]:
    """Return the right half of the top face, with the height of its mirror image on the left beside its own.

    The plan is made once for both sides: an edge is halved while either side asks for it.

    Returns
    -------
    vertices, faces
        Shape (n, 4): x, y, z on the right, z on the left, mm, each vertex on the surface; shape (m, 3),
        counter-clockwise seen from above. Surface and triangles part by `tolerance_mm` at most, by sampling, and by
        `angle_rad` in direction where edges are longer than `LEAST_TURNING_EDGE_MM`.

    Raises
    ------
    NotSolvedError
        The tolerance was not reached within the limits of refinement.
    """
    limit = SAMPLED_SHARE * tolerance_mm
    plan, faces = _plan(seat)

    def asked(of: Ints) -> Floats:
        """How many times over a face misses what is asked of it."""
        points = plan.points[:, :4]
        return np.maximum(_distance(seat, points, of) / limit, _turn(seat, points, of) / angle_rad)

    excess = asked(faces)
    for _ in range(ROUNDS):
        far = excess > 1.0
        if not far.any():
            return plan.points[:, :4], faces
        if len(faces) > MOST_FACETS:
            break
        marked = np.repeat((excess > 4.0)[:, None], 3, axis=1)
        marked[far, longest_edge(plan.points, faces[far])] = True
        plan, faces, source = plan.halved(faces, marked)
        excess = np.where(source >= 0, excess[source], 0.0)
        excess[source < 0] = asked(faces[source < 0])
    raise NotSolvedError(
        f"the mesh was still {excess.max() * limit:.3g} mm off the surface with {2 * len(faces)} facets on top; "
        "give a coarser tolerance."
    )


def _plan(seat: Seat) -> tuple[FeaturedPlan, Ints]:
    """Return the plan to begin with: crease lines and the hollow's edge, on either side, are chains of edges."""
    creases = crease_lines_y_mm(seat)
    points, faces = fill_half(half_ring(seat.blank.polygon_mm(), creases), creases, FIRST_SPACING_MM)
    return featured_plan(
        points, faces, creases, edge_levels(seat), seat.blank.deck_mm, partial(_heights, seat)
    )


def _heights(seat: Seat, x: Floats, y: Floats) -> Floats:
    """Return z at (x, y) and at its mirror image (-x, y), in a last axis of two."""
    return -np.stack([seat.depth_mm(x, y), seat.depth_mm(-x, y)], axis=-1)


def _turn(seat: Seat, vertices: Floats, faces: Ints) -> Floats:
    """Return the angle between surface and triangle at three samples inside it, on both sides the greater, shape (m,).

    Zero for a triangle without an edge longer than `LEAST_TURNING_EDGE_MM`.
    """
    turn = np.zeros(len(faces))
    ends = vertices[edges_of(faces), :2]
    longest = np.sqrt(((ends[:, :, 0] - ends[:, :, 1]) ** 2).sum(axis=-1)).max(axis=1)
    long = np.flatnonzero(longest > LEAST_TURNING_EDGE_MM)
    corner = vertices[faces[long]]
    along, across = corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]
    area = (along[:, 0] * across[:, 1] - along[:, 1] * across[:, 0])[:, None]
    x_slope = (along[:, 2:] * across[:, 1:2] - across[:, 2:] * along[:, 1:2]) / area
    y_slope = (across[:, 2:] * along[:, :1] - along[:, 2:] * across[:, :1]) / area
    for share in _INNER:
        x, y = np.einsum("i,mij->jm", share, corner[..., :2])
        ahead, behind = _heights(seat, x + SLOPE_STEP_MM, y), _heights(seat, x - SLOPE_STEP_MM, y)
        x_rise = (ahead - behind) / (2.0 * SLOPE_STEP_MM)
        ahead, behind = _heights(seat, x, y + SLOPE_STEP_MM), _heights(seat, x, y - SLOPE_STEP_MM)
        y_rise = (ahead - behind) / (2.0 * SLOPE_STEP_MM)
        dot = 1.0 + x_slope * x_rise + y_slope * y_rise
        size = np.sqrt((1.0 + x_slope**2 + y_slope**2) * (1.0 + x_rise**2 + y_rise**2))
        turn[long] = np.maximum(turn[long], np.arccos(np.clip(dot / size, -1.0, 1.0)).max(axis=1))
    return turn


def _distance(seat: Seat, vertices: Floats, faces: Ints) -> Floats:
    """Return a bound on how far mesh and surface part at each triangle's samples, both sides, shape (m,).

    Straight up, where that is less. Beside a step or a steep wall it is not; but no farther off in plan than
    its longest edge a triangle passes the height of the surface, or comes as near to it as its heights reach.
    """
    corner = vertices[faces]
    at = np.einsum("ki,mij->mkj", _SAMPLES, corner)
    height = _heights(seat, at[..., 0], at[..., 1])
    straight_up = np.abs(height - at[..., 2:])
    low, high = corner[:, None, :, 2:].min(axis=2), corner[:, None, :, 2:].max(axis=2)
    beyond = np.maximum(np.maximum(low - height, height - high), 0.0)
    ends = vertices[edges_of(faces), :2]
    longest = np.sqrt(((ends[:, :, 0] - ends[:, :, 1]) ** 2).sum(axis=-1)).max(axis=1)
    return np.asarray(np.minimum(straight_up, beyond + longest[:, None, None]).max(axis=(1, 2)))
